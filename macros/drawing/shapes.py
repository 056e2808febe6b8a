"""The shapes that every drawing is made of, each drawn in one place.

A drawing of the content names a shape: ``<use href="shapes.svg#floor" x="4" y="306" width="312"/>``. Shapes
with numbers in them are functions here (a floor of any width, a hose along any path); parts that are always
the same stand in shapes.svg beside this file. Line weights and colours are classes, and what a class looks
like stands in site_overrides/look/drawing.css alone. ``class="ask"`` puts a part in the accent: what the
hand touches.
"""

import math
import re
from collections.abc import Callable
from functools import cache
from inspect import signature
from pathlib import Path
from xml.etree import ElementTree

from calculators.figure import Drawing, n
from macros.problems import meant
from macros.words import _

FILE = "shapes.svg"
PARTS = Path(__file__).with_name(FILE)
_SVG = "{http://www.w3.org/2000/svg}"


class Unfit(Exception):
    """A shape that is not known, or is not given what it takes: what was found, what is expected, what was meant."""

    def __init__(self, found: str, expected: str, hint: str = ""):
        super().__init__(found)
        self.found, self.expected, self.hint = found, expected, hint


def _pen() -> Drawing:
    return Drawing("", 0, "", "")


def _ink(pen: Drawing) -> str:
    return "".join(pen.parts)


def floor(x: float, y: float, width: float) -> str:
    """The floor in section, seen from the side."""
    return _ink(_pen().floor(x, x + width, y))


def number(x: float, y: float, n: str, asked: bool = False) -> str:
    """A station's number, or a letter for the order within one step, in a circle; filled with the accent when it is
    the one in question."""
    if not re.fullmatch(r"[0-9a-z]{1,2}", n):
        raise Unfit(f'number n="{n[:40]}"', _("a number or a letter"))
    return _ink(_pen().number(x, y, n, asked))


def steps(x: float, y: float, numbers: tuple[int, ...]) -> str:
    """The numbers of the page's own steps that are about this place, in a row towards the middle of the sheet."""
    way = -1 if x > 160 else 1
    return "".join(number(x + way * 21 * i, y, str(one), True) for i, one in enumerate(numbers))


def leader(x1: float, y1: float, x2: float, y2: float) -> str:
    """The line from a word to the thing, with its dot in the thing."""
    return _ink(_pen().line("thin", x1, y1, x2, y2).dot(x2, y2))


def across(x: float, y: float, width: float) -> str:
    """The line of a horizontal dimension; its value stands as a text below."""
    return _ink(_pen().dimension(x, x + width, y, "")).replace(f'<text class="small mid" x="{n(x + width / 2)}" '
                                                               f'y="{n(y + 17)}"></text>', "")


def upright(x: float, y: float, height: float) -> str:
    """The line of an upright dimension; its value stands as a text beside it."""
    pen = _pen().line("thin", x, y - 8, x, y + height + 8)
    for at in (y, y + height):
        pen.line("thin", x - 3, at + 3, x + 3, at - 3)
    return _ink(pen)


def hose(d: str, r: float) -> str:
    """A hose along a path: ribs, wall and a bore of radius `r`, one path stroked three times."""
    bore = 2 * r
    return (f'<path class="hose" stroke-width="{n(bore + 6)}" stroke-dasharray="2 4" d="{d}"/>'
            f'<path class="hose" stroke-width="{n(bore + 3)}" d="{d}"/>'
            f'<path class="bore" stroke-width="{n(bore)}" d="{d}"/>')


def move(x: float, y: float, width: float) -> str:
    """A hollow block arrow to the right, from (x, y), which is the middle of its tail: what moves, and where to."""
    shaft = width - 14
    return _ink(_pen().path("move", f"M{n(x)} {n(y - 5)}h{n(shaft)}v-6l14 11-14 11v-6h{n(-shaft)}z"))


def turn(x: float, y: float, r: float, start: float, end: float, asked: bool = False) -> str:
    """An arc with a full head round (x, y), from `start` to `end` in degrees, clockwise when `end` is larger."""
    way = 1 if end > start else -1
    ink = " ask" if asked else ""
    first, last = math.radians(start), math.radians(end)
    stop = last - way * 8 / r
    large = int(abs(stop - first) > math.pi)
    pen = _pen().path(f"bold{ink}", f"M{n(x + r * math.cos(first))} {n(y + r * math.sin(first))}A{n(r)} {n(r)} 0 {large} "
                                    f"{int(way > 0)} {n(x + r * math.cos(stop))} {n(y + r * math.sin(stop))}")
    tip = (x + r * math.cos(last), y + r * math.sin(last))
    return _ink(pen.head(*tip, last - way * 5 / r + way * math.pi / 2, "ask-full" if asked else "full"))


def air(x1: float, y1: float, x2: float, y2: float) -> str:
    """Air: dashes of 24 to 30 with a gap between them, each with an open head, as many as find room."""
    length = math.hypot(x2 - x1, y2 - y1)
    count = max(1, round((length + 18) / 45))
    dash = (length - 18 * (count - 1)) / count
    angle = math.atan2(y2 - y1, x2 - x1)
    data = ""
    for i in range(count):
        start, stop = i * (dash + 18), i * (dash + 18) + dash
        tip = (x1 + stop * math.cos(angle), y1 + stop * math.sin(angle))
        side = [(tip[0] - 5.6 * math.cos(angle + turned), tip[1] - 5.6 * math.sin(angle + turned))
                for turned in (math.radians(35), -math.radians(35))]
        data += (f"M{n(x1 + start * math.cos(angle))} {n(y1 + start * math.sin(angle))}L{n(tip[0])} {n(tip[1])}"
                 f"M{n(side[0][0])} {n(side[0][1])}L{n(tip[0])} {n(tip[1])}L{n(side[1][0])} {n(side[1][1])}")
    return _ink(_pen().path("air", data))


def load(x1: float, y1: float, x2: float, y2: float) -> str:
    """A force: a bar across its tail, a bold shaft, a full head at (x2, y2)."""
    angle = math.atan2(y2 - y1, x2 - x1)
    side = (8 * math.sin(angle), -8 * math.cos(angle))
    pen = _pen().path("load", f"M{n(x1 + side[0])} {n(y1 + side[1])}L{n(x1 - side[0])} {n(y1 - side[1])}"
                              f"M{n(x1)} {n(y1)}L{n(x2 - 12 * math.cos(angle))} {n(y2 - 12 * math.sin(angle))}")
    return _ink(pen.head(x2, y2, angle))


def water(x: float, y: float, n: float, asked: bool = False) -> str:
    """`n` wave dashes in a row: water."""
    return f'<path class="water{" ask" if asked else ""}" d="' + "".join(
        f"M{round(x + 18 * i, 1):g} {y:g}q3-5 6 0t6 0" for i in range(int(n))) + '"/>'


def surface(x: float, y: float, width: float) -> str:
    """The surface of a body of water."""
    count = max(1, round(width / 12))
    half = f"{width / count / 2:.2f}"
    return _ink(_pen().path("thin", f"M{n(x)} {n(y)}q{half}-5 {half} 0t{half} 0" + f"t{half} 0t{half} 0" * (count - 1)
                            if count > 1 else f"M{n(x)} {n(y)}q{half}-5 {half} 0t{half} 0"))


def gauge(x: float, y: float, r: float, n: float) -> str:
    """A vacuum gauge with its needle at `n` of its scale, from 0 to 1."""
    pen = _pen().circle("bold paper", x, y, r)
    for i in range(7):
        angle = math.radians(135 + 45 * i)
        long = 0.72 if i % 2 == 0 else 0.78
        pen.line("thin", x + long * r * math.cos(angle), y + long * r * math.sin(angle),
                 x + 0.86 * r * math.cos(angle), y + 0.86 * r * math.sin(angle))
    angle = math.radians(135 + 270 * n)
    pen.line("bold ask", x - 0.15 * r * math.cos(angle), y - 0.15 * r * math.sin(angle),
             x + 0.68 * r * math.cos(angle), y + 0.68 * r * math.sin(angle))
    return _ink(pen.dot(x, y, 4))


#: Shapes drawn from numbers: what each takes are its function's parameters. `step` is filled in by the page.
DRAWN: dict[str, Callable[..., str]] = {
    "floor": floor, "number": number, "leader": leader, "across": across, "upright": upright, "hose": hose, "move": move,
    "turn": turn, "air": air, "load": load, "water": water, "surface": surface, "gauge": gauge,
}
STEP = "step"


@cache
def parts() -> dict[str, ElementTree.Element]:
    """The parts of shapes.svg by their ids."""
    return {one.attrib["id"]: one for one in ElementTree.parse(PARTS).getroot() if "id" in one.attrib}


def names() -> list[str]:
    """Every shape that a drawing may name."""
    return [*DRAWN, STEP, *parts()]


def takes(name: str) -> list[str]:
    """What a shape must be given, by name; a part may be given x, y and a class."""
    return [one for one in signature(DRAWN[name]).parameters if one != "asked"] if name in DRAWN else []


def shape(name: str, given: dict[str, str]) -> str:
    """The markup of a shape with what a drawing gives it (SVG attributes as text). Raises: Unfit."""
    given = dict(given)
    asked = "ask" in given.get("class", "").split()
    if name in DRAWN:
        turned = given.pop("transform", "")
        given.pop("class", "")
        if sorted(given) != sorted(takes(name)):
            raise Unfit(_("{shape} with {given}").format(shape=name, given=", ".join(sorted(given)) or "-"),
                        _("{shape} with {wanted}").format(shape=name, wanted=", ".join(takes(name))))
        known = signature(DRAWN[name]).parameters
        values = {one: text if known[one].annotation is str else _figure(name, one, text) for one, text in given.items()}
        drawn = DRAWN[name](**values, **({"asked": asked} if "asked" in known else {}))
        return f'<g transform="{turned}">{drawn}</g>' if turned else drawn
    if name not in parts():
        raise Unfit(_("the shape {name}").format(name=name[:60]), _("a shape of the house"),
                    meant(name, names(), "macros/drawing/"))
    rest = set(given) - {"class", "x", "y", "transform"}
    if rest:
        raise Unfit(_("{shape} with {given}").format(shape=name, given=", ".join(sorted(rest))),
                    _("{shape} with {wanted}").format(shape=name, wanted="x, y, class, transform"))
    x, y = (_figure(name, one, given.get(one, "0")) for one in ("x", "y"))
    where = " ".join(filter(None, (f"translate({n(x)} {n(y)})" if x or y else "", given.get("transform", ""))))
    inside = "".join(_part(one, asked) for one in parts()[name])
    return f'<g transform="{where}">{inside}</g>' if where else f"<g>{inside}</g>"


def step(given: dict[str, str]) -> Callable[[tuple[int, ...]], str]:
    """The place of the step's own number; the page says which. Raises: Unfit."""
    if set(given) != {"x", "y"}:
        raise Unfit(_("{shape} with {given}").format(shape=STEP, given=", ".join(sorted(given)) or "-"),
                    _("{shape} with {wanted}").format(shape=STEP, wanted="x, y"))
    x, y = (_figure(STEP, one, given[one]) for one in ("x", "y"))
    return lambda numbers: steps(x, y, numbers)


def _figure(shape: str, name: str, text: str) -> float:
    if not re.fullmatch(r"-?\d+(\.\d+)?", text):
        raise Unfit(f'{shape} {name}="{text[:40]}"', _("a number"))
    return float(text)


def _part(one: ElementTree.Element, asked: bool) -> str:
    """An element of a part. In the accent its outline is bold and its face has the wash, on paper, so that
    nothing behind it shows through."""
    tag = one.tag.removeprefix(_SVG)
    given = dict(one.attrib)
    inside = "".join(_part(inner, asked) for inner in one)
    classes = given.get("class", "").split()
    if asked and tag != "g" and "full" not in classes:
        faced = {"tint", "paper", "deep"} & set(classes)
        given["class"] = " ".join([c for c in classes if c not in faced] + ["ask"])
        if faced and "bold" in classes:
            back = _element(tag, {**given, "class": "paper"}, "")
            return back + _element(tag, {**given, "class": given["class"] + " ask-tint"}, inside)
        if faced:
            given["class"] += " paper"
    return _element(tag, given, inside)


def _element(tag: str, given: dict[str, str], inside: str) -> str:
    return f"<{tag}" + "".join(f' {name}="{value}"' for name, value in given.items()) + f">{inside}</{tag}>"
