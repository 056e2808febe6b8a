"""The content's line drawings, put into pages: read strictly, with ids that are unique on the page.

A drawing names the shapes it is made of (`macros/drawing/`), and the place of its step's own number, which
the page fills in.
A drawing may hold shapes, texts and references to itself; nothing that runs, nothing from elsewhere, no
style attribute (a strict content policy would refuse it). Its `<style>` block is left out, since the
page's stylesheet has the same rules.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from xml.parsers import expat

from markupsafe import Markup

from macros.drawing import shapes
from macros.problems import At, Problem
from macros.words import _

ELEMENTS = frozenset((
    "svg", "title", "desc", "g", "defs", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text",
    "tspan", "pattern", "clipPath", "mask", "marker", "use", "symbol"))

ATTRIBUTES = frozenset((
    "class", "id", "d", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "dx", "dy", "width", "height",
    "points", "viewBox", "preserveAspectRatio", "transform", "role", "aria-label", "aria-labelledby", "aria-hidden",
    "text-anchor", "stroke-dasharray", "stroke-dashoffset", "stroke-linecap", "stroke-linejoin", "stroke-width",
    "stroke", "fill", "fill-rule", "fill-opacity", "clip-rule", "clip-path", "mask", "opacity", "patternUnits",
    "patternTransform", "clipPathUnits", "maskUnits", "markerUnits", "markerWidth", "markerHeight", "refX", "refY",
    "orient", "marker-end", "marker-start", "href", "xmlns", "lang", "xml:lang", "xml:space"))

MOST_BYTES = 200_000
MOST_DEEP = 30

_OWN = re.compile(r"#[\w.:-]+")
_URL = re.compile(r"url\(\s*['\"]?(.*?)['\"]?\s*\)")


class Refused(Exception):
    """A drawing that is not put into a page: line and column from 1, what was found, what is expected, what to do."""

    def __init__(self, line: int, column: int, found: str, expected: str, hint: str = ""):
        super().__init__(found)
        self.line, self.column, self.found, self.expected, self.hint = line, column, found, expected, hint


@dataclass
class Drawing:
    """A drawing as pieces of markup; a piece that is a function gives the markup for an id's prefix and the
    numbers of the steps that the drawing is for."""

    pieces: list[str | Callable[[str, tuple[int, ...]], str]] = field(default_factory=list)
    title: str = ""
    desc: str = ""
    labels: tuple[str, ...] = ()
    ids: dict[str, str] = field(default_factory=dict)

    def markup(self, prefix: str, steps: tuple[int, ...] = ()) -> Markup:
        """The drawing with `prefix` before each of its ids, and the step's own number where it has a place."""
        return Markup("".join(piece if isinstance(piece, str) else piece(prefix, steps) for piece in self.pieces))


def read(data: bytes) -> Drawing:
    """The drawing in the bytes of an SVG file. Raises: Refused."""
    if len(data) > MOST_BYTES:
        raise Refused(1, 1, _("{bytes} bytes").format(bytes=len(data)),
                      _("at most {most} bytes for a drawing").format(most=MOST_BYTES))
    return _Reader().read(data)


class _Reader:
    """Reads one drawing event by event, so that every refusal has its line and column."""

    def __init__(self) -> None:
        self.drawing = Drawing()
        self.open: list[str] = []
        self.skipping = 0
        self.words = ""
        self.parser = expat.ParserCreate()
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.parser.StartDoctypeDeclHandler = lambda *_given: self._refuse(
            _("a document type"), _("a drawing without <!DOCTYPE> and entities"))
        self.parser.ProcessingInstructionHandler = lambda *_given: self._refuse(
            _("a processing instruction"), _("a drawing without <?...?>"))

    def read(self, data: bytes) -> Drawing:
        try:
            self.parser.Parse(data, True)
        except expat.ExpatError as error:
            raise Refused(error.lineno, error.offset + 1, expat.ErrorString(error.code),
                          _("an SVG drawing, well formed")) from None
        self._named()
        return self.drawing

    def _named(self) -> None:
        """It can be told without being seen: a title and a description, both named by the drawing itself."""
        drawing = self.drawing
        lacking = [f"<{name}>" for name in ("title", "desc") if not getattr(drawing, name)]
        named = {drawing.ids.get(label) for label in drawing.labels}
        if lacking or named != {"title", "desc"}:
            raise Refused(1, 1, _("a drawing without {what}").format(what=" and ".join(lacking or ["aria-labelledby"])),
                          _('<svg aria-labelledby="NAME-t NAME-d"> with <title id="NAME-t"> (what it is) and '
                            '<desc id="NAME-d"> (what it shows)'))

    def _refuse(self, found: str, expected: str, hint: str = "") -> None:
        raise Refused(self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1, found, expected, hint)

    def _start(self, name: str, given: dict[str, str]) -> None:
        if self.skipping or name == "style":
            self.skipping += 1
            return
        if name not in ELEMENTS or (name == "svg") != (not self.open):
            self._refuse(_("the element <{name}>").format(name=name),
                         _("a drawing of shapes and texts in one <svg>, without script, picture or link"))
        if len(self.open) >= MOST_DEEP:
            self._refuse(_("elements {most} deep").format(most=MOST_DEEP), _("a flatter drawing"))
        if name == "use" and given.get("href", "").startswith(f"{shapes.FILE}#"):
            self._shape(given)
            return
        self.open.append(name)
        self.words = ""
        if name in ("title", "desc") and "id" in given:
            self.drawing.ids[given["id"]] = name
        if len(self.open) == 1:
            self.drawing.labels = tuple(given.get("aria-labelledby", "").split())
        self.drawing.pieces.append(f"<{name}")
        for attribute, value in given.items():
            self._attribute(attribute, value)
        self.drawing.pieces.append(">")

    def _shape(self, given: dict[str, str]) -> None:
        """A shape of the house, put in its place; nothing may stand inside the element."""
        self.skipping += 1
        name = given["href"].partition("#")[2]
        rest = {key: value for key, value in given.items() if key != "href"}
        for value in rest.values():
            if '"' in value or "<" in value or "&" in value or "url(" in value.lower():
                self._refuse(_("a reference to {what}").format(what=value[:60]), _("references inside the drawing alone"))
        try:
            if name == shapes.STEP:
                spot = shapes.step(rest)
                self.drawing.pieces.append(lambda _prefix, steps: spot(steps))
            else:
                self.drawing.pieces.append(shapes.shape(name, rest))
        except shapes.Unfit as unfit:
            self._refuse(unfit.found, unfit.expected, unfit.hint)

    def _attribute(self, name: str, value: str) -> None:
        if name.startswith("xmlns:"):
            return
        if name == "xlink:href":
            name = "href"
        if name not in ATTRIBUTES:
            self._refuse(_("the attribute {name}").format(name=name),
                         _("classes of the drawing style; no style attribute, nothing that runs"))
        add = self.drawing.pieces.append
        if name == "xmlns":
            return  # HTML knows the element without it
        if name == "id":
            add(lambda prefix, _steps: f' id="{prefix}{escape(value)}"')
        elif name == "aria-labelledby":
            add(lambda prefix, _steps: f' aria-labelledby="{" ".join(prefix + escape(one) for one in value.split())}"')
        elif name == "href":
            if not _OWN.fullmatch(value):
                self._refuse(_("a reference to {what}").format(what=value[:60]), _("references inside the drawing alone"))
            add(lambda prefix, _steps: f' href="#{prefix}{escape(value[1:])}"')
        elif "url(" in value.lower() or "\\" in value:
            self._url(name, value)
        else:
            add(f' {name}="{escape(value)}"')

    def _url(self, name: str, value: str) -> None:
        found = _URL.fullmatch(value)
        if not found or not _OWN.fullmatch(found[1]):
            self._refuse(_("a reference to {what}").format(what=value[:60]), _("references inside the drawing alone"))
        self.drawing.pieces.append(lambda prefix, _steps: f' {name}="url(#{prefix}{escape(found[1][1:])})"')

    def _end(self, name: str) -> None:
        if self.skipping:
            self.skipping -= 1
            return
        self.open.pop()
        if len(self.open) == 1 and name in ("title", "desc"):
            setattr(self.drawing, name, getattr(self.drawing, name) or " ".join(self.words.split()))
        self.drawing.pieces.append(f"</{name}>")

    def _text(self, text: str) -> None:
        if self.skipping:
            return
        self.words += text
        if text.strip() or self.open[-1:] in (["text"], ["tspan"]):
            self.drawing.pieces.append(escape(text, quote=False))


def problems(name: str, data: bytes) -> list[Problem]:
    """What keeps the drawing in the file `name` from being shown, with line and column."""
    try:
        read(data)
    except Refused as refused:
        return [Problem(At(name, refused.line, refused.column), "drawing", _("found {found}").format(found=refused.found),
                        _("expected {what}").format(what=refused.expected), refused.hint)]
    return []


class Drawings:
    """The drawings of a handbook, each read once."""

    def __init__(self, files: dict[str, Path]):
        self._files = files
        self._read: dict[str, Drawing] = {}

    def get(self, name: str) -> Drawing:
        """The drawing `name`. Raises: KeyError, Refused."""
        if name not in self._read:
            self._read[name] = read(self._files[name].read_bytes())
        return self._read[name]


class OnePage:
    """Puts drawings into one page; the same drawing twice has other ids the second time."""

    def __init__(self, drawings: Drawings):
        self._drawings = drawings
        self._times: dict[str, int] = {}

    def _prefix(self, name: str) -> str:
        self._times[name] = self._times.get(name, 0) + 1
        return "dw-" if self._times[name] == 1 else f"dw{self._times[name]}-"

    def drawing(self, name: str, steps: Iterable[int] = ()) -> Markup:
        """A drawing of the content; `steps` are the numbers of the page's steps that it is for."""
        return self._drawings.get(name).markup(self._prefix(name), tuple(steps))

    def suffix(self, calculator: str) -> str:
        """What the ids in a calculator's picture end in: nothing where it stands on the page for the first time."""
        name = f"calculator {calculator}"
        self._times[name] = self._times.get(name, 0) + 1
        return "" if self._times[name] == 1 else f"-{self._times[name]}"


def with_suffix(svg: str, suffix: str) -> str:
    """A picture of our own with `suffix` after each of its ids."""
    if not suffix:
        return svg
    svg = re.sub(r' id="([^"]*)"', rf' id="\1{suffix}"', svg)
    return re.sub(r' aria-labelledby="([^"]*)"', lambda found: ' aria-labelledby="{}"'.format(
        " ".join(one + suffix for one in found[1].split())), svg)
