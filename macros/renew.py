"""``renew``: bring a content folder that is written for an older version of the content model up to date.

What changes is edited at its place in the text, so comments, spacing, quotes and line endings stay as they were. The
files as they were are kept in a folder beside them until the next renewal; ``--undo`` puts them back.
"""

import difflib
import hashlib
import json
import re
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from macros import schema_files
from macros.console import Stop, command
from macros.load import Node, parse
from macros.model import MODEL
from macros.problems import Place
from macros.words import _, mark

BEFORE = ".before-renewal"
"""The folder, beside the files, in which they are kept as they were."""

RECORD = "renewal.json"

_BREAK = re.compile("\r\n|[\r\n\x85\u2028\u2029]")
"""What the parser takes for the end of a line."""


@dataclass(frozen=True)
class Renamed:
    """A key of a file's outermost mapping that has another name from one version to the next, and why."""

    file: str
    old: str
    new: str
    why: str


CHANGES: dict[int, tuple[Renamed, ...]] = {
    1: (Renamed("handbook.yml", "first", "above_all", mark(
        "the sentence that stands above all others is not called as the procedures that are done first")),),
}
"""Version -> what changes from it to the next one."""


@dataclass(frozen=True)
class Change:
    """One file before and after."""

    name: str
    before: bytes
    after: bytes


def plan(content: Path) -> tuple[int, list[Change], list[str]]:
    """The version that a folder is written for, the files that change, and why. Raises: Stop, OSError."""
    head = _File(content, "handbook.yml")
    at, node = head.root.entries.get("model", (None, None))
    if node is None or not re.fullmatch("[0-9]{1,9}", node.text):
        raise Stop(_("{file} does not say for which version of the content model it is written: add a line such as "
                     "model: {known}").format(
            file=content / "handbook.yml", known=MODEL))
    version = int(node.text)
    if version > MODEL:
        raise Stop(_("{folder} is written for version {found} of the content model, and this program reads {known}: "
                     "get a newer program. Nothing was changed.").format(folder=content, found=version, known=MODEL))
    if version < min(CHANGES):
        raise Stop(_("{folder} is written for version {found} of the content model, which there never was; there are "
                     "{all}.").format(
            folder=content, found=version, all=", ".join(map(str, range(min(CHANGES), MODEL + 1)))))
    files, why = {head.name: head}, []
    for step in range(version, MODEL):
        for one in CHANGES[step]:
            file = files.setdefault(one.file, head if one.file == head.name else _File(content, one.file))
            if file.rename(one.old, one.new):
                why.append(_("{file}: {old} is now {new}: {why}").format(file=one.file, old=one.old, new=one.new,
                                                                         why=_(one.why)))
    if version < MODEL:
        head.put(node.at, node.text, str(MODEL))
    changes = [Change(name, file.raw, file.bytes()) for name, file in files.items() if file.bytes() != file.raw]
    return version, changes, why


def _unreadable(content: Path, name: str) -> Stop:
    return Stop(_("{file} cannot be read; see: {command}").format(file=content / name,
                                                                  command=command("check", content)))


class _File:
    """A content file's text, and the edits at places of it."""

    def __init__(self, content: Path, name: str) -> None:
        self.name, self.raw = name, (content / name).read_bytes()
        try:
            self.text = self.raw.decode("utf-8-sig")
        except UnicodeDecodeError:
            raise _unreadable(content, name) from None
        root, problems = parse(self.text, name)
        if root is None or root.kind != "map" or problems:
            raise _unreadable(content, name)
        self.root: Node = root
        self._starts = [0, *(found.end() for found in _BREAK.finditer(self.text))]
        self._edits: list[tuple[int, int, str]] = []

    def rename(self, old: str, new: str) -> bool:
        """Another name for a key of the outermost mapping; whether it is there. Raises: Stop where both are."""
        if old not in self.root.entries:
            return False
        at = self.root.entries[old][0]
        if new in self.root.entries:
            raise Stop(_("{file}:{line}: both {old} and {new} are there, and only one can stay: take one of them out "
                         "first.").format(
                file=self.name, line=at[1], old=old, new=new))
        self.put(at, old, new)
        return True

    def put(self, at: Place, old: str, new: str) -> None:
        """The word `new` in place of `old` at its place, between the quotes that are there."""
        _file, line, column = at
        start = self._starts[line - 1] + column - 1
        start += self.text[start] in "\"'"
        if not self.text.startswith(old, start):
            raise Stop(_("{file}:{line}: write {old} plainly first, without escapes.").format(
                file=self.name, line=line, old=old))
        self._edits.append((start, start + len(old), new))

    def bytes(self) -> bytes:
        """The file with its edits."""
        text = self.text
        for start, end, new in sorted(self._edits, reverse=True):
            text = text[:start] + new + text[end:]
        return (b"\xef\xbb\xbf" if self.raw.startswith(b"\xef\xbb\xbf") else b"") + text.encode()


def shown(changes: list[Change]) -> str:
    """What will change, as a unified diff."""
    parts = []
    for one in changes:
        before, after = (raw.decode("utf-8-sig").splitlines() for raw in (one.before, one.after))
        parts += difflib.unified_diff(before, after, one.name, one.name, lineterm="")
    return "\n".join(parts)


def carry_out(content: Path, version: int, changes: list[Change]) -> list[Path]:
    """Keep the files as they are, then write them; the paths written. handbook.yml comes last: until it is written the
    renewal has not happened, and can be begun again. Raises: OSError."""
    kept = content / BEFORE
    schemas = sorted((content / schema_files.FOLDER).glob("*.json")) if (content / schema_files.FOLDER).is_dir() else []
    if not _begun(content, version):
        shutil.rmtree(kept, ignore_errors=True)
    for path in [*(content / one.name for one in changes), *schemas]:
        copy = kept / path.relative_to(content)
        if not copy.exists():
            copy.parent.mkdir(parents=True, exist_ok=True)
            _replace(copy, path.read_bytes())
    record = {"from": version, "to": MODEL, "written": {one.name: _hash(one.after) for one in changes}}
    _replace(kept / RECORD, (json.dumps(record, indent=1) + "\n").encode())
    written = []
    for one in sorted(changes, key=lambda one: one.name == "handbook.yml"):
        _replace(content / one.name, one.after)
        written.append(content / one.name)
    return written + (schema_files.write_schemas(content) if schemas else [])


def undo(content: Path) -> list[Path]:
    """Put the files back as they were before the renewal; the paths written.

    Raises: Stop where nothing was kept, and where a file was changed since: what was written since is not lost.
    OSError.
    """
    kept = content / BEFORE
    record = _record(kept)
    if record is None:
        raise Stop(_("{folder} holds no files of before a renewal: there is nothing to undo.").format(folder=kept))
    for name, digest in record["written"].items():
        now = _hash((content / name).read_bytes()) if (content / name).is_file() else ""
        if now not in (digest, _hash((kept / name).read_bytes())):
            raise Stop(_("{file} was changed after the renewal. Nothing was put back; as it was before it stands in "
                         "{kept}.").format(
                file=content / name, kept=kept / name))
    written = []
    for copy in sorted(path for path in kept.rglob("*") if path.is_file() and path.name != RECORD):
        target = content / copy.relative_to(kept)
        _replace(target, copy.read_bytes())
        written.append(target)
    shutil.rmtree(kept)
    return written


def run(content: Path, yes: bool, back: bool, ask: Callable[[str], bool]) -> tuple[int, list[str]]:
    """Carry out the verb: exit status, and what to say at its end. `ask` gets the question. Raises: Stop, OSError."""
    if back:
        return 0, [*map(str, undo(content)), _("The files are as they were before the renewal.")]
    version, changes, why = plan(content)
    if version == MODEL:
        return 0, [_("{folder} is up to date: version {known} of the content model.").format(folder=content,
                                                                                             known=MODEL)]
    print(shown(changes))
    for one in why:
        print(one)
    question = _("From version {old} to {new} of the content model: change {number} files?").format(
        old=version, new=MODEL, number=len(changes))
    if not yes and not ask(question):
        return 1, [_("Nothing was changed. With --yes it is done without asking.")]
    written = carry_out(content, version, changes)
    return 0, [*map(str, written),
               _("Up to date. The files as they were are in {kept}. To put them back: {command}").format(
        kept=content / BEFORE, command=command("renew --undo", content))]


def _begun(content: Path, version: int) -> bool:
    """Whether a renewal from this version was begun and cut off, and nothing was changed since but by it.

    What was kept then is what was there before it; otherwise it is of an earlier renewal, and is not needed any more.
    """
    kept = content / BEFORE
    record = _record(kept)
    return record is not None and record["from"] == version and all(
        (content / name).is_file()
        and _hash((content / name).read_bytes()) in (digest, _hash((kept / name).read_bytes()))
        for name, digest in record["written"].items())


def _record(kept: Path) -> dict | None:
    try:
        record = json.loads((kept / RECORD).read_bytes())
    except (OSError, ValueError):
        return None
    fits = isinstance(record, dict) and isinstance(record.get("from"), int) and isinstance(record.get("written"), dict)
    return record if fits and all((kept / name).is_file() for name in record["written"]) else None


def _hash(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()


def _replace(path: Path, raw: bytes) -> None:
    fresh = path.with_name(path.name + ".new")
    fresh.write_bytes(raw)
    fresh.replace(path)
