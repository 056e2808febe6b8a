"""The bends across the blade, now and then, over the squeegee from behind with what each screw is turned."""

from collections.abc import Sequence

from .. import quantity as q
from ..figure import Drawing, n
from ..levelling import Squeegee
from ..words import _

LEFT, RIGHT, FOOT, HIGH = 72.0, 288.0, 148.0, 104.0
MM = 1e-3


def picture(places: Sequence[tuple[float, float, float | None]], wanted: float, tolerance: float,
            flats: tuple[int, int, int] | None, squeegee: Squeegee, worn: Sequence[bool]) -> str:
    """The drawing. `places`: (x over chord from −1/2 to 1/2, bend now, bend then or None) in m; `flats` of left stem,
    right stem and tilt bolt, or None where nothing is to be turned; `worn` marks places."""
    ordered = sorted(zip(places, worn, strict=True))
    drawing = Drawing("blade-level", 368, _("Bend of the blade, and what to turn"), _about([p for p, _w in ordered]))
    _bends(drawing, [p for p, _w in ordered], wanted, tolerance, [w for _p, w in ordered])
    _screws(drawing, flats, squeegee)
    return drawing.svg()


def _mm(length: float) -> str:
    return q.write(length / MM, decimals=1)


def _about(places: Sequence[tuple[float, float, float | None]]) -> str:
    now = ", ".join(_mm(bend) for _x, bend, _then in places)
    if any(then is None for _x, _bend, then in places):
        return _("From left to right the bend is {now} mm.").format(now=now)
    return _("From left to right the bend is {now} mm now and {then} mm after setting.").format(
        now=now, then=", ".join(_mm(then) for _x, _bend, then in places if then is not None))


def _bends(drawing: Drawing, places: Sequence[tuple[float, float, float | None]], wanted: float, tolerance: float,
           worn: Sequence[bool]) -> None:
    """Bars of the bend now, marks of the bend then, the band that is wanted."""
    top = max(wanted + tolerance, *(bend for _x, bend, _t in places), *(t for _x, _b, t in places if t is not None), 1e-4)
    scale = HIGH / top

    def across(x: float) -> float:
        return (LEFT + RIGHT) / 2 + x * (RIGHT - LEFT)

    def up(bend: float) -> float:
        return FOOT - max(0.0, bend) * scale

    drawing.text(8, 20, _("bend"), "strong")
    high, low = up(wanted + tolerance), up(wanted - tolerance)
    drawing.rect("tint", 46, high, 270, max(low - high, 1))
    wide = min(26.0, 0.7 * min((b[0] - a[0] for a, b in zip(places, places[1:], strict=False)), default=1) * (RIGHT - LEFT))
    worst = max(range(len(places)), key=lambda i: (worn[i], round(abs(places[i][1] - wanted), 9)))
    for i, (x, bend, _then) in enumerate(places):
        asked = i == worst
        drawing.rect("thin ask ask-tint" if asked else "thin paper", across(x) - wide / 2, up(bend), wide, FOOT - up(bend))
    drawing.line("thin", 46, up(wanted), 316, up(wanted), "3 4")
    drawing.text(4, up(wanted) + 4, q.write(wanted / MM), "small")
    for x, _bend, then in places:
        if then is not None:
            drawing.line("bold bar", across(x) - wide / 2 - 3, up(then), across(x) + wide / 2 + 3, up(then))
    drawing.line("bold", 46, FOOT, 316, FOOT)
    shown = range(len(places)) if len(places) <= 5 else {0, len(places) // 2, len(places) - 1}
    drawing.text(4, FOOT + 18, _("now"), "small")
    if any(then is not None for _x, _b, then in places):
        drawing.text(4, FOOT + 36, _("then"), "small strong")
    for i in shown:
        x, bend, then = places[i]
        drawing.text(across(x), FOOT + 18, _mm(bend), "small mid word" if i == worst else "small mid")
        if then is not None:
            drawing.text(across(x), FOOT + 36, _mm(then), "small strong mid")


def _screws(drawing: Drawing, flats: tuple[int, int, int] | None, squeegee: Squeegee) -> None:
    """The squeegee from behind: wheels left and right, the tilt bolt between them, what to turn above each."""
    drawing.text(8, 208, _("from behind"), "small strong")
    drawing.floor(8, 316, 352)
    drawing.path("thin deep", "M34 324H286V352H34z")
    drawing.path("bold tint", "M28 324v-12q0-6 6-6h252q6 0 6 6v12z")
    for x in (60, 260):
        drawing.rect("bold paper", x - 5, 288, 10, 44).rect("thin deep", x - 8, 328, 16, 24)
    drawing.rect("bold paper", 154, 286, 12, 20).rect("bold paper", 148, 278, 24, 10)
    if flats is None:
        drawing.text(160, 258, _("not by setting alone"), "strong mid")
        return
    words = ((_("in"), _("out")), (_("in"), _("out")), (_("nose up"), _("nose down")))
    for x, number, of, (more, less), stem in zip((60, 260, 160), flats, (squeegee.flats, squeegee.flats, squeegee.tilt_flats),
                                                 words, (True, True, False), strict=True):
        if not number:
            drawing.text(x, 262, _("leave"), "small mid")
            continue
        whole, rest = divmod(abs(number), of)
        lines = []
        if whole:
            lines.append(_("1 turn") if whole == 1 else _("{number} turns").format(number=whole))
        if rest:
            lines.append(_("1 flat") if rest == 1 else _("{number} flats").format(number=rest))
        for i, line in enumerate(reversed(lines)):
            drawing.text(x, 246 - 17 * i, line, "word mid")
        drawing.text(x, 264, more if number > 0 else less, "small mid")
        if stem:
            y = 296
            tip, way = (x + 18, -1) if number < 0 else (x + 18, 1)
            drawing.path("move", f"M{n(tip - 5)} {n(y - 10 * way)}h10v{n(10 * way)}h6l-11 {n(12 * way)} -11 {n(-12 * way)}h6z")
