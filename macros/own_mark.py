"""The handbook's own mark: ``mark.svg`` in the content folder, with ``mark-180.png`` and ``mark-512.png`` where there are.

It stands in the head of every page, in the browser's tab and on a device's home screen, in place of the program's own.
"""

import re
from pathlib import Path
from xml.parsers import expat

from macros.words import _

FILE = "mark.svg"
PICTURES = {"mark-180.png": "look/icon-180.png", "mark-512.png": "look/icon-512.png"}
"""The same mark in pixels, for devices that take no SVG -> where the site has it."""

MOST_BYTES = 100_000

_RUNS = {"script", "foreignObject", "iframe", "image", "a", "animate", "set"}


class Unfit(Exception):
    """The file cannot be the mark; the text says why, `expected` what it has to be, `line` and `column` where."""

    def __init__(self, line: int, column: int, found: str, expected: str) -> None:
        super().__init__(found)
        self.line, self.column, self.expected = line, column, expected


def read(content: Path) -> bytes | None:
    """The mark of a content folder; None where it has none. Raises: Unfit, OSError."""
    path = content / FILE
    if not path.exists():
        return None
    raw = path.read_bytes()
    _check(raw)
    return raw


def _check(raw: bytes) -> None:
    """Raises: Unfit."""
    if len(raw) > MOST_BYTES:
        raise Unfit(1, 1, _("the mark is larger than {most} bytes").format(most=MOST_BYTES), _("a small picture"))
    parser = expat.ParserCreate()
    depth = 0

    def refuse(found: str, expected: str) -> None:
        raise Unfit(parser.CurrentLineNumber, parser.CurrentColumnNumber + 1, found, expected)

    def start(name: str, given: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if (name == "svg") != (depth == 1):
            refuse(_("the element <{name}>").format(name=name), _("one <svg> with shapes in it"))
        if depth == 1:
            sides = [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", given.get("viewBox", ""))][2:]
            if len(sides) != 2 or abs(sides[0] - sides[1]) > 1e-6 * abs(sides[0]) or sides[0] <= 0:
                refuse(_("a picture of {size}").format(size=_("{wide} by {high}").format(wide=f"{sides[0]:g}", high=f"{sides[1]:g}"))
                       if len(sides) == 2 else _("no viewBox"), _('a square, such as <svg viewBox="0 0 512 512">'))
        if name in _RUNS:
            refuse(_("the element <{name}>").format(name=name), _("shapes alone: no script, nothing that moves, no picture"))
        for key, value in given.items():
            if key.startswith("on") or re.search(r"(?:javascript|https?|file|data):|//", value) and not key.startswith("xmlns"):
                refuse(_("the attribute {name}").format(name=f'{key}="{value[:40]}"'),
                       _("nothing that runs, and nothing from elsewhere"))

    def end(_name: str) -> None:
        nonlocal depth
        depth -= 1

    def text(words: str) -> None:
        if re.search(r"@import|url\s*\(\s*['\"]?(?!['\"]?#)", words):
            refuse(_("a style that fetches something"), _("nothing from elsewhere"))

    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = start, end, text
    parser.StartDoctypeDeclHandler = lambda *_given: refuse(_("a document type"), _("an SVG without <!DOCTYPE ...>"))
    try:
        parser.Parse(raw, True)
    except expat.ExpatError as error:
        raise Unfit(error.lineno, error.offset + 1, _("the file cannot be read as SVG: {why}").format(
            why=expat.ErrorString(error.code)), _("a square picture as SVG")) from None
