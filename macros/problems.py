"""A problem of the content: where it stands, what was found, what is expected, what to do."""

import os
from collections.abc import Collection
from dataclasses import asdict, dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import NamedTuple

from macros.words import _

#: How far into a file the line of a problem is looked for, in bytes.
MOST_SHOWN = 1_000_000


Place = tuple[str, int, int]
"""What an `At` holds, plain: a large handbook has some 200,000 of them, which are made and kept ten times as fast."""


class At(NamedTuple):
    """A place in the content: path relative to the content folder's parent, line and column from 1."""

    file: str = ""
    line: int = 1
    column: int = 1


@dataclass(frozen=True)
class Problem:
    """One thing that keeps the content from being published; `rule` names its kind, `about` the id that it is in."""

    at: At
    rule: str
    found: str
    expected: str
    hint: str = ""
    about: str = ""

    def __post_init__(self) -> None:
        if type(self.at) is not At:  # a plain place is taken too
            object.__setattr__(self, "at", At(*self.at))

    @property
    def file(self) -> str:
        return self.at.file

    @property
    def line(self) -> int:
        return self.at.line

    @property
    def column(self) -> int:
        return self.at.column

    def record(self) -> dict[str, str | int]:
        """The problem as plain data: file, line, column, rule, found, expected, hint."""
        plain = asdict(self)
        plain.pop("about")
        return {**plain.pop("at")._asdict(), **plain}

    def __str__(self) -> str:
        parts = [self.found, self.expected, self.hint]
        return f"{self.file}:{self.line}:{self.column}: " + " ".join(
            _sentence(part) for part in parts if part
        )

    def annotation(self, root: Path) -> str:
        """The problem as a workflow command (``::error file=...``), which CI services show at the line.

        `root` holds the content folder; the file is named from the folder in which the program was started.
        """
        file = os.path.relpath(root / self.file)
        given = {"file": file.replace(os.sep, "/"), "line": self.line, "col": self.column, "title": self.rule}
        properties = ",".join(f"{name}={_escaped(str(value), ':,')}" for name, value in given.items())
        says = str(self).removeprefix(f"{self.file}:{self.line}:{self.column}: ")
        return f"::error {properties}::{_escaped(says)}"

    def with_source(self, root: Path) -> str:
        """The problem, the line it stands in and a caret under the place; `root` holds the content folder."""
        path = root / self.file
        try:
            if (
                path.is_symlink() or not path.is_file()
            ):  # a link may lead out of the content, a pipe never ends
                return str(self)
            with path.open("rb") as file:
                lines = file.read(MOST_SHOWN).decode("utf-8", "replace").splitlines()
            source = lines[self.line - 1]
        except (OSError, IndexError, ValueError):
            return str(self)
        start = max(0, self.column - 61)
        shown = "".join(ch if ch.isprintable() else " " for ch in source[start : start + 120])
        return f"{self}\n    {shown}\n    {' ' * (self.column - 1 - start)}^"


def _escaped(text: str, also: str = "") -> str:
    """A text as workflow commands take it: what would end it is written as its number."""
    return "".join(f"%{ord(ch):02X}" if ch in "%\r\n" + also else ch for ch in text)


def printable(name: str) -> str:
    """A file's name as it can be printed: bytes that are no text and line breaks are written as escapes."""
    plain = name.encode("utf-8", "backslashreplace").decode()
    return plain if plain.isprintable() else "".join(ch if ch.isprintable() else ch.encode("unicode_escape").decode() for ch in plain)


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:] if not text.startswith(("'", '"')) else text
    return text if text.endswith((".", "?", "!")) else text + "."


def meant(name: str, known: Collection[str], where: str = "") -> str:
    """Hint for an unknown name: the one that was meant, or those that there are, and where they stand."""
    close = get_close_matches(name, list(known), 1, 0.6)
    listed = _("They are listed in {where}.").format(where=where) if where else ""
    if close:
        return " ".join(filter(None, [_("Did you mean {name}?").format(name=f'"{close[0]}"'), listed]))
    if known and len(known) <= 20:
        return " ".join(filter(None, [_("There are: {names}.").format(names=", ".join(known)), listed]))
    return listed
