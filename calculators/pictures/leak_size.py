"""The hole at its true size beside a coin-sized scale, and the vacuum left of the sealed vacuum."""

from .. import quantity as q
from ..figure import Drawing
from ..words import _


def picture(hole: float, vacuum: float, sealed: float) -> str:
    """`hole` in m (0 for none), `vacuum` and `sealed` in Pa."""
    mm, left, full = hole * 1e3, q.write(vacuum / 1e3), q.write(sealed / 1e3)
    drawing = Drawing("leak-size", 236, _("The hole and the vacuum left"),
                      _("A round hole of {mm} mm leaves {left} of {full} kPa.").format(
                          mm=q.write(mm), left=left, full=full))
    scale = min(3.0, 66.0 / max(mm, 1e-9)) if mm else 3.0
    x, y = 84.0, 104.0
    drawing.path("bold tint", "M10 30H158V178H10z")
    if mm:
        drawing.circle("bold ask paper", x, y, max(2.0, mm * scale / 2))
        drawing.dimension(x - mm * scale / 2, x + mm * scale / 2, 196, _("{mm} mm").format(mm=q.write(mm)))
    drawing.text(10, 20, _("drawn {times} times as large").format(times=q.write(scale, 2)), "small")
    top, foot = 30.0, 178.0
    height = (foot - top) * min(1.0, vacuum / sealed)
    drawing.rect("bold ask ask-tint", 206, top, 56, foot - top)
    drawing.rect("thin tint", 206, foot - height, 56, height)
    drawing.line("bold", 196, foot, 272, foot)
    drawing.text(234, foot - 8 if height > 26 else foot + 16, left, "strong mid")
    drawing.text(270, top + 10, full, "small")
    drawing.text(234, 222, _("kPa left of {full}").format(full=full), "small mid")
    return drawing.svg()
