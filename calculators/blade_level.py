"""Three bends in, three settings out.

Bends read at three places or more are turned into heights (trail W by the exact elastica, `blade`; about
0.6·W²/L), the heights into settings of the two wheel stems and the tilt bolt (`levelling`), and the settings into
flats. The bends to expect are those after rounding; their range is that of a reading ± its uncertainty.

Limits: a rigid body and an arc of one radius; readings on a level floor, machine rolled forward. Readings near both
ends and the middle, else their errors grow (refused beyond three times).
"""

import math

from . import blade
from . import quantity as q
from .form import Calculator, Field, Figure, Lookup, Refusal, Refused, Result, Span, Table, Working, takes
from .level_words import answer, notes_and_cautions, workings
from .levelling import MOST_SPREAD, MOST_TILT, Reading, Setting, Squeegee, decide
from .pictures.blade_level import picture
from .turning import mm, thread_of
from .words import _, mark

_NEAR = 1e-9
#: The least sagitta (m) that a tilt bolt can use: a straighter blade is not levelled by tilt.
_LEAST_SAGITTA = 5e-3


def _run(v: dict) -> Result:
    bad: list[Refusal] = []
    squeegee, diameters = _squeegee(v, bad)
    readings, wanted = _readings(v, squeegee, bad)
    if bad:
        raise Refused(bad)

    def bend(height: float) -> float:
        if v["measure"] == "height":
            return height
        return blade.trail(min(height, blade.most_height(v["free_length"])), v["free_length"])

    tolerance, error = v["tolerance"], v["uncertainty"]
    limit = max(tolerance, 2 * error)
    fit = decide(squeegee, readings, wanted, bend, limit)

    now = max(abs(r.bend - v["wanted"]) for r in readings)
    faces = [r for r in readings if r.face]
    within = now <= tolerance + _NEAR and not faces
    sure = within and now <= tolerance - error + _NEAR
    flats = (0, 0, 0) if sure else squeegee.whole_flats(fit.setting, lambda setting: max(
        abs(h + squeegee.change(r.x, setting) - wanted) for i, (r, h) in enumerate(zip(readings, fit.heights, strict=True))
        if i not in fit.worn))
    short = _short(v, squeegee, fit.setting, flats, diameters)
    if faces:
        outcome = "too-much-bend"
    elif within:
        outcome = "within-tolerance"
        if short:
            short, flats = None, (0, 0, 0)
    elif fit.misfit is not None and (abs(fit.misfit) > limit + _NEAR or fit.worn):
        outcome = "blade-worn-uneven" if fit.worn else "carrier-bent"
    else:
        outcome = "carrier-bent" if short else "set"
    moved = squeegee.turned(*flats)
    result = Result(outcome, "", {"worst_now": now})
    if not short:
        expected = _expected(v, squeegee, readings, fit.heights, moved, bend)
        worst = max(abs(row["bend"].value - v["wanted"]) for i, row in enumerate(expected) if i not in fit.worn)
        result.figures |= {"worst_expected": worst, "left_height": moved.left, "right_height": moved.right,
                           "tilt_angle": math.asin(moved.sine)}
        result.tables = {"settings": _settings(v, squeegee, fit.setting, flats), "expected": expected}
    else:
        result.figures |= {"left_height": fit.setting.left, "right_height": fit.setting.right,
                           "tilt_angle": math.asin(max(-1.0, min(1.0, fit.setting.sine)))}
    if fit.misfit is not None:
        result.figures["misfit"] = abs(fit.misfit)
    result.answer = answer(v, result, readings, fit, flats, short)
    notes_and_cautions(v, result, readings, flats, now, error)
    result.workings = workings(v, squeegee, readings, wanted, fit)
    result.picture = picture([(r.x / squeegee.chord, r.bend, _then(result, i)) for i, r in enumerate(readings)],
                             v["wanted"], tolerance, None if short else flats, squeegee,
                             [i in fit.worn for i in range(len(readings))])
    return result


def _then(result: Result, row: int) -> float | None:
    return result.tables["expected"][row]["bend"].value if "expected" in result.tables else None


def _squeegee(v: dict, bad: list[Refusal]) -> tuple[Squeegee | None, tuple[float | None, float | None]]:
    """The geometry, and the diameters of stems and tilt bolt where known; adds what cannot be to `bad`."""
    threads: list[tuple[float, float | None]] = [(1e-3, None), (1e-3, None)]
    shaped = True
    for i, names in enumerate((("thread", "pitch", "diameter"), ("tilt_thread", "tilt_pitch", "tilt_diameter"))):
        try:
            threads[i] = thread_of(v, *names)
        except Refused as refused:
            bad += refused.refusals
    chord, radius = v["chord"], v["radius"]
    most = (chord**2 / 4 + _LEAST_SAGITTA**2) / (2 * _LEAST_SAGITTA)
    if radius < chord / 2 * (1 - _NEAR):
        shaped = False
        bad.append(Refusal("radius", f"{mm(radius)} mm", _("at least half the chord, {half} mm").format(half=mm(chord / 2))))
    elif radius > most:
        shaped = False
        bad.append(Refusal("radius", f"{mm(radius)} mm", _("at most {most} mm with this chord: a straighter blade is not "
                                                          "levelled by tilt").format(most=mm(most))))
    if v["measure"] == "trail" and v["free_length"] is None:
        bad.append(Refusal("free_length", _("nothing"), _("{takes}; a trail needs it").format(
            takes=takes(_field("free_length")))))
    (pitch, diameter), (tilt_pitch, tilt_diameter) = threads
    if not shaped:
        return None, (diameter, tilt_diameter)
    return (Squeegee(chord, max(radius, chord / 2), v["wheel_track"], pitch, v["lever_ratio"], v["flats"], tilt_pitch,
                     v["tilt_arm"], v["tilt_flats"] or v["flats"]), (diameter, tilt_diameter))


def _readings(v: dict, squeegee: Squeegee | None, bad: list[Refusal]) -> tuple[list[Reading], float]:
    """The readings with their places and heights, and the height wanted; adds what decides nothing to `bad`."""
    length, trail = v["free_length"], v["measure"] == "trail"
    if squeegee is None or trail and length is None:
        return [], 0.0
    reach = min(squeegee.chord / 2 * 1.05, squeegee.radius)
    readings: list[Reading] = []
    for i, row in enumerate(v["readings"]):
        at, value = row["at"], row["bend"]
        x = {"left": -squeegee.chord / 2, "middle": 0.0, "right": squeegee.chord / 2}[at] if isinstance(at, str) else at
        name = at if isinstance(at, str) else _("{distance} mm").format(distance=mm(at))
        if abs(x) > reach + _NEAR:
            bad.append(Refusal(f"readings/{i}/at", name, _("a place on the blade, at most {reach} mm from the middle").format(
                reach=mm(reach))))
        elif any(abs(x - other.x) < 1e-3 for other in readings):
            bad.append(Refusal(f"readings/{i}/at", name, _("a place that no other row has; of several readings at one "
                                                         "place give the mean")))
        if trail and value < 0:
            bad.append(Refusal(f"readings/{i}/bend", f"{mm(value)} mm", _("a trail of 0 or more")))
            continue
        face = length is not None and (value > length * blade.MOST_TRAIL * (1 + _NEAR) if trail
                                       else value > blade.most_height(length) * (1 + _NEAR))
        height = (value if not trail else blade.most_height(length) if face else blade.height(value, length))
        readings.append(Reading(name, max(-reach, min(reach, x)), value, height, trail and value == 0, face))
    if length is not None:
        most = length * blade.MOST_TRAIL if trail else blade.most_height(length)
        if v["wanted"] > most * (1 + _NEAR):
            bad.append(Refusal("wanted", f"{mm(v['wanted'])} mm", _(
                "a bend up to {most} mm with a free length of {length} mm. More is too much bend: the blade would lie on "
                "its face").format(most=q.write(math.floor(most * 1e4 + 1e-6) / 10), length=mm(length))))
    if not bad and squeegee.spread([r.x for r in readings]) > MOST_SPREAD:
        bad.append(Refusal("readings", ", ".join(r.at for r in readings),
                           _("readings spread over the blade: near both ends and near the middle")))
    if bad:
        return readings, 0.0
    return readings, blade.height(v["wanted"], length) if trail else v["wanted"]


def _field(name: str) -> Field:
    return next(f for f in CALCULATOR.fields if f.name == name)


def _short(v: dict, squeegee: Squeegee, exact: Setting, flats: tuple[int, int, int],
           diameters: tuple[float | None, float | None]) -> tuple[str, float] | None:
    """The first screw whose thread or reach ends before its setting, with the thread (m) or angle (rad) that it takes."""
    if abs(exact.sine) > math.sin(MOST_TILT) + _NEAR:
        return "angle", math.asin(max(-1.0, min(1.0, exact.sine)))
    for screw, number in (("left-wheel", flats[0]), ("right-wheel", flats[1])):
        if v["engaged"] is not None and diameters[0] is not None:
            after = v["engaged"] + number * squeegee.pitch / squeegee.flats
            if after < diameters[0] - _NEAR:
                return screw, max(after, 0.0)
    if v["tilt_engaged"] is not None and diameters[1] is not None:
        into = 1 if v["tilt_clockwise"] == "nose-up" else -1
        after = v["tilt_engaged"] + into * flats[2] * squeegee.tilt_pitch / squeegee.tilt_flats
        if after < diameters[1] - _NEAR:
            return "tilt", max(after, 0.0)
    return None


def _settings(v: dict, squeegee: Squeegee, exact: Setting, flats: tuple[int, int, int]) -> list[dict]:
    rows = []
    turns = squeegee.turns(exact)
    clock = {1: v["into_body"], -1: "clockwise" if v["into_body"] == "anticlockwise" else "anticlockwise"}
    up = 1 if v["tilt_clockwise"] == "nose-up" else -1
    for screw, number, exactly, of in zip(("left-wheel", "right-wheel", "tilt"), flats, turns,
                                          (squeegee.flats, squeegee.flats, squeegee.tilt_flats), strict=True):
        sign = (number > 0) - (number < 0)
        if screw == "tilt":
            direction = {1: "nose-up", -1: "nose-down", 0: "leave"}[sign]
            seen = {1: "clockwise", -1: "anticlockwise", 0: "leave"}[sign * up]
        else:
            direction = {1: "into-body", -1: "out-of-body", 0: "leave"}[sign]
            seen = clock.get(sign, "leave")
        rows.append({"screw": screw, "turns": exactly, "whole_turns": float(abs(number) // of),
                     "flats": float(abs(number) % of), "direction": direction, "seen_from_above": seen})
    return rows


def _expected(v: dict, squeegee: Squeegee, readings: list[Reading], heights: tuple[float, ...], moved: Setting,
              bend) -> list[dict]:
    """The bend at each place after the screws have moved, with the range that a reading's error allows."""
    rows = []
    length, error, trail = v["free_length"], v["uncertainty"], v["measure"] == "trail"
    for r, height in zip(readings, heights, strict=True):
        change = squeegee.change(r.x, moved)
        ends = []
        for value in (r.bend - error, r.bend + error):
            if not trail:
                ends.append(height + value - r.bend + change)
                continue
            edge = blade.height(min(max(value, 0.0), length * blade.MOST_TRAIL), length)
            ends.append(bend(height + edge - r.height + change))
        value = bend(height + change)
        rows.append({"at": r.at, "now": r.bend, "bend": Span(value, min(*ends, value), max(*ends, value))})
    return rows


_LENGTH = {"quantity": "length", "unit": "mm", "units": ("mm", "in")}
_TURNING = (("clockwise", mark("clockwise")), ("anticlockwise", mark("anticlockwise")))


def _read(left, middle, right) -> list[dict]:
    return [{"at": "left", "bend": left}, {"at": "middle", "bend": middle}, {"at": "right", "bend": right}]


_EXAMPLE = {"readings": _read("9 mm", "6 mm", "13 mm"), "wanted": "12 mm", "measure": "trail", "free_length": "40 mm",
            "tolerance": "2 mm", "chord": "900 mm", "radius": "800 mm", "wheel_track": "700 mm", "thread": "M10",
            "tilt_thread": "M12", "tilt_arm": "120 mm", "engaged": "24 mm"}
_MORE = _EXAMPLE | {"readings": [{"at": "left", "bend": 11}, {"at": -225, "bend": 11.5}, {"at": "middle", "bend": 12},
                                 {"at": 225, "bend": 12.5}, {"at": "right", "bend": 13}]}


def _with(**bends) -> dict:
    return _MORE | {"readings": [row | ({"bend": bends[name]} if name in bends else {}) for name, row in zip(
        ("left", "inner_left", "middle", "inner_right", "right"), _MORE["readings"], strict=True)]}


CALCULATOR = Calculator(
    id="blade-level",
    question=mark("Three bends in, three settings out: how do I level the blade?"),
    summary=mark("Turns and flats of both wheel stems and the tilt bolt, and the bends to expect afterwards."),
    fields=(
        Field("readings", mark("Bends read"), "list", mark("At the left end, in the middle, at the right end, or more."),
              row_title=mark("reading"), least=3, most=21, required=True, fields=(
                  Field("at", mark("Place"), "place", mark("left, middle, right, or mm from the middle, + right."),
                        quantity="length", unit="mm", low=-2000, high=2000, required=True, what=mark("a distance"),
                        choices=(("left", mark("left")), ("middle", mark("middle")), ("right", mark("right")))),
                  Field("bend", mark("Bend"), "quantity", mark("Machine rolled forward and stopped."), **_LENGTH, low=-50,
                        high=100, required=True, what=mark("a bend")))),
        Field("wanted", mark("Bend wanted"), "quantity", mark("The same along the whole blade."), **_LENGTH, low=0, high=100,
              required=True, what=mark("a bend"), machine="squeegee.bend_wanted"),
        Field("measure", mark("What was measured"), "choice",
              mark("Trail: how far the edge lies behind. Height: how far the straight blade would reach under the floor."),
              default="trail", choices=(("trail", mark("trail of the edge")), ("height", mark("height")))),
        Field("free_length", mark("Free length of the blade"), "quantity", mark("From the clamp to the edge."), **_LENGTH,
              low=5, high=200, what=mark("a length"), machine="squeegee.free_length"),
        Field("tolerance", mark("Tolerance"), "quantity", mark("± of the bend, that is good enough."), **_LENGTH, low=0,
              high=20, above=True, default=1, what=mark("a tolerance"), machine="squeegee.bend_tolerance"),
        Field("uncertainty", mark("± of one reading"), "quantity", mark("How far one reading may be out."), **_LENGTH, low=0,
              high=5, default=0.5, what=mark("an uncertainty")),
        Field("chord", mark("Chord of the blade"), "quantity", mark("Straight from end to end."), **_LENGTH, low=200,
              high=3000, required=True, what=mark("a chord"), machine="squeegee.chord"),
        Field("radius", mark("Radius of the blade's arc"), "quantity", **_LENGTH, low=100, high=100000, required=True,
              what=mark("a radius"), machine="squeegee.radius"),
        Field("wheel_track", mark("Wheel track"), "quantity", mark("From stem to stem."), **_LENGTH, low=100, high=3000,
              required=True, what=mark("a track"), machine="wheels.track"),
        Field("thread", mark("Thread of the stems"), "thread", mark("As stamped or in the parts list: M10, 3/8-16 UNC."),
              machine="wheels.thread"),
        Field("pitch", mark("Pitch of the stems"), "quantity", mark("Only where the thread's name is not known."), **_LENGTH,
              low=0.2, high=10, what=mark("a pitch")),
        Field("lever_ratio", mark("Lever ratio"), "number", mark("Movement of the blade over movement of the stem."),
              low=0.05, high=20, default=1, machine="wheels.lever_ratio"),
        Field("flats", mark("Flats in a turn"), "integer", mark("6 for a hexagon."), low=1, high=24, default=6,
              machine="wheels.flats"),
        Field("into_body", mark("Turning into the body"), "choice", mark("Seen from above."), default="anticlockwise",
              choices=_TURNING[::-1], machine="wheels.into_body"),
        Field("engaged", mark("Thread of the stems in the body now"), "quantity", mark("The shorter of the two."), **_LENGTH,
              low=0, high=300, what=mark("a length"), machine="wheels.engaged"),
        Field("tilt_thread", mark("Thread of the tilt bolt"), "thread", machine="tilt.thread"),
        Field("tilt_pitch", mark("Pitch of the tilt bolt"), "quantity", mark("Only where the thread's name is not known."),
              **_LENGTH, low=0.2, high=10, what=mark("a pitch")),
        Field("tilt_arm", mark("Arm of the tilt bolt"), "quantity", mark("From the hinge to the bolt."), **_LENGTH, low=10,
              high=1000, required=True, what=mark("a length"), machine="tilt.arm"),
        Field("tilt_flats", mark("Flats of the tilt bolt"), "integer", mark("Left empty: as the stems."), low=1, high=24,
              machine="tilt.flats"),
        Field("tilt_clockwise", mark("Tilt bolt clockwise"), "choice", mark("Which way the nose goes, bolt seen from above."),
              default="nose-up", choices=(("nose-up", mark("nose up")), ("nose-down", mark("nose down"))),
              machine="tilt.clockwise"),
        Field("tilt_engaged", mark("Thread of the tilt bolt that holds now"), "quantity", **_LENGTH, low=0, high=300,
              what=mark("a length"), machine="tilt.engaged"),
    ),
    figures=(
        Figure("worst_now", mark("furthest from the bend wanted, now"), "length", "mm", decimals=1),
        Figure("worst_expected", mark("furthest from it then"), "length", "mm", decimals=1),
        Figure("misfit", mark("what no setting explains"), "length", "mm", decimals=1),
        Figure("left_height", mark("left end of the track, + lower"), "length", "mm", decimals=2, minor=True),
        Figure("right_height", mark("right end of the track, + lower"), "length", "mm", decimals=2, minor=True),
        Figure("tilt_angle", mark("tilt, + nose up"), "angle", "deg", decimals=2, minor=True),
    ),
    tables=(
        Table("settings", mark("Settings"), (
            Figure("screw", mark("screw")), Figure("whole_turns", mark("whole turns"), decimals=0),
            Figure("flats", mark("and flats"), decimals=0), Figure("direction", mark("way")),
            Figure("seen_from_above", mark("seen from above")), Figure("turns", mark("exactly, in turns"), decimals=2)),
            {"left-wheel": mark("left stem"), "right-wheel": mark("right stem"), "tilt": mark("tilt bolt"),
             "into-body": mark("into the body"), "out-of-body": mark("out of the body"), "nose-up": mark("nose up"),
             "nose-down": mark("nose down"), "leave": mark("leave"), "clockwise": mark("clockwise"),
             "anticlockwise": mark("anticlockwise")}),
        Table("expected", mark("Bend at each place"), (
            Figure("at", mark("place")), Figure("now", mark("now"), "length", "mm", decimals=1),
            Figure("bend", mark("to expect"), "length", "mm", decimals=1)),
            {"left": mark("left"), "middle": mark("middle"), "right": mark("right")}),
    ),
    outcomes=(("set", mark("set the screws")), ("within-tolerance", mark("within tolerance")),
              ("carrier-bent", mark("carrier bent")), ("blade-worn-uneven", mark("blade worn unevenly")),
              ("too-much-bend", mark("too much bend"))),
    run=_run,
    example=_EXAMPLE,
    examples=(
        ("nose up: ends dry", _EXAMPLE | {"readings": _read(8, 14, 8)}),
        ("within tolerance for certain", _EXAMPLE | {"readings": _read(11, 12, 13)}),
        ("within tolerance as read", _EXAMPLE | {"readings": _read(10.2, 12, 13.8)}),
        ("five readings", _with(left=8, inner_left=9.4, right=15)),
        ("bent between the readings", _with(inner_left=17, inner_right=7)),
        ("no thread left", _EXAMPLE | {"readings": _read(28, 24, 12), "engaged": "12 mm"}),
        ("tilt beyond reach", _EXAMPLE | {"measure": "height", "readings": _read(2, 40, 2), "wanted": 2,
                                          "free_length": None}),
        ("worn at an end", _with(left=1, inner_left=12, right=12, inner_right=12)),
        ("worn at one place", _with(inner_left=7)),
        ("on its face", _EXAMPLE | {"readings": _read(31, 20, 18)}),
        ("on its face, with thread enough", _EXAMPLE | {"readings": _read(20, 24, 31), "engaged": "40 mm"}),
        ("clear of the floor", _EXAMPLE | {"readings": _read(0, 6, 12)}),
        ("by height, inch threads", {"readings": _read("1/16 in", "0.05 in", "0.12 in"), "wanted": "0.1 in",
                                     "measure": "height", "chord": "36 in", "radius": "32 in", "wheel_track": "28 in",
                                     "pitch": "1/16 in", "tilt_thread": "1/2-20 UNF", "tilt_arm": "5 in", "flats": 4,
                                     "tilt_clockwise": "nose-down", "into_body": "clockwise", "tolerance": "0.02 in"}),
        ("two places at one", _EXAMPLE | {"readings": _read(9, 6, 13) + [{"at": 450, "bend": 12}]}),
        ("readings too close", _EXAMPLE | {"readings": [{"at": at, "bend": 9} for at in (-20, 0, 20)]}),
        ("off the blade", _EXAMPLE | {"readings": [*_read(9, 6, 13), {"at": "600 mm", "bend": -1}]}),
        ("no thread, no length, too straight", _EXAMPLE | {"thread": None, "free_length": None, "radius": "50 m"}),
    ),
    formulas=(mark("height from trail: about 0.6·W²/L, exactly by the elastica"),
              mark("height change at x = left·(1/2 − x/w) + right·(1/2 + x/w) + y·sin θ"),
              mark("y = √(R² − x²) − √(R² − c²/4)"), mark("θ = atan(turns × pitch/arm)"),
              mark("turns = height/(pitch × lever ratio)")),
    limits=(mark("A rigid body and a blade in an arc of one radius, machine rolled forward on a level floor."),
            mark("Flats of the three screws are rounded together, so that the worst place is left best."),
            mark("With three readings any pattern can be set; five or more tell a worn blade from a bent carrier."),
            mark("The bend holds up to three quarters of the free length; beyond that the blade lies on its face."),
            mark("At least one diameter of thread must hold; a tilt beyond 10° is taken for a bent carrier.")),
    sources=(mark("Geometry of the arc: the handbook's own derivation."),
             mark("Bent strip: Bisshopp and Drucker 1945; Timoshenko and Gere, Theory of Elastic Stability."),
             mark("Pitches: ISO 261 and ASME B1.1."), mark("One diameter of thread engaged: common practice.")),
    lookup=Lookup(mark("90 cm squeegee, M10 stems, M12 tilt bolt, wanted 12 mm"), mark("left, middle, right"), tuple(
        (f"{left}, {middle}, {right} mm", {"readings": _read(left, middle, right)}) for left, middle, right in (
            (8, 8, 8), (10, 10, 10), (16, 16, 16), (12, 8, 12), (12, 5, 12), (12, 16, 12), (8, 12, 8), (8, 12, 16),
            (12, 12, 8), (16, 12, 12))), ("left_height", "right_height", "tilt_angle", "worst_now", "worst_expected")),
)
