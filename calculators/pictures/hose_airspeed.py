"""The hose upright with its air, and the speed on a scale beside the band that carries water."""

from .. import quantity as q
from ..figure import Drawing, n, nice_step
from ..words import _

FOOT, TOP = 250.0, 34.0


def picture(speed: float, low: float, high: float, bore: float, length: float, corrugated: bool) -> str:
    """`speed` of the air and the band from `low` to `high` in m/s; `bore` and `length` of the hose in m."""
    says = (_("The air runs at {speed} m/s, above the band from {low} to {high} m/s.") if speed >= high else
            _("The air runs at {speed} m/s, within the band from {low} to {high} m/s.") if speed >= low else
            _("The air runs at {speed} m/s, below the band from {low} to {high} m/s."))
    drawing = Drawing("hose-airspeed", 296, _("Air in the hose, and the speed that carries water"),
                      says.format(speed=_one(speed), low=_one(low), high=_one(high)))
    _hose(drawing, speed, low, high, bore, length, corrugated)
    _scale(drawing, speed, low, high)
    return drawing.svg()


def _one(number: float) -> str:
    return q.write(number, decimals=1)


def _hose(drawing: Drawing, speed: float, low: float, high: float, bore: float, length: float, corrugated: bool) -> None:
    """The hose in section: air upwards, drops that rise, hang or run back."""
    for x, side in ((40.0, -1), (96.0, 1)):
        if corrugated:
            drawing.path("bold", f"M{n(x)} {n(TOP)}" + "".join(f"q{6 * side} 6 0 12" for _rib in range(18)))
        else:
            drawing.line("bold", x, TOP, x, FOOT)
    for x, y in ((54, 226), (82, 168), (54, 110)):
        drawing.path("air", f"M{x} {y}v-28m-4.6 3.2l4.6 -3.2 4.6 3.2")
    up = 1 if speed >= high else 0 if speed >= low else -1
    for x, y in ((78, 214), (56, 154), (80, 100)):
        drawing.path("thin ask ask-tint", f"M{x} {y - 9}q7 9 0 13q-7 -4 0 -13z")
        if up:
            drawing.path("thin ask", f"M{x + 9} {y + 4 * up}v{-8 * up}m-3 {3 * up}l3 {-3 * up} 3 {3 * up}")
    drawing.dimension(40, 96, 266, _("{bore} mm").format(bore=q.write(bore * 1e3)))
    drawing.text(8, 20, _("{length} m long").format(length=q.write(length)), "small")


def _scale(drawing: Drawing, speed: float, low: float, high: float) -> None:
    """Speeds upwards: the band, and the air's own as a bar."""
    most = max(1.2 * high, 1.1 * speed)
    step = nice_step(most, 5)

    def at(value: float) -> float:
        return FOOT - (FOOT - TOP) * value / most

    drawing.text(146, 20, _("speed, m/s"), "small")
    drawing.rect("tint", 170, at(high), 142, at(low) - at(high))
    drawing.line("thin", 170, at(low), 312, at(low)).line("thin", 170, at(high), 312, at(high))
    drawing.line("thin", 170, TOP - 6, 170, FOOT)
    for i in range(int(most / step) + 1):
        drawing.line("thin", 164, at(i * step), 170, at(i * step))
        drawing.text(160, at(i * step) + 4, q.write(i * step), "small end")
    drawing.rect("bold ask ask-tint", 182, at(speed), 36, FOOT - at(speed))
    drawing.line("bold", 170, FOOT, 312, FOOT)
    drawing.text(200, FOOT + 18, _one(speed), "word mid")
    if at(low) - at(high) >= 16:
        drawing.text(308, (at(low) + at(high)) / 2 + 4, _("may carry"), "small end")
    drawing.text(230, at(high) - 6, _("carries"), "small")
    drawing.text(308, min(at(low) + 16, FOOT - 4), _one(low), "small end").text(308, at(high) - 6, _one(high), "small end")
