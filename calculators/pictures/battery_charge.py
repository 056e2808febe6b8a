"""The cells of a set as columns of acid, each with its gravity, the lagging ones in the accent."""

from .. import quantity as q
from ..figure import Drawing
from ..words import _

LEFT, RIGHT, TOP, FOOT = 44.0, 312.0, 34.0, 190.0


def picture(gravities: list[float], weak: list[bool], full: float, charge: float) -> str:
    """Gravity at 80 degF of each cell (`gravities`), which of them lag, and the full line."""
    names = ", ".join(str(i + 1) for i, w in enumerate(weak) if w)
    drawing = Drawing(
        "battery-charge", 236, _("Specific gravity of each cell"),
        _("{count} cells from {low} to {high}; full is {full}. Charge {percent} %. Cells that lag: {names}.").format(
            count=len(gravities), low=q.write(min(gravities), decimals=3), high=q.write(max(gravities), decimals=3),
            full=q.write(full, decimals=3), percent=q.write(charge * 100, decimals=0), names=names or _("none")))
    floor, top = 1.10, max(1.30, full + 0.02, max(gravities) + 0.005)

    def y(gravity: float) -> float:
        return FOOT - (max(floor, gravity) - floor) / (top - floor) * (FOOT - TOP)

    step = (RIGHT - LEFT) / len(gravities)
    width = min(40.0, step * 0.7)
    for i, (gravity, lags) in enumerate(zip(gravities, weak, strict=True)):
        x = LEFT + step * (i + 0.5) - width / 2
        drawing.rect("bold ask ask-tint" if lags else "thin tint", x, y(gravity), width, FOOT - y(gravity))
        if len(gravities) <= 12 or lags:
            drawing.text(x + width / 2, FOOT + 17, str(i + 1), "word mid" if lags else "small mid")
    drawing.line("bold", LEFT, FOOT, RIGHT, FOOT)
    drawing.line("thin", LEFT, y(full), RIGHT, y(full), dash="6 5")
    drawing.text(RIGHT, y(full) - 6, _("full {full}").format(full=q.write(full, decimals=3)), "small end")
    for mark_at in (1.10, 1.15, 1.20, 1.25):
        drawing.line("thin", LEFT - 5, y(mark_at), LEFT, y(mark_at))
        drawing.text(LEFT - 8, y(mark_at) + 4, q.write(mark_at, decimals=2), "small end")
    drawing.line("thin", LEFT, TOP, LEFT, FOOT)
    drawing.text(4, 18, _("gravity at 80 °F"), "small")
    drawing.text((LEFT + RIGHT) / 2, FOOT + 38, _("cell"), "small mid")
    return drawing.svg()
