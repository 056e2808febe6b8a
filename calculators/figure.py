"""Pictures as SVG, drawn from numbers in the handbook's own line style.

A drawing is 320 units wide. It uses class names only (``thin``, ``bold``, ``tint``, ``ask`` ...); line
weights and colours live in the page's stylesheet, so one drawing serves both colour schemes, print and a
strict content policy. No style attribute, no script, no colour.
"""

import math
from collections.abc import Iterable
from html import escape

WIDTH = 320


def n(value: float) -> str:
    """A coordinate: one decimal, no trailing zero, never minus zero (the same text everywhere)."""
    text = f"{value:.1f}"
    text = text.removesuffix(".0")
    return "0" if text == "-0" else text


def points(pairs: Iterable[tuple[float, float]], close: bool = False) -> str:
    """Path data of straight lines through `pairs`."""
    text = "M" + "L".join(f"{n(x)} {n(y)}" for x, y in pairs)
    return text + "z" if close else text


class Drawing:
    """An SVG drawing under construction; `svg()` gives its text.

    `name` starts every id in it. `title` says what it is, `desc` what it shows with its figures; both are
    read by screen readers.
    """

    def __init__(self, name: str, height: float, title: str, desc: str):
        self.name, self.height, self.title, self.desc = name, height, title, desc
        self.parts: list[str] = []

    def add(self, markup: str) -> "Drawing":
        """Add markup made by this module."""
        self.parts.append(markup)
        return self

    def path(self, classes: str, data: str, dash: str = "") -> "Drawing":
        """A path; `dash` is "3 4" for hidden or former, "6 5" for a forecast."""
        extra = f' stroke-dasharray="{dash}"' if dash else ""
        return self.add(f'<path class="{classes}"{extra} d="{data}"/>')

    def line(self, classes: str, x0: float, y0: float, x1: float, y1: float, dash: str = "") -> "Drawing":
        """A straight line."""
        return self.path(classes, f"M{n(x0)} {n(y0)}L{n(x1)} {n(y1)}", dash)

    def rect(self, classes: str, x: float, y: float, width: float, height: float) -> "Drawing":
        """A rectangle with its upper left corner at (x, y)."""
        return self.add(f'<rect class="{classes}" x="{n(x)}" y="{n(y)}" width="{n(width)}" height="{n(height)}"/>')

    def circle(self, classes: str, x: float, y: float, radius: float) -> "Drawing":
        """A circle."""
        return self.add(f'<circle class="{classes}" cx="{n(x)}" cy="{n(y)}" r="{n(radius)}"/>')

    def text(self, x: float, y: float, words: str, classes: str = "") -> "Drawing":
        """A text; classes: ``small``, ``strong``, ``mid`` (centred), ``end`` (right), ``word`` (accent)."""
        name = f' class="{classes}"' if classes else ""
        return self.add(f'<text{name} x="{n(x)}" y="{n(y)}">{escape(words, quote=False)}</text>')

    def number(self, x: float, y: float, number: int | str, full: bool = False) -> "Drawing":
        """A number or letter in a circle of radius 9, filled with the accent when it is the one in question."""
        self.circle("thin ask ask-full" if full else "thin paper", x, y, 9)
        return self.text(x, y + 4.3, str(number), "num on" if full else "num")

    def dot(self, x: float, y: float, radius: float = 2) -> "Drawing":
        """The dot at the end of a leader."""
        return self.circle("full", x, y, radius)

    def head(self, x: float, y: float, angle: float, classes: str = "full", length: float = 12,
             width: float = 11) -> "Drawing":
        """A full arrow head with its tip at (x, y), pointing along `angle` (radians, y down)."""
        back = (x - length * math.cos(angle), y - length * math.sin(angle))
        side = (width / 2 * math.sin(angle), -width / 2 * math.cos(angle))
        return self.path(classes, points([(x, y), (back[0] + side[0], back[1] + side[1]),
                                          (back[0] - side[0], back[1] - side[1])], close=True))

    def dimension(self, x0: float, x1: float, y: float, words: str, above: bool = False) -> "Drawing":
        """A horizontal dimension from x0 to x1 at height y with 45 degree ticks and its value."""
        self.line("thin", x0 - 8, y, x1 + 8, y)
        for x in (x0, x1):
            self.line("thin", x - 3, y + 3, x + 3, y - 3)
        return self.text((x0 + x1) / 2, y - 7 if above else y + 17, words, "small mid")

    def upright(self, x: float, y0: float, y1: float, words: str, left: bool = False) -> "Drawing":
        """An upright dimension from y0 to y1 at x with its value beside it."""
        self.line("thin", x, min(y0, y1) - 8, x, max(y0, y1) + 8)
        for y in (y0, y1):
            self.line("thin", x - 3, y + 3, x + 3, y - 3)
        return self.text(x - 8 if left else x + 8, (y0 + y1) / 2 + 4, words, "small end" if left else "small")

    def floor(self, x0: float, x1: float, y: float) -> "Drawing":
        """The floor in section: a bold line with short slanted ticks below it every 10."""
        self.line("bold", x0, y, x1, y)
        ticks = "".join(f"M{n(x)} {n(y + 2)}l-5 6" for x in range(int(x0) + 6, int(x1) + 1, 10))
        return self.path("thin", ticks)

    def svg(self) -> str:
        """The drawing as SVG text."""
        name = escape(self.name)
        return (f'<svg xmlns="http://www.w3.org/2000/svg" class="dw" viewBox="0 0 {WIDTH} {n(self.height)}" role="img" '
                f'aria-labelledby="{name}-t {name}-d"><title id="{name}-t">{escape(self.title, quote=False)}</title>'
                f'<desc id="{name}-d">{escape(self.desc, quote=False)}</desc>{"".join(self.parts)}</svg>')


def nice_step(span: float, most: int = 5) -> float:
    """A round step (1, 2 or 5 times a power of ten) that parts `span` into at most `most` pieces."""
    if span <= 0:
        return 1.0
    rough = span / most
    power = 10.0 ** math.floor(math.log10(rough))
    for factor in (1, 2, 5, 10):
        if factor * power >= rough * (1 - 1e-9):
            return factor * power
    return 10 * power
