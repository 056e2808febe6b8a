"""The share that comes back as a bar from 0 to 100 %, with its range and the machine's own figure."""

from .. import quantity as q
from ..figure import Drawing
from ..form import Span
from ..words import _

LEFT, RIGHT = 16.0, 304.0


def picture(part: Span, healthy: float | None) -> str:
    """`part` the recovered share with its bounds, `healthy` the machine's own share or None (0 to 1)."""
    def x(value: float) -> float:
        return LEFT + value * (RIGHT - LEFT)

    percent = q.write(part.value * 100, decimals=0)
    own = "" if healthy is None else " " + _("This machine's own figure is {own} %.").format(
        own=q.write(healthy * 100, decimals=0))
    drawing = Drawing("recovery-rate", 150, _("Share of the water that comes back"),
                      _("{percent} % comes back, between {low} and {high} %.").format(
                          percent=percent, low=q.write(part.low * 100, decimals=0),
                          high=q.write(part.high * 100, decimals=0)) + own)
    drawing.rect("thin paper", LEFT, 52, RIGHT - LEFT, 44)
    drawing.rect("thin tint", LEFT, 52, x(part.value) - LEFT, 44)
    waves = "".join(f"M{round(at)} {y}q3-5 6 0t6 0" for y in (68, 84)
                    for at in range(int(LEFT) + 8, int(x(part.value)) - 14, 20))
    if waves:
        drawing.path("water", waves)
    drawing.path("bold ask bar", f"M{x(part.low):.1f} 110H{x(part.high):.1f}")
    for mark_at in (0, 0.25, 0.5, 0.75, 1):
        drawing.line("thin", x(mark_at), 116, x(mark_at), 122)
        place = "small" if mark_at == 0 else "small end" if mark_at == 1 else "small mid"
        drawing.text(x(mark_at), 138, f"{mark_at * 100:.0f} %", place)
    drawing.text(min(x(part.value), 250), 44, _("{percent} % back").format(percent=percent), "word end")
    if healthy is not None:
        drawing.line("bold", x(healthy), 34, x(healthy), 104)
        drawing.text(min(x(healthy), RIGHT), 24, _("when well {own} %").format(
            own=q.write(healthy * 100, decimals=0)), "small strong end")
    return drawing.svg()
