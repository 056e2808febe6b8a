"""Results kept within a process, each with the very things that it was made from; and from one start to the next.

A check of a handbook in which one file was saved asks again only what that file changes: a thing that was read anew is
another object, and what stayed is the same one. What two checks in a row have not asked for is let go.

Where a store is given (`macros.stored`), lasting results are kept in it too. There a thing is known by its mark, which says
from which bytes it was read; a result that rests on a thing without a mark does not last.
"""

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import partial, wraps
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from calculators import words

if TYPE_CHECKING:
    from macros.model import Handbook
    from macros.stored import Store

Result = TypeVar("Result")

_held: dict[tuple[str, tuple[int, ...]], tuple[tuple[Any, ...], Any]] = {}
_before: dict[tuple[str, tuple[int, ...]], tuple[tuple[Any, ...], Any]] = {}
_store: "Store | None" = None
_marks: dict[int, tuple[Any, str]] = {}


def kept(what: str, things: Iterable[Any], make: Callable[[], Result], lasting: bool = False) -> Result:
    """The result of `make()`, which rests on `things`, the language in use and on nothing else that may change; `what` names it.

    Things are the same when they are one object: whoever changes one in place asks wrongly. `lasting`: in the store too.
    """
    things = (words.in_use(), *things)
    key = what, tuple(map(id, things))
    found = _held.get(key) or _before.get(key)
    if found is None:
        # The things are held as well, so that no other can get their ids.
        found = things, _lasting(what, things, make) if lasting and _store is not None else make()
    _held[key] = found
    return found[1]


def put(what: str, things: Iterable[Any], result: Any, packed: bytes | None = None) -> None:
    """A lasting result that was made elsewhere; `packed`: the same as bytes."""
    things = (words.in_use(), *things)
    _held[what, tuple(map(id, things))] = things, result
    if _store is None:
        return
    if _store.is_empty():
        _store.put_unnamed(partial(_name, what, things), result, packed)
    elif name := _name(what, things):
        _store.put(name, result, packed)


def begin_saving() -> None:
    """Have what has been found so far written by another core, where there is a store that was empty."""
    if _store is not None:
        _store.begin_saving()


def is_missing(what: str, things: Iterable[Any]) -> bool:
    """Whether a lasting result has not been made yet."""
    things = (words.in_use(), *things)
    key = what, tuple(map(id, things))
    if key in _held or key in _before:
        return False
    # An empty store needs no names to be made.
    return _store is None or _store.is_empty() or not _store.has(_name(what, things))


class Piece(NamedTuple):
    """What `kept` is asked for, to last: so that a piece of work can be handed on before it is done."""

    what: str
    things: tuple[Any, ...]
    make: Callable[[], Any]

    def found(self) -> Any:
        """Its result."""
        return kept(*self, lasting=True)


def listed(pieces: Callable[["Handbook"], Iterable[Piece]]) -> Callable[["Handbook"], list[Piece]]:
    """`pieces(handbook)` as a list that is made once for a handbook: they are asked for before the rules run, and by them."""
    @wraps(pieces)
    def once(handbook: "Handbook") -> list[Piece]:
        return kept(f"pieces of {pieces.__module__}", (handbook,), lambda: list(pieces(handbook)))

    return once


def next_round() -> None:
    """A new check begins: what the last one did not ask for is forgotten."""
    global _held, _before
    _before, _held = _held, {}


# ---- from one start to the next ----


@contextmanager
def lasting_in(store: "Store | None") -> Iterator[None]:
    """Keep lasting results in `store`, and take them from there; it is to be saved before this ends."""
    global _store
    _store = store
    try:
        yield
    finally:
        _store = None
        _marks.clear()


def mark(thing: Any, says: str) -> None:
    """`says` tells from which bytes `thing` was read, and what of them it is: two things with one mark are alike."""
    if _store is not None:
        _marks[id(thing)] = thing, hashlib.sha256(says.encode("utf-8", "surrogatepass")).hexdigest()


def _lasting(what: str, things: tuple[Any, ...], make: Callable[[], Result]) -> Result:
    name = _name(what, things)
    if not name:
        return make()
    had = _store.get(name)
    if had is not None:
        return had[0]
    result = make()
    _store.put(name, result)
    return result


def _name(what: str, things: tuple[Any, ...]) -> str:
    """The name of a result in the store; none where a thing has no mark. The first thing is the language."""
    language = things[0]
    if id(language) not in _marks:
        mark(language, json.dumps(sorted(language.items())))
    told = [what]
    for thing in things:
        if thing is None:
            told.append("none")
        elif id(thing) in _marks:
            told.append(_marks[id(thing)][1])
        else:
            return ""
    return hashlib.sha256("\0".join(told).encode("utf-8", "surrogatepass")).hexdigest()
