"""The content's line drawings put into pages: checked, and with ids of their own on every page.

A drawing is SVG of lines and text in the classes of the page's stylesheet. Whatever could run, fetch or
bring its own looks is refused, since the page's content policy would block it or, worse, would not.
"""

import re
from pathlib import Path
from xml.etree import ElementTree as tree

from macros.model import Handbook
from macros.words import _

SVG = "http://www.w3.org/2000/svg"

ELEMENTS = frozenset(
    "svg g path line polyline polygon rect circle ellipse text tspan title desc defs use clipPath mask pattern "
    "marker symbol".split())
ATTRIBUTES = frozenset(
    "id class viewBox role aria-labelledby aria-hidden aria-label d x y x1 y1 x2 y2 cx cy r rx ry width height points "
    "transform dx dy text-anchor stroke-dasharray stroke-dashoffset pathLength clip-path mask fill-rule clip-rule href "
    "patternUnits patternTransform patternContentUnits clipPathUnits maskUnits preserveAspectRatio orient refX refY "
    "markerWidth markerHeight markerUnits marker-start marker-mid marker-end fill stroke".split())
LARGEST = 200_000
"""Bytes of one drawing."""


class BadDrawing(Exception):
    """A drawing that cannot stand in a page; the text names file, reason and what to do."""


class Drawings:
    """The drawings of a handbook, read when first used."""

    def __init__(self, handbook: Handbook):
        self.files: dict[str, Path] = handbook.drawings
        self._read: dict[str, tree.Element] = {}

    def inline(self, name: str, instance: int = 1) -> str:
        """A drawing as markup; from the second `instance` on a page its ids are numbered. Raises: BadDrawing."""
        return numbered(written(self._root(name)), name, instance)

    def title(self, name: str) -> str:
        """The drawing's own title, else ""."""
        return "".join(self._root(name).findtext(f"{{{SVG}}}title", "").split("\n")).strip()

    def _root(self, name: str) -> tree.Element:
        if name not in self._read:
            self._read[name] = read(self.files[name], name)
        return self._read[name]


def read(path: Path, name: str) -> tree.Element:
    """Read and check a drawing; every id in it starts with `name` afterwards. Raises: BadDrawing."""
    data = path.read_bytes()

    def refuse(reason: str) -> BadDrawing:
        return BadDrawing(f"drawings/{path.name}: {reason}")

    if len(data) > LARGEST:
        raise refuse(_("larger than {most} bytes; draw it with fewer points.").format(most=LARGEST))
    if re.search(rb"<!(?:DOCTYPE|ENTITY)", data, re.IGNORECASE):
        raise refuse(_("declares a document type; take the <!DOCTYPE ...> out."))
    try:
        root = tree.fromstring(data)
    except tree.ParseError as error:
        raise refuse(_("not well-formed XML ({reason}).").format(reason=error)) from None
    if root.tag != f"{{{SVG}}}svg":
        raise refuse(_("the root is not <svg xmlns=\"{namespace}\">.").format(namespace=SVG))
    for parent in list(root.iter()):
        for child in list(parent):
            # The classes' looks are in the page's own stylesheet.
            if child.tag == f"{{{SVG}}}style":
                parent.remove(child)
    for element in root.iter():
        _check(element, refuse)
    if root.find(f"{{{SVG}}}title") is None or not root.get("viewBox"):
        raise refuse(_("needs a viewBox and a <title> that says what it is."))
    for id in [element.get("id", "") for element in root.iter() if element.get("id")]:
        if not id.startswith(f"{name}-"):
            _rename(root, id, f"{name}-{id}")
    return root


def _check(element: tree.Element, refuse) -> None:
    tag = element.tag.removeprefix(f"{{{SVG}}}")
    if tag not in ELEMENTS:
        raise refuse(_("<{tag}> cannot stand in a drawing; use lines, shapes and text.").format(tag=tag))
    for key, value in element.attrib.items():
        name = key.removeprefix("{http://www.w3.org/1999/xlink}")
        if name not in ATTRIBUTES:
            raise refuse(_("the attribute {name} of <{tag}> cannot stand in a drawing; looks come from the classes of "
                           "the drawing style.").format(name=name, tag=tag))
        if name == "href" and not value.startswith("#") or re.search(r"url\((?!#)", value):
            raise refuse(_("<{tag}> refers to {what}; a drawing holds everything it shows.").format(
                tag=tag, what=value[:60]))


def _rename(root: tree.Element, old: str, new: str) -> None:
    for element in root.iter():
        for key, value in element.attrib.items():
            if key == "id" and value == old:
                element.set(key, new)
            elif key.endswith("href") and value == f"#{old}":
                element.set(key, f"#{new}")
            elif f"url(#{old})" in value:
                element.set(key, value.replace(f"url(#{old})", f"url(#{new})"))
            elif key.startswith("aria-"):
                element.set(key, " ".join(new if part == old else part for part in value.split()))


def written(root: tree.Element) -> str:
    """A checked drawing as markup for HTML: no prefixes, no comments, no lines of its own."""
    tree.register_namespace("", SVG)
    text = tree.tostring(root, encoding="unicode")
    text = re.sub(r"<!--.*?-->", "", text, flags=re.DOTALL)
    return re.sub(r">\s*\n\s*<", "><", text)


def name_of(svg: str) -> str:
    """The name with which the ids of a calculator's picture start."""
    found = re.search(r'<title id="([^"]*)-t">', svg)
    return found.group(1) if found else ""


def numbered(svg: str, name: str, instance: int) -> str:
    """The markup with `name-` in its ids and references made `name-2-` for the second on a page, and so on."""
    if instance < 2 or not name:
        return svg
    mark = re.escape(name)
    svg = re.sub(rf'( id="){mark}-', rf"\g<1>{name}-{instance}-", svg)
    svg = re.sub(rf'(href="#|url\(#){mark}-', rf"\g<1>{name}-{instance}-", svg)
    return re.sub(r' aria-labelledby="[^"]*"',
                  lambda found: re.sub(rf"(?<=[\" ]){mark}-", f"{name}-{instance}-", found.group(0)), svg)
