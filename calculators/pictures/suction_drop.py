"""The air path with the loss on it, and under it the vacuum at its stations as bars."""

from .. import quantity as q
from ..figure import Drawing
from ..suction_path import STATIONS, Finding, Path, Reading, Readings
from ..words import _, mark

#: Middle of each station's bar, where the pipe above has its joint; half the bar's width.
AT, HALF = (50.0, 124.0, 198.0, 272.0), 19.0
BASE, TALL = 250.0, 120.0
PIPE = (50.0, 70.0)
LABELS = ((mark("motor"), mark("inlet")), (mark("tank"), mark("port")), (mark("hose"), mark("end")),
          (mark("squeegee"), mark("outlet")))
PARTS = (mark("tank"), mark("hose"), mark("cuff"))


def picture(now: Readings, healthy: Readings, found: Finding, figures: dict, full: float | None) -> str:
    """The drawing as SVG text; `full` is the sealed vacuum of a good motor here in Pa, if known."""
    flowing = found.segment.state == "flowing" if found.segment else found.kind in ("blockage", "flowing-low")
    if not now.sealed or flowing and now.flowing:
        path, well = now.flowing, healthy.flowing
    else:
        path, well = now.sealed, {}
    drawing = Drawing("suction-drop", 290, _("Where the suction is lost"),
                      _described(path, found, figures, flowing))
    _air_path(drawing, found, figures)
    _bars(drawing, path, well, found, full if path is now.sealed else None)
    return drawing.svg()


def _described(path: Path, found: Finding, figures: dict, flowing: bool) -> str:
    each = "; ".join(_("{station} {value}").format(station=r.name, value=_value(r, unit=True))
                     for r in path.values())
    text = (_("Flowing vacuum: {each}.") if flowing else _("Vacuum: {each}.")).format(each=each)
    if found.segment is not None:
        text += " " + _("In question: from {near} to {far}.").format(near=found.segment.near.name,
                                                                  far=found.segment.far.name)
    if "hole" in figures:
        text += " " + _("As one round hole {hole} mm, {low} to {high} mm.").format(**_hole(figures))
    if found.motor == "weak":
        text += " " + _("The motor is weak.")
    return text


def _hole(figures: dict) -> dict[str, str]:
    hole = figures["hole"]
    return {name: q.write((getattr(hole, key) or 0.0) * 1e3, 2)
            for name, key in (("hole", "value"), ("low", "low"), ("high", "high"))}


def _value(reading: Reading, unit: bool = False) -> str:
    if reading.vacuum is None:
        return _({"none": mark("none"), "weak": mark("weak"), "fair": mark("fair"),
                  "strong": mark("strong")}[reading.grade or "none"])
    text = q.write(reading.vacuum / 1e3, decimals=1)
    return _("{value} kPa").format(value=text) if unit else text


def _air_path(drawing: Drawing, found: Finding, figures: dict) -> None:
    """Motor, tank, hose, cuff and squeegee; the stretch in question in the accent, with what it lets in or
    stops."""
    top, bottom = PIPE
    weak = found.kind == "motor-weak"
    for left, right in zip(AT, AT[1:], strict=False):
        drawing.rect("thin paper", left, top, right - left, bottom - top)
    span = _span(found)
    if span:
        left, right = span
        middle = (left + right) / 2
        drawing.rect("ask-tint", left, top, right - left, bottom - top)
        if found.kind == "leak":
            drawing.path("bold ask", f"M{left:g} {top:g}H{middle - 9:g}M{middle + 9:g} {top:g}H{right:g}"
                                     f"V{bottom:g}H{left:g}V{top:g}")
            drawing.path("air", f"M{middle:g} 26V62M{middle + 3.3:g} 57.4L{middle:g} 62"
                                f"L{middle - 3.3:g} 57.4")
        else:
            drawing.rect("bold ask", left, top, right - left, bottom - top)
        if found.kind in ("blockage", "blocked-through"):
            drawing.path("full", f"M{middle - 9:g} {top:g}h18l-5 10 5 10h-18l5-10z")
    drawing.circle("bold ask ask-tint" if weak else "bold tint", 28, 60, 20)
    drawing.path("thin", "M28 60c0-8 4-13 10-13M28 60c8 0 13 4 13 10M28 60c0 8-4 13-10 13M28 60c-8 "
                         "0-13-4-13-10")
    beyond = found.kind in ("blockage", "flowing-leak") and found.segment is None and found.near is not None
    drawing.path("bold ask ask-tint" if beyond else "bold tint",
                 "M274 50h14v20h-14zM288 50h14q6 0 6 6v8q0 6-6 6h-14z")
    _caption(drawing, found, figures, span, weak, beyond)
    for number, part in enumerate(PARTS):
        inside = span is not None and span[0] <= AT[number] and AT[number + 1] <= span[1]
        drawing.text((AT[number] + AT[number + 1]) / 2, 86, _(part), "word mid" if inside else "small mid")


def _span(found: Finding) -> tuple[float, float] | None:
    if found.near is None or found.far is None:
        return None
    return AT[found.near.order], AT[found.far.order]


def _caption(drawing: Drawing, found: Finding, figures: dict, span: tuple[float, float] | None, weak: bool,
             beyond: bool) -> None:
    middle = (span[0] + span[1]) / 2 if span else 28.0
    if found.kind == "leak" and "hole" in figures:
        said = _hole(figures)
        drawing.text(middle, 16, _("hole {hole} mm").format(**said), "word mid")
        # beside the arrow, on the side with more room
        right = middle < 170
        drawing.text(middle + 12 if right else middle - 12, 38, _("({low} to {high})").format(**said),
                     "small" if right else "small end")
    elif found.kind == "leak":
        drawing.text(middle, 16, _("air gets in"), "word mid")
    elif beyond:
        last = found.near is not None and found.near.order == 3
        drawing.text(312, 38, _("beyond the outlet") if last else _("beyond"), "word end")
    elif found.kind in ("blockage", "blocked-through"):
        drawing.text(middle, 38, _("blocked") if found.kind == "blockage" else _("nothing comes through"),
                     "word mid")
    elif weak:
        drawing.text(8, 28, _("motor weak"), "word")
    elif found.kind == "stretch":
        drawing.text(middle, 38, _("lost here, place unknown"), "word mid")


def _bars(drawing: Drawing, path: Path, well: Path, found: Finding, full: float | None) -> None:
    top_value = max([full or 0.0] + [r.vacuum if r.vacuum is not None else r.high for r in path.values()]
                    + [r.vacuum or r.high for r in well.values()] + [1e-3])
    scale = TALL / top_value

    def y(value: float) -> float:
        return BASE - max(0.0, value) * scale

    gauges = any(r.vacuum is not None for r in path.values())
    drawing.text(8, 108, "kPa" if gauges else _("by hand"), "small")
    if full is not None and gauges:
        drawing.line("thin", 24, y(full), 298, y(full), "3 4")
        drawing.text(316, BASE - TALL - 6, _("motor in order {full} kPa").format(full=q.write(full / 1e3)),
                     "small end")
    elif well:
        drawing.text(316, 108, _("dashed: when it was well"), "small end")
    for number, station in enumerate(STATIONS):
        middle = AT[number]
        if station in path:
            _bar(drawing, path[station], middle, y)
        if station in well and well[station].vacuum is not None:
            top = y(well[station].vacuum or 0.0)
            drawing.path("thin", f"M{middle - HALF - 5:g} {top:.1f}H{middle + HALF + 5:g}", "3 4")
    _lost(drawing, found, path, y)
    drawing.line("bold", 24, BASE, 298, BASE)
    for number, station in enumerate(STATIONS):
        named = found.segment is not None and station in (found.segment.near.station,
                                                          found.segment.far.station)
        asked = named or found.kind == "motor-weak" and number == 0
        drawing.number(AT[number], BASE - 14, number + 1, full=asked)
        first, second = LABELS[number]
        drawing.text(AT[number], 268, _(first), "small mid").text(AT[number], 282, _(second), "small mid")
        if station not in path:
            drawing.text(AT[number], BASE - 30, _("not read"), "small mid")


def _bar(drawing: Drawing, reading: Reading, middle: float, y) -> None:
    if reading.vacuum is None:
        half = HALF + 7  # room for the grade's name
        drawing.rect("thin tint", middle - half, y(reading.high), 2 * half, y(reading.low) - y(reading.high))
        drawing.text(middle, min((y(reading.low) + y(reading.high)) / 2 + 4, BASE - 30), _value(reading),
                     "strong mid")
        return
    top = y(reading.vacuum)
    drawing.path("thin tint", f"M{middle - HALF:g} {BASE:g}V{top:.1f}h{2 * HALF:g}V{BASE:g}")
    inside = BASE - top >= 42
    drawing.text(middle, top + 17 if inside else min(top, BASE - 24) - 6, _value(reading), "strong mid")


def _lost(drawing: Drawing, found: Finding, path: Path, y) -> None:
    """The part lost, drawn over the lower bar in the accent, with its size."""
    s = found.segment
    if found.kind != "leak" or s is None or s.near.station not in path:
        return
    if s.near.vacuum is None or s.far.vacuum is None:
        return
    high, low = y(s.near.vacuum), y(s.far.vacuum)
    near, far = AT[s.near.order], AT[s.far.order]
    drawing.rect("bold ask ask-tint", far - HALF, high, 2 * HALF, low - high)
    drawing.line("thin", near + HALF, high, far - HALF, high, "3 4")
    lost = "\u2212" + q.write((s.near.vacuum - s.far.vacuum) / 1e3, decimals=1)
    value_above = BASE - low < 42  # the reading of a low bar stands above it, within the part lost
    if low - high >= (40 if value_above else 18):
        drawing.text(far, high + 14, lost, "word mid")
    else:
        drawing.text((near + far) / 2, high + 15, lost, "small word mid")
