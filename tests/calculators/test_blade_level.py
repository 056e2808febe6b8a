"""Levelling the blade: the model by numpy, bends by scipy's elastica, every outcome and refusal.

That machines out of order are set in two rounds is shown by the rig: tests/rig/test_setting_marks.py.
"""

import csv
import itertools
import math
from pathlib import Path

import numpy
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calculators import calculator
from calculators.levelling import MOST_SPREAD, Squeegee

from .elastica import Elastica, elastica_height, elastica_trail
from .laws import answered, odd_inputs, refusals
from .outside import held

ID = "blade-level"
EXAMPLE = calculator(ID).example
FIXED = settings(derandomize=True, max_examples=150, deadline=None)
ROWS = {row["case"]: row for row in csv.DictReader((Path(__file__).parents[1] / "reference/blade.csv").open())}
SHAPE = {"chord": 900, "radius": 800, "wheel_track": 700, "thread": "M10", "tilt_thread": "M12", "tilt_arm": 120}
PLACES = ("left", "middle", "right")

shapes = st.fixed_dictionaries({
    "chord": st.floats(400, 1200), "bow": st.floats(0.55, 3), "wheel_track": st.floats(300, 1300),
    "pitch": st.floats(0.7, 3), "lever_ratio": st.floats(0.4, 2.5), "flats": st.integers(1, 12),
    "tilt_pitch": st.floats(0.7, 3), "tilt_arm": st.floats(40, 300), "tilt_flats": st.integers(1, 12),
}).map(lambda s: {k: v for k, v in s.items() if k != "bow"} | {"radius": s["chord"] * s["bow"]})


def three(left, middle, right):
    return [{"at": at, "bend": bend} for at, bend in zip(PLACES, (left, middle, right), strict=True)]


def ask(readings, wanted=12, **more):
    return answered(ID, {"readings": readings, "wanted": wanted, "free_length": 40, **SHAPE, **more})


def told(result):
    """Signed flats as the table tells them, + into the body and nose up."""
    flats = {}
    for row in result["tables"]["settings"]:
        sign = {"into-body": 1, "nose-up": 1, "out-of-body": -1, "nose-down": -1, "leave": 0}[row["direction"]]
        flats[row["screw"]] = sign, row["whole_turns"]["value"], row["flats"]["value"]
        assert (sign == 0) == (row["whole_turns"]["value"] == row["flats"]["value"] == 0)
    return flats


def exactly(result):
    return [row["turns"]["value"] for row in result["tables"]["settings"]]


def whole(result, shape):
    """The turns told, in turns."""
    return [sign * (turns + part / of) for (sign, turns, part), of in zip(
        told(result).values(), (shape["flats"], shape["flats"], shape["tilt_flats"]), strict=True)]


def moved(shape, turns, xs):
    """Oracle: the change of height in mm, the body turned as a point on a circle rather than by the formula's sine.

    The middle of the arc lies y behind the ends; turned by θ about them it comes down by the height of that point.
    """
    left, right = (t * shape["pitch"] * shape["lever_ratio"] for t in turns[:2])
    angle = math.atan2(turns[2] * shape["tilt_pitch"], shape["tilt_arm"])
    drops = []
    for x in xs:
        level = numpy.interp(x, [-1e4, 1e4], [left + (right - left) * (-1e4 / shape["wheel_track"] + 0.5),
                                              left + (right - left) * (1e4 / shape["wheel_track"] + 0.5)])
        half = math.asin(x / shape["radius"])
        end = math.asin(shape["chord"] / 2 / shape["radius"])
        behind = shape["radius"] * (math.cos(half) - math.cos(end))
        drops.append(float(level) + (behind * complex(math.cos(angle), math.sin(angle))).imag)
    return drops


def at_of(shape):
    return [-shape["chord"] / 2, 0, shape["chord"] / 2]


M10 = {**SHAPE, "pitch": 1.5, "lever_ratio": 1, "flats": 6, "tilt_pitch": 1.75, "tilt_flats": 6}


def test_sagitta_and_rise_are_those_of_the_reference():
    sagitta = float(ROWS["sagitta of an arc"]["expected"])
    squeegee = Squeegee(0.9, 0.8, 0.7, 1.5e-3, 1, 6, 1.75e-3, 0.12, 6)
    assert squeegee.arc(0) * 1e3 == pytest.approx(sagitta, abs=5e-4) and squeegee.arc(0.45) == pytest.approx(0, abs=1e-15)
    # One degree of tilt raises the middle by 2.4182 mm: asked for, it comes out as one degree.
    rise = float(ROWS["rise of the middle against the tips"]["expected"])
    result = ask(three(5, 5 - rise, 5), 5, measure="height", flats=24)
    turns = exactly(result)
    held(ID, "turns", "published: sagitta and rise, reference/blade.csv")
    assert math.degrees(math.atan(turns[2] * 1.75 / 120)) == pytest.approx(1, abs=1e-4)
    assert turns[:2] == pytest.approx([0, 0], abs=1e-12)


@FIXED
@given(shape=shapes, wanted=st.floats(0.1, 0.6), bends=st.tuples(*[st.floats(0.05, 0.7)] * 3), length=st.floats(20, 70))
def test_all_three_turned_exactly_bring_exact_readings_to_the_wanted_bend(shape, wanted, bends, length):
    result = answered(ID, {"readings": three(*(b * length for b in bends)), "wanted": wanted * length,
                           "free_length": length, **shape})
    assume("settings" in result["tables"])
    after = [elastica_height(b) + m / length
             for b, m in zip(bends, moved(shape, exactly(result), at_of(shape)), strict=True)]
    assume(result["outcome"] != "too-much-bend")
    held(ID, "turns", "scipy: elastica; a point on a circle", wanted=wanted, chord=shape["chord"], radius=shape["radius"])
    assert [elastica_trail(h) for h in after] == pytest.approx([wanted] * 3, rel=1e-6)


@FIXED
@given(shape=shapes, wanted=st.floats(-5, 8), xs=st.lists(st.integers(-50, 50), min_size=4, max_size=12, unique=True),
       data=st.data())
def test_more_readings_agree_with_numpys_least_squares(shape, wanted, xs, data):
    # Oracle: numpy.linalg.lstsq on the model as calculators.md writes it.
    c, r, w = shape["chord"], shape["radius"], shape["wheel_track"]
    xs = [x / 100 * c for x in xs]
    wanted = abs(wanted)
    bends = [wanted + data.draw(st.floats(-3, 3)) for _x in xs]
    table = numpy.array([[0.5 - x / w, 0.5 + x / w, math.sqrt(r * r - x * x) - math.sqrt(r * r - c * c / 4)] for x in xs])
    left, right, sine = numpy.linalg.lstsq(table, wanted - numpy.array(bends), rcond=None)[0]
    result = answered(ID, {"readings": [{"at": x, "bend": b} for x, b in zip(xs, bends, strict=True)], "wanted": wanted,
                           "measure": "height", "tolerance": 20, "uncertainty": 5, **shape})
    if "refused" in result:
        assert [r["field"] for r in result["refused"]] == ["readings"]
        errors = numpy.linalg.pinv(table)
        ends = numpy.array([[0.5 - x / w, 0.5 + x / w, math.sqrt(r * r - x * x) - math.sqrt(r * r - c * c / 4)]
                            for x in (-c / 2, 0, c / 2)])
        assert numpy.linalg.norm(ends @ errors, axis=1).max() > MOST_SPREAD * 0.999
        return
    held(ID, "turns misfit worst_now", "numpy: linalg.lstsq", readings=len(xs), chord=c, radius=r)
    held(ID, "left_height right_height tilt_angle", "the flats told, by the screws' geometry", chord=c, radius=r)
    by_turn = shape["pitch"] * shape["lever_ratio"]
    figures = {name: figure["value"] for name, figure in result["figures"].items()}
    # The heights and the tilt are those of the whole flats told: numpy's setting to within half a flat and the trade
    # between screws, and to the last digit what the flats make.
    turns = whole(result, shape)
    assert [figures["left_height"], figures["right_height"]] == pytest.approx(
        [turn * by_turn for turn in turns[:2]], rel=1e-8, abs=1e-9)
    assert figures["tilt_angle"] == pytest.approx(
        math.degrees(math.atan(turns[2] * shape["tilt_pitch"] / shape["tilt_arm"])), rel=1e-8, abs=1e-9)
    assert figures["worst_now"] == pytest.approx(numpy.abs(numpy.array(bends) - wanted).max(), rel=1e-8, abs=1e-9)
    assert exactly(result) == pytest.approx(
        [left / by_turn, right / by_turn, math.tan(math.asin(sine)) * shape["tilt_arm"] / shape["tilt_pitch"]],
        rel=1e-6, abs=1e-8)
    fitted = table @ numpy.array([left, right, sine])
    assert result["figures"]["misfit"]["value"] == pytest.approx(
        numpy.abs(fitted - wanted + numpy.array(bends)).max(), rel=1e-6, abs=1e-8)


@FIXED
@given(shape=shapes, wanted=st.floats(1, 8), bends=st.tuples(*[st.floats(0, 10)] * 3))
def test_no_other_rounding_leaves_the_worst_place_better(shape, wanted, bends):
    result = answered(ID, {"readings": three(*bends), "wanted": wanted, "measure": "height", "tolerance": 0.1, **shape})
    assume("settings" in result["tables"] and result["outcome"] != "within-tolerance")
    xs, of = at_of(shape), (shape["flats"], shape["flats"], shape["tilt_flats"])

    def worst(turns):
        return max(abs(b + m - wanted) for b, m in zip(bends, moved(shape, turns, xs), strict=True))

    left = worst(whole(result, shape))
    held(ID, "flats worst_expected", "every rounding up and down", wanted=wanted)
    assert result["figures"]["worst_expected"]["value"] == pytest.approx(left, rel=1e-6, abs=1e-8)
    for flats in itertools.product(*[(math.floor(t * n), math.ceil(t * n)) for t, n in zip(exactly(result), of, strict=True)]):
        assert left <= worst([f / n for f, n in zip(flats, of, strict=True)]) + 1e-5
    for told_, t, n in zip(whole(result, shape), exactly(result), of, strict=True):
        assert abs(told_ - t) < 1 / n + 1e-9 or told_ == 0


@settings(derandomize=True, max_examples=60, deadline=None)
@given(bends=st.tuples(*[st.floats(1, 28)] * 3), wanted=st.floats(4, 20))
def test_the_bends_to_expect_are_scipys(bends, wanted):
    result = ask(three(*bends), wanted)
    assume("expected" in result["tables"])
    heights = [elastica_height(b / 40) * 40 + m
               for b, m in zip(bends, moved(M10, whole(result, M10), at_of(M10)), strict=True)]
    assume(all(0.02 < h < 17 for h in heights))
    held(ID, "bend", "scipy: elastica", wanted=wanted, bend=bends[0])
    for row, height in zip(result["tables"]["expected"], heights, strict=True):
        assert row["bend"]["value"] == pytest.approx(elastica_trail(height / 40) * 40, rel=1e-5)
        assert row["bend"]["low"] <= row["bend"]["value"] <= row["bend"]["high"]


@FIXED
@given(bends=st.tuples(*[st.floats(1, 25)] * 3))
def test_left_and_right_are_each_others_mirror(bends):
    one, other = ask(three(*bends)), ask(three(*bends[::-1]))
    assume("settings" in one["tables"])
    left, right, tilt = exactly(one)
    assert exactly(other) == pytest.approx([right, left, tilt], rel=1e-7, abs=1e-9)
    assert one["outcome"] == other["outcome"]


@FIXED
@given(bend=st.floats(1, 28))
def test_an_even_bend_needs_no_tilt_and_both_stems_alike(bend):
    result = ask(three(bend, bend, bend))
    left, right, tilt = exactly(result)
    assert left == pytest.approx(right, abs=1e-9) and tilt == pytest.approx(0, abs=1e-9)
    assert left == pytest.approx((elastica_height(12 / 40) - elastica_height(bend / 40)) * 40 / 1.5, rel=1e-6, abs=1e-9)


def test_middle_wet_is_nose_up_and_ends_wet_is_nose_down():
    # trade.md: nose down lifts the middle (one wet line along it), nose up lifts the ends.
    assert told(ask(three(12, 6, 12)))["tilt"][0] == 1
    assert told(ask(three(7, 12, 7)))["tilt"][0] == -1


@pytest.mark.parametrize(("into", "tilt", "left", "says"), [
    ("anticlockwise", "nose-up", "anticlockwise", "clockwise: nose up."),
    ("clockwise", "nose-down", "clockwise", "anticlockwise: nose up.")])
def test_directions_follow_the_machine(into, tilt, left, says):
    result = ask(three(9, 6, 13), into_body=into, tilt_clockwise=tilt)
    rows = {row["screw"]: row for row in result["tables"]["settings"]}
    assert rows["left-wheel"]["seen_from_above"] == left and rows["left-wheel"]["direction"] == "into-body"
    assert rows["right-wheel"]["seen_from_above"] != left and rows["right-wheel"]["direction"] == "out-of-body"
    assert f"({left}, seen from above)" in result["answer"] and f"flats {says}" in result["answer"]
    assert rows["tilt"]["seen_from_above"] == says.partition(":")[0]


def test_the_worked_example_in_words():
    result = answered(ID, EXAMPLE)
    assert result["answer"] == (
        "The bend is 6.0 mm too little in the middle. Turn the left stem 3 flats into the body (anticlockwise, seen from "
        "above). Turn the right stem 1 flat out of the body (clockwise, seen from above). Turn the tilt bolt 4 flats "
        "clockwise: nose up. Expect a bend of 11.7 to 12.0 mm.")
    assert result["cautions"][0] == ("Key out, squeegee raised and blocked, before hands go to the wheels and the tilt "
                                     "bolt.")


def five(*bends):
    return [{"at": at, "bend": b} for at, b in zip(("left", -225, "middle", 225, "right"), bends, strict=True)]


@pytest.mark.parametrize(("readings", "more", "outcome", "answer"), [
    (three(11, 12, 13), {"tolerance": 2}, "within-tolerance",
     "The bend is within 2 mm of 12 mm at every place read. Leave the screws as they are."),
    (three(11, 12, 13), {}, "within-tolerance",
     "The bend is within 1 mm of 12 mm at every place read. A reading may be out by 0.5 mm, though: set it nearer to be "
     "sure. Turn the left stem 1 flat into the body (anticlockwise, seen from above). Turn the right stem 1 flat out of the body "
     "(clockwise, seen from above). Leave the tilt bolt."),
    (five(11, 17, 12, 7, 13), {"tolerance": 2}, "carrier-bent",
     "No setting levels this blade: 225 mm right of the middle 5.1 mm are left over whatever is turned. Look for a bent "
     "carrier, a bent body or a badly seated blade before you set anything."),
    (three(28, 24, 12), {"engaged": 12}, "carrier-bent",
     "The screws cannot level this blade: the left stem would hold by 1 mm of thread, less than one diameter. Look for "
     "bent carrier tabs or a worn wheel, and mend those first."),
    (five(11, 7, 12, 12.5, 13), {"tolerance": 2}, "blade-worn-uneven",
     "The blade is worn unevenly: 225 mm left of the middle it bends 4.5 mm less than any setting explains. Turn the blade "
     "to a fresh edge or renew it, then read again. If a fresh edge bends the same, the body or its carrier is bent "
     "there."),
    (five(1, 12, 12, 12, 12), {"tolerance": 2}, "blade-worn-uneven",
     "The blade is worn unevenly: at the left end it bends 11.0 mm less than any setting explains. Turn the blade to a "
     "fresh edge or renew it, then read again. If a fresh edge bends the same, the body or its carrier is bent there."),
    (three(31, 20, 18), {"engaged": 24}, "too-much-bend",
     "Too much bend: the blade lies on its face at the left end. Turn both stems out of the body until it stands, and read "
     "again."),
])
def test_outcomes_in_words(readings, more, outcome, answer):
    result = ask(readings, **more)
    assert (result["outcome"], result["answer"]) == (outcome, answer)


def test_on_its_face_the_settings_are_the_least_that_must_be_turned():
    result = ask(three(20, 24, 31))
    assert result["answer"].startswith("Too much bend: the blade lies on its face at the right end. Turn at least this much")
    flats = told(result)
    assert flats["right-wheel"][0] == -1 and flats["right-wheel"][1] > flats["left-wheel"][1]


def test_a_tilt_that_no_bolt_makes_is_a_bent_carrier():
    result = ask(three(2, 40, 2), 2, measure="height", free_length=None)
    assert result["outcome"] == "carrier-bent" and "settings" not in result["tables"]
    # asin(38/138.562) is 15.9 degrees.
    assert "would have to tilt by 16°" in result["answer"]


@pytest.mark.parametrize(("engaged", "tilt_clockwise", "outcome"), [
    (13, "nose-up", "carrier-bent"), (13, "nose-down", "set"), (20, "nose-up", "set")])
def test_the_tilt_bolts_thread_is_watched(engaged, tilt_clockwise, outcome):
    # 12, 20, 12 mm needs some turns nose down: out of the nut where clockwise lifts the nose.
    result = ask(three(12, 20, 12), tilt_engaged=engaged, tilt_clockwise=tilt_clockwise)
    assert result["outcome"] == outcome


def test_places_without_bend_do_not_bend_the_fit():
    # Four places tell the setting; the middle stands 0.5 mm clear, read as 0. Oracle: the setting that was turned away.
    elastica, xs = Elastica(), [-450, -225, 0, 225, 450]
    heights = [elastica.height(12 / 40) * 40 + m for m in moved(M10, [1, 1, -2.06], xs)]
    assert heights[2] < -0.4 and min(heights[1], heights[3]) > 0.4
    read = [elastica.trail(max(0, h) / 40) * 40 for h in heights]
    result = ask([{"at": x, "bend": b} for x, b in zip(xs, read, strict=True)])
    assert exactly(result) == pytest.approx([-1, -1, 2.06], abs=2e-3)
    assert any("stand clear of the floor" in note for note in result["notes"])
    assert result["outcome"] == "set"
    # Two places alone do not tell it: what is not known is no sign of a bent carrier.
    result = ask([{"at": x, "bend": b} for x, b in zip(xs, (8, 0, 0, 0, 8), strict=True)])
    assert result["outcome"] == "set" and "misfit" not in result["figures"]
    assert told(result)["tilt"][0] == 1


@pytest.mark.parametrize(("bend", "outcome", "sign"), [(0, "set", 1), (31, "too-much-bend", -1)])
def test_a_blade_that_nowhere_tells_its_height_is_brought_to_where_it_does(bend, outcome, sign):
    # Clear of the floor from end to end, or on its face: both stems alike, by what is known at least, and read again.
    result = ask(three(bend, bend, bend))
    flats = told(result)
    assert result["outcome"] == outcome
    assert flats["left-wheel"] == flats["right-wheel"] and flats["left-wheel"][0] == sign and flats["tilt"][0] == 0


@pytest.mark.parametrize(("change", "refused"), [
    ({"readings": [*three(9, 6, 13), {"at": 450, "bend": 12}]},
     {"readings/3/at": "a place that no other row has; of several readings at one place give the mean"}),
    ({"readings": [*three(9, 6, 13), {"at": "left", "bend": 12}]},
     {"readings/3/at": "a place that no other row has; of several readings at one place give the mean"}),
    ({"readings": [{"at": at, "bend": 9} for at in (-20, 0, 20)]},
     {"readings": "readings spread over the blade: near both ends and near the middle"}),
    ({"readings": [*three(9, 6, 13), {"at": "600 mm", "bend": -1}]},
     {"readings/3/at": "a place on the blade, at most 473 mm from the middle", "readings/3/bend": "a trail of 0 or more"}),
    ({"readings": three(9, 6, 13)[:2]}, {"readings": "a list of 3 to 21 rows, each with at, bend"}),
    ({"readings": [*three(9, 6, 13), {"at": "port", "bend": 5}]},
     {"readings/3/at": "one of: left, middle, right; or a distance from −2000 to 2000 mm (no number in it)"}),
    ({"wanted": 31}, {"wanted": "a bend up to 30 mm with a free length of 40 mm. More is too much bend: the blade would lie "
                                "on its face"}),
    ({"free_length": None}, {"free_length": "a length from 5 to 200 mm; a trail needs it"}),
    ({"radius": 440}, {"radius": "at least half the chord, 450 mm"}),
    ({"radius": 50000, "thread": None, "tilt_pitch": 3}, {
        "radius": "at most 20\u202f253 mm with this chord: a straighter blade is not levelled by tilt",
        "thread": "a thread such as M10, or its pitch in the field for it",
        "tilt_pitch": "1.75 mm with the thread M12; leave one of the two out"}),
    ({"tolerance": 0}, {"tolerance": "a tolerance above 0, to 20 mm"}),
    ({"measure": "depth"}, {"measure": "one of: trail, height"}),
])
def test_refusals(change, refused):
    assert refusals(ID, EXAMPLE | change) == refused


def test_units_and_places_typed_in_other_ways():
    plain = answered(ID, EXAMPLE)
    inches = answered(ID, EXAMPLE | {"readings": [
        {"at": "-45 cm", "bend": f"{9 / 25.4!r} in"}, {"at": 0, "bend": "0,6 cm"}, {"at": "0.45 m", "bend": "13 mm"}]})
    assert [r["direction"] for r in inches["tables"]["settings"]] == [r["direction"] for r in plain["tables"]["settings"]]
    assert exactly(inches) == pytest.approx(exactly(plain), rel=1e-8)
    assert inches["figures"] == plain["figures"]


@settings(derandomize=True, max_examples=400, deadline=None)
@given(inputs=odd_inputs(calculator(ID)))
def test_odd_inputs_are_answered_or_refused(inputs):
    answered(ID, inputs)
