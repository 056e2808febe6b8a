"""What a check has found, in `.cache/check/` from one start to the next: the same bytes, read by the same program, give the same.

A store is a file for each content folder: a line with the program's own hash and that of the rest; a line of JSON with
the name and length of each result; the results. One that is damaged, of another program or of no program is none.
"""

import decimal
import datetime
import hashlib
import io
import json
import os
import pickle
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from macros import cores
from macros.building import files_of
from macros.console import CACHE, ROOT

FOLDER = CACHE / "check"

SOURCES = ("calculators", "macros", "requirements.lock")
"""What a result rests on besides the content, with the Python that runs it."""

SETTLED = 10
"""Seconds: of a program that was changed later nothing is kept. Its modules may be those of before, its files those of now."""

MOST_BYTES, MOST_STORES = 300_000_000, 8


def program(root: Path = ROOT) -> str:
    """SHA-256 of the program's own files and of its Python; nothing when a file has been changed just now."""
    total, newest = hashlib.sha256(f"{sys.version}\0{sys.prefix}\0".encode()), 0.0
    for place in SOURCES:
        for file in files_of(root / place):
            total.update(f"{file.relative_to(root)}\0".encode() + hashlib.sha256(file.read_bytes()).digest())
            newest = max(newest, file.stat().st_mtime)
    return total.hexdigest() if time.time() - newest > SETTLED else ""


def opened(content: Path) -> "Store | None":
    """The store of a content folder, to be asked for before a rule is imported; none where nothing can be kept."""
    try:
        made_by = program()
        return Store(place(content), made_by) if made_by else None
    except (OSError, RuntimeError):
        return None


def place(content: Path) -> Path:
    """The file of a content folder's store. Raises: OSError, RuntimeError for links in a ring."""
    return FOLDER / hashlib.sha256(os.fsencode(content.resolve())).hexdigest()[:32]


class Store:
    """Results by name. What is not asked for in a check is not in the store after it."""

    def __init__(self, file: Path, made_by: str):
        self._file, self._made_by = file, made_by
        self._had = _read(file, made_by)
        self._now: dict[str, bytes] = {}
        self._new: dict[str, Any] = {}
        self._unnamed: list[tuple[Callable[[], str], Any, bytes | None]] = []
        self._begun: tuple[set[str], int, Callable[[], tuple[bool | None, Exception | None]]] | None = None

    def is_empty(self) -> bool:
        """Whether nothing is here from an earlier check."""
        return not self._had

    def has(self, name: str) -> bool:
        """Whether there is a result."""
        return name in self._had

    def get(self, name: str) -> tuple[Any] | None:
        """The result, in a tuple of its own; None where there is none."""
        packed = self._had.get(name)
        if packed is None:
            return None
        try:
            result = unpacked(packed)
        except Exception:  # noqa: BLE001  (whatever is wrong with it, it is found out anew)
            del self._had[name]
            return None
        self._now[name] = packed
        return (result,)

    def put(self, name: str, result: Any, packed: bytes | None = None) -> None:
        """Keep a result; `packed`: the same as bytes, where there are some."""
        if packed is None:
            self._new[name] = result
        else:
            self._new.pop(name, None)
            self._now[name] = packed

    def put_unnamed(self, name: Callable[[], str], result: Any, packed: bytes | None = None) -> None:
        """Keep a result whose name is made when it is written, perhaps on another core; without one ("") it is left out."""
        self._unnamed.append((name, result, packed))

    def begin_saving(self) -> None:
        """Write what has been found so far on a core of its own, where nothing was here before; `save` waits for it."""
        if self.is_empty() and cores.number() > 1:
            self._begun = self._names(), len(self._unnamed), cores.beside(self._write)

    def save(self) -> None:
        """Write what this check has asked for, at once or not at all. Raises nothing: without it the next check takes longer."""
        if self._begun is not None:
            names, unnamed, ended = self._begun
            if ended()[0] and names == self._names() and unnamed == len(self._unnamed):
                return
        if self._new or self._unnamed or self._now.keys() != self._had.keys():
            self._write()

    def _names(self) -> set[str]:
        return {*self._now, *self._new}

    def _write(self) -> bool:
        """Whether it was written."""
        try:
            if program() != self._made_by:
                return False
            for name_of, result, packed in self._unnamed:
                if name := name_of():
                    self.put(name, result, packed)
            self._unnamed.clear()
            results = {**self._now, **{name: pack(result) for name, result in self._new.items()}}
            index = json.dumps([[name, len(packed)] for name, packed in results.items()]).encode()
            rest = b"".join([index, b"\n", *results.values()])
            if len(rest) > MOST_BYTES:
                return False
            self._file.parent.mkdir(parents=True, exist_ok=True)
            fresh = self._file.with_name(f"{self._file.name}.{os.getpid()}.new")
            fresh.write_bytes(_head(self._made_by, rest) + rest)
            fresh.replace(self._file)
            others = sorted(self._file.parent.iterdir(), key=lambda file: file.stat().st_mtime, reverse=True)
            for old in others[MOST_STORES:]:
                old.unlink()
            return True
        except OSError:
            return False


def _read(file: Path, made_by: str) -> dict[str, bytes]:
    """The results in a store; none where it is not whole, or made by another program."""
    try:
        raw = file.read_bytes()
        start = raw.index(b"\n") + 1
        rest = memoryview(raw)[start:]
        if raw[:start] != _head(made_by, rest):
            return {}
        at = raw.index(b"\n", start) + 1
        found = {}
        for name, length in json.loads(raw[start:at]):
            found[name] = raw[at:at + length]
            at += length
        return found
    except (OSError, ValueError):
        return {}


def _head(made_by: str, rest: bytes | memoryview) -> bytes:
    return f"{made_by} {hashlib.sha256(rest).hexdigest()}\n".encode()


def pack(result: Any) -> bytes:
    """A result as bytes."""
    return pickle.dumps(result, pickle.HIGHEST_PROTOCOL)


def begin(jobs: Sequence[Sequence[Callable[[], Any]]]) -> Callable[[], Iterator[tuple[Any, bytes | None]]]:
    """Begin lists of jobs on the other cores (see `cores.begin`), each list in one place. What is returned has the results of all in
    their order, and as bytes too where they come from another core."""
    def each(lot: Sequence[Sequence[Callable[[], Any]]]) -> list[Any]:
        return [job() for some in lot for job in some]

    def packed(results: Sequence[Any]) -> list[bytes]:
        return [pack(result) for result in results]

    lots = cores.begin([partial(each, lot) for lot in cores.lots(jobs)], packed)

    def ended() -> Iterator[tuple[Any, bytes | None]]:
        waiting = lots()[::-1]
        while waiting:  # each is let go as it is taken: of a large handbook they fill much memory
            lot, beside = waiting.pop()
            yield from ((unpacked(one), one) if beside else (one, None) for one in lot)

    return ended


def unpacked(packed: bytes) -> Any:
    """What was packed. Raises: pickle.UnpicklingError for what names anything but the content's own types; others for damage."""
    return _Unpickler(io.BytesIO(packed)).load()


class _Unpickler(pickle.Unpickler):
    """Makes objects of the content's model, problems, dates and amounts, and calls nothing else."""

    def find_class(self, module: str, name: str) -> Any:
        if not _types:
            _types.update({(one.__module__, one.__qualname__): one for one in _own_types()})
        try:
            return _types[module, name]
        except KeyError:
            raise pickle.UnpicklingError(f"{module}.{name} is no type of the content") from None


_types: dict[tuple[str, str], type] = {}


def _own_types() -> list[type]:
    from macros import model  # noqa: F401  (its types are found below)
    from macros.fields import Standing
    from macros.problems import At, Problem

    found, waiting = [At, Problem, decimal.Decimal, datetime.date], [Standing]
    while waiting:
        found.append(waiting.pop())
        waiting += found[-1].__subclasses__()
    return found
