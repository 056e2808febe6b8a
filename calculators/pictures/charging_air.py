"""The charging place in section: battery, low inlet, high outlet, the air drawn through."""

from .. import quantity as q
from ..figure import Drawing
from ..words import _


def picture(flow: float, opening: float, room: float | None, outcome: str) -> str:
    """`flow` in m3/h, `opening` in cm2 (each vent), `room` in m3 or None."""
    fan = outcome == "forced-air"
    drawing = Drawing(
        "charging-air", 232, _("Air through the charging place"),
        _("A room with a battery on charge. {flow} cubic metres of air an hour enter low and leave high; each vent "
          "has {area} square centimetres.").format(flow=q.write(flow), area=q.write(opening)))
    left, right, top, floor = 76.0, 244.0, 40.0, 190.0
    drawing.rect("tint", left, top, right - left, floor - top)
    drawing.path("bold", f"M{left} 150V{top}H{right}V54M{right} 84V{floor}M{left} 180V{floor}")
    drawing.floor(left, right, floor)
    drawing.rect("bold paper", 118, 142, 84, 44)
    drawing.path("thin", "M128 142v-7h12v7M180 142v-7h12v7M139 142V186M160 142V186M181 142V186")
    drawing.path("air", "M22 165L46 165M41.4 161.7L46 165L41.4 168.3M54 165L82 165M77.4 161.7L82 165L77.4 168.3")
    drawing.path("air", "M128 124Q150 100 172 88M166.6 87.6L172 88L169.8 93M186 80Q206 71 232 69M227 66.3L232 69L227.6 72.6")
    drawing.path("air", "M250 69L274 69M269.4 65.7L274 69L269.4 72.3")
    if fan:
        drawing.circle("bold ask ask-tint", 262, 69, 17)
        drawing.path("thin", "M262 57v24M252 63l20 12M272 63l-20 12")
    else:
        drawing.path("bold ask", f"M{left} 150V180M{right} 54V84")
    drawing.text(8, 144, _("in, low"), "small")
    drawing.text(254, 44, _("out, high"), "small")
    drawing.text(160, 24, _("{flow} m³ of air an hour").format(flow=q.write(flow)), "strong mid")
    words = (_("fan needed") if fan else _("each vent {area} cm²").format(area=q.write(opening)))
    drawing.text(160, 222, words, "word mid")
    return drawing.svg()
