"""Guides in prose: Markdown files in content/guides/, each with one title and drawings of the content.

A drawing stands as a picture: ``![what it shows](../drawings/NAME.svg)`` on a line of its own.
"""

import re
from dataclasses import dataclass
from pathlib import Path

from macros.fields import ID
from macros.load import MOST_BYTES
from macros.model import Handbook
from macros.problems import At, Problem, meant, printable
from macros.words import _

_DRAWING = re.compile(r"^!\[([^\]\n]*)\]\(\.\./drawings/([^)\s]+)\.svg\)[ \t]*$", re.MULTILINE)


@dataclass(frozen=True)
class Guide:
    """One guide: its title (the first line, ``# Title``), its first paragraph, its text after the title."""

    id: str
    title: str
    says: str
    text: str


def read(handbook: Handbook) -> tuple[dict[str, Guide], list[Problem]]:
    """Every guide by its id (the file's name), and the problems of those that cannot be taken."""
    folder = handbook.root / "guides"
    root = handbook.root.resolve()
    guides, problems = {}, []
    for path in sorted(folder.glob("*.md")) if folder.is_dir() else ():
        name = printable(f"{root.name}/guides/{path.name}")
        if not path.is_file() or not path.resolve().is_relative_to(root):
            continue  # a link that leads out is said by the reading of the folder
        try:
            text = path.read_bytes()[:MOST_BYTES + 1].decode("utf-8-sig")
        except OSError as error:
            problems.append(Problem(At(name), "file", _("the file cannot be read: {why}").format(
                why=error.strerror or error), _("a readable file")))
            continue
        except UnicodeDecodeError:
            problems.append(Problem(At(name), "encoding", _("bytes that are not UTF-8"), _("text in UTF-8"),
                                    _("save the file with the encoding UTF-8")))
            continue
        guide, found = _one(path.stem, text, name, handbook)
        problems += found
        if guide is not None:
            guides[guide.id] = guide
    return guides, problems


def _one(id: str, text: str, name: str, handbook: Handbook) -> tuple[Guide | None, list[Problem]]:
    problems = []
    if len(text.encode()) > MOST_BYTES:
        return None, [Problem(At(name), "file-size", _("the file is larger than {most} bytes").format(most=MOST_BYTES),
                              _("a content file is small"), _("part it into several"))]
    if not ID.fullmatch(id):
        problems.append(Problem(At(name), "file-name", _("the file's name is not an id"),
                                _("small letters, digits and hyphens, then .md"), _("rename the file")))
    first, _newline, rest = text.lstrip("\n").partition("\n")
    if not first.startswith("# ") or not first[2:].strip():
        return None, [*problems, Problem(At(name), "no-title", _("the guide has no title"),
                                         _("a first line such as: # How the machine lifts water"))]
    for found in _DRAWING.finditer(text):
        if found[2] not in handbook.drawings:
            line = text.count("\n", 0, found.start()) + 1
            problems.append(Problem(At(name, line, 1), "unknown-drawing", _('"{name}" is not the name of a drawing').format(
                name=found[2]), "", meant(found[2], list(handbook.drawings), f"{handbook.root.resolve().name}/drawings/")))
    says = next((part for part in re.split(r"\n\s*\n", rest.strip()) if part and part[0].isalnum()), "")
    return Guide(id, first[2:].strip(), " ".join(says.split()), rest.strip()), problems


def parts(guide: Guide) -> list[tuple[str, str, str]]:
    """The text in order: ("text", Markdown, "") and ("drawing", name, words under it)."""
    found, at = [], 0
    for match in _DRAWING.finditer(guide.text):
        found += [("text", guide.text[at:match.start()], ""), ("drawing", match[2], match[1])]
        at = match.end()
    return [part for part in [*found, ("text", guide.text[at:], "")] if part[1].strip()]
