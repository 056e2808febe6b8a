"""How far do I turn the support-wheel stems?

One turn of a stem moves it by the thread's pitch P, and the squeegee at the blade by P times the lever
ratio. A change of height d takes ``d/(P·ratio)`` turns; with n flats it is rounded to the nearest flat, and
what that leaves is said as a height. Where the bend is given as trail of the edge, the change is the
difference of two heights of the exact elastica (`blade`), and the bend to expect after rounding comes from
the same. Its range is that of the two ways of loading the edge, by drag and by push.

Stems turned into the body lower the squeegee: more bend. Limits: both wheels turned alike, a floor that is
level, a stem at right angles to it.
"""

import math

from . import blade
from . import quantity as q
from .form import Calculator, Field, Figure, Lookup, Refusal, Refused, Result, Span, Working, refuse, shown_input, takes
from .pictures.wheel_adjust import picture
from .turning import EDGE, MM, amount, mm, thread_of, to_flats, way
from .words import _, mark

def _run(v: dict) -> Result:
    pitch, diameter = thread_of(v)
    change = _change(v)
    step = pitch * v["lever_ratio"] / v["flats"]
    number = to_flats(change, pitch, v["lever_ratio"], v["flats"])
    by_bend = v["change"] is None
    if by_bend:
        most = blade.most_height(v["free_length"])
        while number > 0 and blade.height(v["bend_now"], v["free_length"]) + number * step > most + 1e-9:
            number -= 1
    moved = number * step
    turns = change / (pitch * v["lever_ratio"])
    result = Result("turn" if number else "leave", "", {
        "turns": turns, "degrees": turns * 2 * math.pi, "whole_turns": abs(number) // v["flats"],
        "flats": abs(number) % v["flats"], "left_over": _clean(change - moved)})
    if by_bend:
        result.figures["bend_expected"] = _expected(v, moved)
    if v["engaged"] is not None:
        after = _clean(v["engaged"] + moved / v["lever_ratio"])
        result.figures["engaged_after"] = after
        if diameter is not None and after < diameter - 1e-9:
            result.outcome = "thread-short"
    result.answer = _answer(v, result, number, moved, pitch, diameter)
    _notes(v, result, number, diameter)
    _workings(v, result, pitch, change, number)
    result.picture = _drawn(v, result, number, step, pitch, diameter)
    return result


def _drawn(v: dict, result: Result, number: int, step: float, pitch: float, diameter: float | None) -> str:
    """The picture; where too little thread would hold, of the turns that may be made and no more."""
    short, bend = result.outcome == "thread-short", None
    if short:
        number = -_room(v, pitch, diameter) if number < 0 else 0
    elif "bend_expected" in result.figures:
        bend = (v["bend_now"] / MM, result.figures["bend_expected"].value / MM, v["free_length"] / MM)
    return picture(number, v["flats"], step / MM, v["into_body"] == "clockwise", short, bend)


def _room(v: dict, pitch: float, diameter: float) -> int:
    """Whole flats that the stems can go out of the body with one diameter of thread left in it."""
    return max(0, math.floor((v["engaged"] - diameter) / pitch * v["flats"] + EDGE))


def _clean(length: float) -> float:
    """A length without the last bits of a difference: less than a nanometre is nothing."""
    return 0.0 if abs(length) < 1e-9 else length


def _change(v: dict) -> float:
    """The change of height wanted, in metres, + lower: as given, or from the two bends."""
    now, wanted, length = v["bend_now"], v["bend_wanted"], v["free_length"]
    if v["change"] is not None:
        if now is not None:
            raise refuse("change", f"{mm(v['change'])} mm",
                         _("a change, or the bend now and the bend wanted, not both"))
        return v["change"]
    missing = [name for name, value in (("bend_now", now), ("bend_wanted", wanted)) if value is None]
    if len(missing) == 2:
        raise refuse("change", None, _("a change of height; or give the bend now and the bend wanted"))
    if length is None:
        missing.append("free_length")
    if missing:
        fields = {f.name: f for f in CALCULATOR.fields}
        raise Refused([Refusal(name, shown_input(None), takes(fields[name]) if name == "free_length" else _(
            "{takes}; or give a change of height instead").format(takes=takes(fields[name]))) for name in missing])
    heights, bad = [], []
    for name, bend in (("bend_now", now), ("bend_wanted", wanted)):
        try:
            heights.append(blade.height(bend, length))
        except blade.TooMuchBend:
            bad.append(Refusal(name, f"{mm(bend)} mm", _too_much(name, length)))
    if bad:
        raise Refused(bad)
    return heights[1] - heights[0]


def _too_much(name: str, length: float) -> str:
    most = q.write(math.floor(blade.MOST_TRAIL * length / MM * 10 + 1e-6) / 10)
    if name == "bend_now":
        says = _("a bend up to {most} mm with a free length of {length} mm. More is too much bend: the blade lies on "
                 "its face. Turn both stems out of the body until it stands, and read again")
    else:
        says = _("a bend up to {most} mm with a free length of {length} mm. More is too much bend: the blade would "
                 "lie on its face")
    return says.format(most=most, length=mm(length))


def _expected(v: dict, moved: float) -> Span:
    """The trail after the stems have moved the blade by `moved` (m), with its range over both ways of loading."""
    length = v["free_length"]
    found = []
    for load in blade.LOADS:
        height = min(blade.height(v["bend_now"], length, load) + moved, blade.most_height(length, load))
        found.append(blade.trail(height if height > 1e-9 else 0.0, length, load))
    return Span(found[0], min(found), max(found))


# ---- words ----

def _answer(v: dict, result: Result, number: int, moved: float, pitch: float, diameter: float | None) -> str:
    figures = result.figures
    if result.outcome == "thread-short":
        return _short(v, figures["engaged_after"], number, pitch, diameter)
    if result.outcome == "leave":
        return _("Leave the stems as they are: the change is less than half a flat.")
    says = _("Turn both stems {amount} {way}.").format(
        amount=amount(number, v["flats"]), way=way(number > 0, v["into_body"]))
    if "bend_expected" in figures:
        bend = figures["bend_expected"].value
        if bend == 0:
            return _("{says} No bend is left then.").format(says=says)
        return _("{says} Expect a bend of {bend} mm.").format(says=says, bend=q.write(bend / MM, decimals=1))
    height = mm(abs(moved))
    if number > 0:
        return _("{says} The squeegee comes down {height} mm: more bend.").format(says=says, height=height)
    return _("{says} The squeegee goes up {height} mm: less bend.").format(says=says, height=height)


def _short(v: dict, after: float, number: int, pitch: float, diameter: float) -> str:
    """What to say where less than one diameter of thread would hold: how far the stems may go, if at all."""
    room = _room(v, pitch, diameter)
    if number > 0:
        return _("Do not run on these stems: even {amount} further into the body only {after} mm of thread would hold "
                 "them, less than one diameter of {diameter} mm. Look for a bent carrier or a worn wheel.").format(
                     amount=amount(number, v["flats"]), after=mm(after), diameter=mm(diameter))
    if number == 0 or room == 0:
        return _("Do not turn the stems out: {engaged} mm of thread holds them, and one diameter of {diameter} mm must "
                 "stay in the body. Look for a bent carrier or a worn wheel.").format(
                     engaged=mm(v["engaged"]), diameter=mm(diameter))
    says = (_("Do not turn the stems that far: they would come out of the body.") if after <= 0 else
            _("Do not turn the stems that far: only {after} mm of thread would hold them, less than one diameter of "
              "{diameter} mm.").format(after=mm(after), diameter=mm(diameter)))
    return _("{says} Turn them at most {amount} {way}, and look for a bent carrier or a worn wheel.").format(
        says=says, amount=amount(room, v["flats"]), way=way(False, v["into_body"]))


def _notes(v: dict, result: Result, number: int, diameter: float | None) -> None:
    figures, note = result.figures, result.notes.append
    left = figures["left_over"]
    if left and number:
        says = (_("Rounding to a flat leaves the squeegee {left} mm higher than asked.") if left > 0 else
                _("Rounding to a flat leaves the squeegee {left} mm lower than asked."))
        note(says.format(left=q.write(abs(left) / MM, 2)))
    if "bend_expected" in figures:
        bend = figures["bend_expected"]
        note(_("The bend is reckoned from the exact shape of a bent strip. Loaded by drag or by push, it comes out "
               "between {low} and {high} mm.").format(low=q.write(bend.low / MM, decimals=1),
                                                      high=q.write(bend.high / MM, decimals=1)))
        if v["bend_now"] == 0:
            note(_("A blade without bend may stand clear of the floor. Lower it until it just touches, then start from "
                   "there."))
    if v["engaged"] is not None and diameter is None:
        note(_("Whether enough thread holds cannot be said without the thread's diameter."))
    if result.outcome == "leave":
        return
    note(_("Turn both stems alike, roll the machine forward, stop, and read the bend again."))
    say = result.cautions.append
    say(_("Key out, squeegee raised and blocked, before hands go to the wheels."))
    say(_("Loosen the lock nut first. Afterwards hold the stem and tighten the lock nut against the body."))
    if v["engaged"] is None and number < 0:
        say(_("Measure the thread left in the body: at least one diameter must hold."))


def _workings(v: dict, result: Result, pitch: float, change: float, number: int) -> None:
    lines = result.workings
    if v["change"] is None:
        length = v["free_length"]
        one, two = (blade.height(v[name], length) for name in ("bend_now", "bend_wanted"))
        lines.append(Working(_("height from trail, by the elastica (about 0.6·W²/L)"),
                             _("{now} mm of trail is {one} mm; {wanted} mm is {two} mm").format(
                                 now=mm(v["bend_now"]), one=mm(one), wanted=mm(v["bend_wanted"]), two=mm(two)),
                             f"{mm(change)} mm"))
    lines.append(Working(_("turns = change/(pitch × lever ratio)"),
                         f"{mm(change)} mm/({q.write(pitch / MM, 5)} mm × {q.write(v['lever_ratio'])})",
                         q.write(result.figures["turns"], 4)))
    lines.append(Working(_("flats = turns × flats in a turn, rounded"),
                         f"{q.write(result.figures['turns'], 4)} × {v['flats']}", q.write(number)))
    if v["engaged"] is not None:
        lines.append(Working(_("thread engaged afterwards = engaged + flats × pitch/flats in a turn"),
                             f"{mm(v['engaged'])} mm + ({q.write(number)}) × {q.write(pitch / MM, 5)} mm/{v['flats']}",
                             f"{mm(result.figures['engaged_after'])} mm"))


_LENGTH = {"quantity": "length", "unit": "mm", "units": ("mm", "in")}
_EXAMPLE = {"thread": "M10", "bend_now": "8 mm", "bend_wanted": "12 mm", "free_length": "40 mm", "engaged": "24 mm"}
_HEIGHT = {"thread": "M10", "change": "2 mm", "engaged": "24 mm"}

CALCULATOR = Calculator(
    id="wheel-adjust",
    question=mark("How far do I turn the support-wheel stems?"),
    summary=mark("Turns and flats of both stems for a change of height or of bend, with the direction."),
    fields=(
        Field("thread", mark("Thread of the stems"), "thread",
              mark("As stamped or in the parts list: M10, 3/8-16 UNC."), machine="wheels.thread"),
        Field("pitch", mark("Pitch"), "quantity", mark("Only where the thread's name is not known."), **_LENGTH,
              low=0.2, high=10, what=mark("a pitch")),
        Field("bend_now", mark("Bend now"), "quantity",
              mark("How far the blade's edge trails, machine rolled forward."), **_LENGTH, low=0, high=100,
              what=mark("a bend")),
        Field("bend_wanted", mark("Bend wanted"), "quantity", mark("Trail of the edge."), **_LENGTH, low=0, high=100,
              what=mark("a bend"), machine="squeegee.bend_wanted"),
        Field("free_length", mark("Free length of the blade"), "quantity", mark("From the clamp to the edge."),
              **_LENGTH, low=5, high=200, what=mark("a length"), machine="squeegee.free_length"),
        Field("change", mark("Change of height"), "quantity", mark("Instead of the bends. + is lower, more bend."),
              **_LENGTH, low=-50, high=50, what=mark("a change of height")),
        Field("lever_ratio", mark("Lever ratio"), "number", mark("Movement of the blade over movement of the stem."),
              low=0.05, high=20, default=1, machine="wheels.lever_ratio"),
        Field("flats", mark("Flats in a turn"), "integer", mark("6 for a hexagon."), low=1, high=24, default=6,
              machine="wheels.flats"),
        Field("diameter", mark("Diameter of the thread"), "quantity", mark("Known where the thread is given."),
              **_LENGTH, low=1, high=100, what=mark("a diameter")),
        Field("engaged", mark("Thread in the body now"), "quantity", mark("Length of thread that holds."), **_LENGTH,
              low=0, high=300, what=mark("a length"), machine="wheels.engaged"),
        Field("into_body", mark("Turning into the body"), "choice", mark("Seen from above."), default="anticlockwise",
              choices=(("anticlockwise", mark("anticlockwise")), ("clockwise", mark("clockwise"))),
              machine="wheels.into_body"),
    ),
    figures=(
        Figure("whole_turns", mark("whole turns"), decimals=0), Figure("flats", mark("and flats"), decimals=0),
        Figure("bend_expected", mark("bend to expect"), "length", "mm", decimals=1),
        Figure("left_over", mark("left by rounding"), "length", "mm", decimals=2),
        Figure("engaged_after", mark("thread in the body then"), "length", "mm", decimals=1),
        Figure("turns", mark("turns, + into the body"), decimals=2, minor=True),
        Figure("degrees", mark("angle, + into the body"), "angle", "deg", decimals=0, minor=True),
    ),
    outcomes=(("turn", mark("turn the stems")), ("leave", mark("leave as it is")),
              ("thread-short", mark("too little thread would hold"))),
    run=_run,
    example=_EXAMPLE,
    examples=(
        ("by height", _HEIGHT),
        ("up", _HEIGHT | {"change": "-1.75 mm"}),
        ("less bend", _EXAMPLE | {"bend_now": "20 mm"}),
        ("leave", _HEIGHT | {"change": "0.1 mm"}),
        ("thread short", _HEIGHT | {"change": "-6 mm", "engaged": "12 mm"}),
        ("already short", _HEIGHT | {"change": "1 mm", "engaged": "6 mm"}),
        ("inch thread, clockwise, square", {"thread": "3/8-16 UNC", "change": "1/16 in", "flats": 4, "lever_ratio": 1.5,
                                            "into_body": "clockwise"}),
        ("pitch alone", {"pitch": "1.5 mm", "change": "2 mm"}),
        ("on its face", _EXAMPLE | {"bend_now": "31 mm"}),
        ("neither", {"thread": "M10"}),
        ("both", _EXAMPLE | {"change": "2 mm"}),
        ("no such pitch", _HEIGHT | {"thread": "M10x2"}),
    ),
    formulas=(mark("turns = change/(pitch × lever ratio)"), mark("one flat = pitch × lever ratio/flats in a turn"),
              mark("height from trail: about 0.6·W²/L, exactly by the elastica"),
              mark("thread engaged afterwards = engaged + movement of the stem")),
    limits=(mark("Both stems are turned alike; for a difference between left and right, level the blade."),
            mark("The bend holds up to three quarters of the free length; beyond that the blade lies on its face."),
            mark("At least one diameter of thread must stay in the body.")),
    sources=(mark("Pitches: ISO 261 and ASME B1.1."),
             mark("Bent strip: Bisshopp and Drucker 1945; Timoshenko and Gere, Theory of Elastic Stability."),
             mark("One diameter of thread engaged: common practice.")),
    lookup=Lookup(mark("M10 stems, free length 40 mm: from the bend now to 12 mm"), mark("bend now"), tuple(
        (f"{bend} mm", _EXAMPLE | {"bend_now": bend}) for bend in (2, 4, 6, 8, 10, 14, 16, 18, 20, 24)),
        ("turns", "whole_turns", "flats", "bend_expected")),
)
