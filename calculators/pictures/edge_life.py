"""The wear curve: flats read, the square-root curve through them with its range, the limit and when it is met."""

import math
from collections.abc import Sequence

from .. import quantity as q
from ..figure import Drawing, n, nice_step, points
from ..words import _

LEFT, RIGHT, TOP, BOTTOM = 44.0, 304.0, 22.0, 204.0


def picture(readings: Sequence[tuple[float, float]], slope: tuple[float, float, float], limit: float,
            hours: tuple[float, float | None, float | None], straight: float, past: bool) -> str:
    """The drawing. `readings` (hours, mm) by hours; `slope` a, low and high in mm/√h; `limit` in mm; `hours` at
    the limit with low and high (None: no upper end); `straight` hours judged in a straight line (0: none)."""
    a, a_low, a_high = slope
    now, edge = readings[-1][0], hours[0]
    widest = max(flat for _t, flat in readings)
    end = _held(max(1.12 * edge, 1.12 * now, min(hours[2] or 1.5 * edge, 1.5 * edge) * 1.05))
    top = max(1.22 * limit, 1.1 * widest)

    def x(t: float) -> float:
        return LEFT + min(t / end, 1.03) * (RIGHT - LEFT)

    def y(f: float) -> float:
        return BOTTOM - min(max(f / top, 0.0), 1.03) * (BOTTOM - TOP)

    def curve(slope: float, start: float, stop: float) -> list[tuple[float, float]]:
        """Points along slope·√t, closer together where it is steep, ending where it leaves the sheet."""
        if slope > 0:
            stop = min(stop, (1.02 * top / slope) ** 2)
        roots = [math.sqrt(start) + (math.sqrt(max(stop, start)) - math.sqrt(start)) * i / 24 for i in range(25)]
        return [(x(r * r), y(slope * r)) for r in roots]

    compare = bool(straight) and not past
    drawing = Drawing("edge-life", 276 if compare else 250, _("Wear of this edge"),
                      _about(readings, limit, hours, past))
    upper, lower = curve(a_high, 0.0, end), curve(a_low, 0.0, end)
    corner = [(x(end), upper[-1][1])] if upper[-1][0] < x(end) - 0.1 else []
    drawing.path("tint", points(upper + corner + lower[::-1], close=True))
    drawing.path("thin", f"M{n(LEFT)} {n(TOP)}V{n(BOTTOM)}H312")
    _scales(drawing, x, y, end, top)
    drawing.line("bold", LEFT, y(limit), 312, y(limit))
    drawing.text(LEFT + 8, y(limit) - 7, _("limit {limit} mm").format(limit=q.write(limit)), "small strong")
    drawing.path("thin", points(curve(a, 0.0, now)))
    if end > now:
        drawing.path("thin", points(curve(a, now, end)), "6 5")
    if compare:
        drawing.line("thin", LEFT, BOTTOM, x(straight), y(limit), "3 4")
    for t, flat in readings:
        drawing.circle("thin paper", x(t), y(flat), 5)
    _turning(drawing, x, y, limit, hours, end)
    drawing.text(8, 14, _("width of flat, mm"), "small")
    drawing.text(312, 242, _("hours on this edge"), "small end")
    if compare:
        drawing.line("thin", 12, 262, 40, 262, "3 4")
        drawing.text(48, 266, _("in a straight line: {hours} h").format(hours=q.write(straight, decimals=0)), "small")
    return drawing.svg()


def _held(end: float) -> float:
    """Hours at the end of the axis: a half step or a whole one, so that the scale stands still while a flat is read once more."""
    half = nice_step(end, 5) / 2
    return half * math.ceil(end / half * (1 - 1e-9))


def _about(readings: Sequence[tuple[float, float]], limit: float, hours: tuple[float, float | None, float | None],
           past: bool) -> str:
    said = _("{count} measured flats, the last {flat} mm at {hours} hours, the square-root curve through them with its "
             "90 percent range, and the limit of {limit} mm, met at {edge} hours.").format(
                 count=len(readings), flat=q.write(readings[-1][1]), hours=q.write(readings[-1][0], decimals=0),
                 limit=q.write(limit), edge=q.write(hours[0], decimals=0))
    return _("{said} The edge is past its limit.").format(said=said) if past else said


def _scales(drawing: Drawing, x, y, end: float, top: float) -> None:
    step = nice_step(end, 5)
    for i in range(int(end / step * (1 + 1e-9)) + 1):
        drawing.line("thin", x(i * step), BOTTOM, x(i * step), BOTTOM + 5)
        drawing.text(x(i * step), BOTTOM + 20, q.write(i * step, 3), "small mid")
    step = nice_step(top, 4)
    for i in range(int(top / step * (1 + 1e-9)) + 1):
        drawing.line("thin", LEFT - 5, y(i * step), LEFT, y(i * step))
        drawing.text(LEFT - 9, y(i * step) + 4, q.write(i * step, 3), "small end")


def _turning(drawing: Drawing, x, y, limit: float, hours: tuple[float, float | None, float | None],
             end: float) -> None:
    """Where the curve meets the limit: the line in question, its range on the axis, its hours in words."""
    edge, low, high = hours
    at = x(edge)
    drawing.line("bold ask", at, y(limit), at, BOTTOM)
    drawing.path("bold ask bar", f"M{n(x(low or 0))} {n(BOTTOM)}H{n(x(min(high if high is not None else end, end)))}")
    drawing.circle("bold ask ask-full", at, y(limit), 4.5)
    span = (_("{low} h or more") if high is None else _("{low} to {high} h")).format(
        low=q.write(low or 0, decimals=0), high=q.write(high or 0, decimals=0))
    # The words stand under the curve: left of the line where there is room, else right of it.
    left = at - LEFT > 150
    place, end_class = (at - 8, " end") if left else (at + 8, "")
    drawing.text(place, BOTTOM - 38, _("limit at {hours} h").format(hours=q.write(edge, decimals=0)), f"word{end_class}")
    drawing.text(place, BOTTOM - 20, span, f"small{end_class}")
