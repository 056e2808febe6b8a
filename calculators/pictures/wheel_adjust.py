"""The stem of a support wheel with its turns and flats, seen from the side and from above, and the blade."""

import math

from .. import blade
from .. import quantity as q
from ..figure import Drawing, n, points
from ..words import _

CENTRE, RING, HEXAGON = (246.0, 104.0), 60.0, 34.0


def picture(number: int, flats: int, step: float, left_hand: bool, short: bool,
            bend: tuple[float, float, float] | None) -> str:
    """The drawing. `number` flats to turn of `flats` in a turn, + into the body; `step` the height of one flat in
    mm; `left_hand` when clockwise turns go into the body; `short` when no more than that may be turned; `bend` (now,
    expected, free length) in mm, where known."""
    whole, rest = divmod(abs(number), flats)
    total = abs(number) * step
    against_clock = (number > 0) != left_hand
    drawing = Drawing("wheel-adjust", 348, _("The support wheel's stem and how far to turn it"),
                      _about(whole, rest, number, total, against_clock, bend))
    _stem(drawing, number, against_clock, left_hand)
    _from_above(drawing, whole, rest, flats, number, against_clock)
    _sums(drawing, whole, rest, flats, number, step, short)
    if bend:
        _blades(drawing, *bend)
    return drawing.svg()


def _about(whole: int, rest: int, number: int, total: float, against_clock: bool,
           bend: tuple[float, float, float] | None) -> str:
    if number == 0:
        said = _("A support wheel on its threaded stem. It is left as it is.")
    else:
        says = {
            (True, True): _("The stem is turned {whole} turns and {rest} flats into the body, anticlockwise seen from "
                            "above. The squeegee comes down {total} mm."),
            (True, False): _("The stem is turned {whole} turns and {rest} flats into the body, clockwise seen from "
                             "above. The squeegee comes down {total} mm."),
            (False, True): _("The stem is turned {whole} turns and {rest} flats out of the body, anticlockwise seen "
                             "from above. The squeegee goes up {total} mm."),
            (False, False): _("The stem is turned {whole} turns and {rest} flats out of the body, clockwise seen from "
                              "above. The squeegee goes up {total} mm."),
        }[number > 0, against_clock]
        said = says.format(whole=whole, rest=rest, total=q.write(total))
    if not bend:
        return said
    return _("{said} The bend is {now} mm now and {then} mm then.").format(
        said=said, now=q.write(bend[0], decimals=1), then=q.write(bend[1], decimals=1))


def _stem(drawing: Drawing, number: int, against_clock: bool, left_hand: bool) -> None:
    """Wheel, fork, stem with thread and hexagon, the body with its lock nut; the way it turns and moves."""
    drawing.floor(8, 176, 330)
    drawing.circle("bold deep", 94, 294, 34.5).circle("thin paper", 94, 294, 20)
    drawing.path("bold paper", "M94 238c-14 0-18 6-18 14l10 46a8 8 0 0 0 16 0l10-46c0-8-4-14-18-14z")
    drawing.circle("thin full", 94, 295, 3)
    drawing.rect("bold paper", 84, 44, 20, 184)
    near, far = (85, 103) if not left_hand else (103, 85)  # thread lines rise to the right, or to the left
    drawing.path("thin", "".join(f"M{near} {y}L{far} {y - 4}" for y in (*range(54, 85, 6), *range(154, 209, 6))))
    drawing.rect("bold tint", 74, 212, 40, 22).path("thin", "M84 212v22M104 212v22")
    drawing.path("bold tint", "M20 100h44V88h60v12h44v22h-44v10H64v-10H20z")
    drawing.path("thin", "M84 90v40M104 90v40", "3 4")
    drawing.rect("bold paper", 70, 134, 48, 16).path("thin", "M82 134v16M106 134v16")
    if number:
        drawing.path("move", "M46 158q4 28 60 27v-8l22 13-22 13v-8q-66 0-68-36z" if against_clock
                     else "M142 158q-4 28-60 27v-8l-22 13 22 13v-8q66 0 68-36z")
        drawing.path("move", "M26 58h16v18h8L34 94 18 76h8z" if number > 0 else "M26 94h16V76h8L34 58 18 76h8z")
        drawing.text(8, 24, _("squeegee"), "small")
        drawing.text(8, 40, _("comes down") if number > 0 else _("goes up"), "small")
    for y, x0, x1, words in ((142, 132, 112, _("lock nut")), (224, 132, 109, _("hexagon")),
                             (300, 140, 121, _("wheel"))):
        drawing.line("thin", x0, y, x1, y).dot(x1, y).text(x0 + 3, y + 4, words, "small")


def _from_above(drawing: Drawing, whole: int, rest: int, flats: int, number: int, against_clock: bool) -> None:
    """The hexagon from above: the outer ring for whole turns, the flats beyond them in the accent."""
    cx, cy = CENTRE
    way = -1 if against_clock else 1  # y runs down the sheet

    def at(radius: float, angle: float) -> tuple[float, float]:
        return cx + radius * math.cos(way * angle), cy + radius * math.sin(way * angle)

    def arc(classes: str, radius: float, start: float, stop: float, head: str) -> None:
        x0, y0 = at(radius, start)
        x1, y1 = at(radius, stop)
        large, sweep = int(stop - start > math.pi), int(not against_clock)
        drawing.path(classes, f"M{n(x0)} {n(y0)}A{n(radius)} {n(radius)} 0 {large} {sweep} {n(x1)} {n(y1)}")
        tip = stop + 11 / radius
        drawing.head(*at(radius, tip), way * (tip - 5 / radius + math.pi / 2), head)

    drawing.text(cx, 24, _("from above"), "small strong mid")
    corners = [at(HEXAGON, 2 * math.pi * i / flats) for i in range(flats)] if flats > 2 else []
    if corners:
        drawing.path("thin tint", points(corners, close=True))
    else:
        drawing.circle("thin tint", cx, cy, HEXAGON)
    drawing.circle("thin paper", cx, cy, 17)
    if not number:
        return
    if whole:
        arc("thin", RING, 0.12, 2 * math.pi - 0.3, "full")
    if rest:
        if corners:
            drawing.path("bold ask bar", points([corners[i % flats] for i in range(rest + 1)]))
        arc("bold ask", 48, 0.05, max(2 * math.pi * rest / flats - 0.25, 0.06), "ask-full")
    drawing.dot(*at(HEXAGON, 0), 4)


def _sums(drawing: Drawing, whole: int, rest: int, flats: int, number: int, step: float, short: bool) -> None:
    """Turns and flats with what each moves, and the sum."""
    if not number:
        drawing.text(CENTRE[0], 200, _("thread too short") if short else _("leave"), "strong mid")
        return
    y = 196
    if short:
        drawing.text(196, y, _("at most"), "small strong")
        y += 19
    if whole:
        turns = _("1 turn") if whole == 1 else _("{number} turns").format(number=whole)
        drawing.text(196, y, turns, "strong").text(312, y, f"{q.write(whole * flats * step)} mm", "end")
        y += 21
    if rest:
        part = _("1 flat") if rest == 1 else _("{number} flats").format(number=rest)
        drawing.text(196, y, part, "word").text(312, y, f"{q.write(rest * step)} mm", "end")
        y += 21
    drawing.line("thin", 196, y - 12, 312, y - 12)
    drawing.text(196, y + 6, _("down") if number > 0 else _("up"), "strong")
    drawing.text(312, y + 6, f"{q.write(abs(number) * step)} mm", "end strong")


def _blades(drawing: Drawing, now: float, then: float, free: float) -> None:
    """The blade before and after, in section: it drives to the right and trails to the left."""
    scale = 46 / free
    drawing.floor(198, 314, 322)
    for clamp, bend in ((236, now), (296, then)):
        line = [(back * scale, down * scale) for back, down in blade.shape(bend, free)]
        top = 322 - line[-1][1]
        drawing.path("bold", points((clamp - back, top + down) for back, down in line))
        drawing.rect("thin tint", clamp - 7, top - 14, 14, 14)
        drawing.text(clamp - 10, 342, f"{q.write(bend, decimals=1)} mm", "small mid")
    drawing.path("full", "M248 296l10 7-10 7z")
