"""Wheel adjustment: turns and flats by exact arithmetic, bends by scipy, every outcome and refusal."""

import itertools
import math
from fractions import Fraction

import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calculators import blade, calculate, calculator
from calculators.wheel_adjust import to_flats
from tests.calculators.laws import answered, odd_inputs, refusals
from tests.calculators.elastica import elastica_height, elastica_trail

from .outside import held

UNITS = pint.UnitRegistry()
ID = "wheel-adjust"
EXAMPLE = calculator(ID).example
FIXED = settings(derandomize=True, max_examples=300, deadline=None)

threads = st.sampled_from(["M6", "M8", "M8x1", "M10", "M10x1.25", "M12", "M16", "3/8-16 UNC", "1/2-20 UNF"])
#: Pitch in mm: ISO 261 and ASME B1.1 (the threads themselves are tested beside `thread`).
PITCH = {"M6": "1", "M8": "1.25", "M8x1": "1", "M10": "1.5", "M10x1.25": "1.25", "M12": "1.75", "M16": "2",
         "3/8-16 UNC": "25.4/16", "1/2-20 UNF": "25.4/20"}


def pitch_of(name):
    top, _slash, bottom = PITCH[name].partition("/")
    return Fraction(top) / Fraction(bottom or 1)


def figures(result):
    return {name: figure["value"] for name, figure in result["figures"].items()}


def test_an_m10_stem_for_two_millimetres():
    # One turn of M10 is 1.5 mm (ISO 261), one flat of six 0.25 mm: 2 mm are 1 turn and 2 flats, 480 degrees.
    result = answered(ID, {"thread": "M10", "change": 2})
    assert result["outcome"] == "turn"
    assert figures(result) == pytest.approx(
        {"turns": 4 / 3, "degrees": 480, "whole_turns": 1, "flats": 2, "left_over": 0}, rel=1e-9)
    assert result["answer"] == ("Turn both stems 1 turn and 2 flats into the body (anticlockwise, seen from above). The "
                                "squeegee comes down 2 mm: more bend.")


@FIXED
@given(thread=threads, change=st.integers(-20000, 20000), ratio=st.integers(5, 300), flats=st.integers(2, 12))
def test_turns_and_flats_agree_with_exact_arithmetic(thread, change, ratio, flats):
    held("wheel-adjust", "turns degrees whole_turns flats left_over", "exact fractions, thread table of bd_warehouse", change=change, flats=flats)
    # Oracle: rational numbers. `change` in thousandths of a millimetre, `ratio` in hundredths.
    wanted, lever, pitch = Fraction(change, 1000), Fraction(ratio, 100), pitch_of(thread)
    turns = wanted / (pitch * lever)
    assume(abs(abs(turns * flats) % 1 - Fraction(1, 2)) > Fraction(1, 10**7) or turns * flats * 2 % 1 == 0)
    number = math.floor(abs(turns * flats) + Fraction(1, 2)) * (1 if turns >= 0 else -1)
    result = answered(ID, {"thread": thread, "change": float(wanted), "lever_ratio": float(lever), "flats": flats})
    left = float(wanted - number * pitch * lever / flats)
    assert figures(result) == pytest.approx(
        {"turns": float(turns), "degrees": float(turns * 360), "whole_turns": abs(number) // flats,
         "flats": abs(number) % flats, "left_over": left}, rel=1e-9, abs=2e-6)
    assert result["outcome"] == ("turn" if number else "leave")
    assert abs(left) <= float(pitch * lever / flats) / 2 * (1 + 1e-6)
    if number:
        assert ("into the body" in result["answer"]) == (change > 0)
        assert ("comes down" in result["answer"]) == (change > 0)


@pytest.mark.parametrize(("flats", "number"), [(0.499, 0), (0.5, 1), (0.501, 1), (1.5, 2), (-0.499, 0), (-0.5, -1),
                                               (-2.5, -3), (13.49, 13)])
def test_half_a_flat_is_turned_and_less_is_left(flats, number):
    assert to_flats(flats * 0.25e-3, 1.5e-3, 1.0, 6) == number
    result = answered(ID, {"thread": "M10", "change": flats * 0.25})
    assert result["outcome"] == ("turn" if number else "leave")


@FIXED
@given(now=st.floats(0.02, 0.74), wanted=st.floats(0.02, 0.74), length=st.floats(15, 80), thread=threads,
       ratio=st.floats(0.3, 3))
def test_bends_agree_with_scipy(now, wanted, length, thread, ratio):
    held("wheel-adjust", "bend_expected", "scipy: elastica", now=now, wanted=wanted, length=length)
    # Oracle: the elastica by scipy.special and scipy.optimize.
    pitch = float(pitch_of(thread))
    result = answered(ID, {"thread": thread, "bend_now": now * length, "bend_wanted": wanted * length,
                           "free_length": length, "lever_ratio": ratio})
    found = figures(result)
    change = (elastica_height(wanted) - elastica_height(now)) * length
    assert found["turns"] == pytest.approx(change / pitch / ratio, rel=1e-6, abs=1e-8)
    moved = (found["whole_turns"] + found["flats"] / 6) * pitch * ratio * (1 if found["turns"] >= 0 else -1)
    assert found["left_over"] == pytest.approx(change - moved, rel=1e-6, abs=2e-6)
    height = elastica_height(now) + moved / length
    if height > 1e-5:
        assert found["bend_expected"] == pytest.approx(elastica_trail(height) * length, rel=1e-5)
    bend = result["figures"]["bend_expected"]
    assert bend["low"] <= bend["value"] <= bend["high"] <= 0.75 * length * (1 + 1e-6)


def test_from_eight_to_fifteen_millimetres_of_trail():
    # Elastica: 2.58 mm of height on a free length of 40 mm; on M10 1.72 turns, 10 flats, 2.5 mm.
    result = answered(ID, EXAMPLE | {"bend_wanted": 15})
    found = figures(result)
    assert found["turns"] == pytest.approx(2.5807 / 1.5, abs=1e-4)
    assert (found["whole_turns"], found["flats"]) == (1, 4)
    assert found["left_over"] == pytest.approx(0.0807, abs=1e-4)
    assert found["engaged_after"] == pytest.approx(26.5)
    assert result["answer"] == ("Turn both stems 1 turn and 4 flats into the body (anticlockwise, seen from above). "
                                "Expect a bend of 14.8 mm.")


def test_rounding_up_never_lays_the_blade_on_its_face():
    # Wanted: the most that is answered. Rounding to the nearest flat would go beyond it; a flat less is turned.
    left = []
    for now in range(200, 300, 3):
        result = answered(ID, {"thread": "M10", "bend_now": now / 10, "bend_wanted": 30, "free_length": 40})
        left.append(figures(result)["left_over"])
        assert figures(result)["bend_expected"] <= 30 * (1 + 1e-9)
    assert min(left) >= 0
    assert 0.125 < max(left) < 0.25


@FIXED
@given(change=st.floats(-20, 20), thread=threads)
def test_back_again_is_the_same_number_of_flats(change, thread):
    there = figures(answered(ID, {"thread": thread, "change": change}))
    back = figures(answered(ID, {"thread": thread, "change": -change}))
    assert (there["whole_turns"], there["flats"]) == (back["whole_turns"], back["flats"])
    assert there["turns"] == -back["turns"] and there["degrees"] == -back["degrees"]


@FIXED
@given(change=st.floats(-10, 10), thread=threads, unit=st.sampled_from(["inch", "cm", "m"]))
def test_the_answer_does_not_depend_on_the_unit_typed(change, thread, unit):
    # Oracle: pint.
    typed = f"{UNITS.Quantity(change, 'mm').to(unit).m:.15f} {'in' if unit == 'inch' else unit}"
    plain, other = (answered(ID, {"thread": thread, "change": value}) for value in (change, typed))
    assume(plain["outcome"] == other["outcome"])
    for name, value in figures(plain).items():
        assert figures(other)[name] == pytest.approx(value, rel=1e-8, abs=1e-7)


@pytest.mark.parametrize(("into", "change", "says"), [
    ("anticlockwise", 1.5, "1 turn into the body (anticlockwise, seen from above)."),
    ("anticlockwise", -1.5, "1 turn out of the body (clockwise, seen from above)."),
    ("clockwise", 1.5, "1 turn into the body (clockwise, seen from above)."),
    ("clockwise", -3.25, "2 turns and 1 flat out of the body (anticlockwise, seen from above)."),
    ("clockwise", 0.5, "2 flats into the body (clockwise, seen from above)."),
])
def test_the_direction_is_said_both_ways(into, change, says):
    result = answered(ID, {"thread": "M10", "change": change, "into_body": into})
    assert result["answer"].startswith(f"Turn both stems {says}")
    assert says.partition(" (")[2].partition(",")[0] in result["picture"].partition("</desc>")[0]


@FIXED
@given(change=st.floats(-30, 30), engaged=st.floats(0, 60), thread=st.sampled_from(["M8", "M10", "M12", "M16"]),
       ratio=st.floats(0.3, 3))
def test_one_diameter_of_thread_must_hold(change, engaged, thread, ratio):
    held("wheel-adjust", "engaged_after", "exact arithmetic", change=change, engaged=engaged)
    # The stem moves by its own pitch, whatever the lever makes of it at the blade.
    result = answered(ID, {"thread": thread, "change": change, "engaged": engaged, "lever_ratio": ratio})
    found = figures(result)
    moved = (found["whole_turns"] + found["flats"] / 6) * float(pitch_of(thread)) * (1 if change >= 0 else -1)
    assert found["engaged_after"] == pytest.approx(engaged + moved, abs=1e-6)
    short = engaged + moved < int(thread[1:]) - 1e-6
    assert (result["outcome"] == "thread-short") == short
    if short:
        assert result["answer"].startswith("Do not")


@pytest.mark.parametrize(("change", "engaged", "answer"), [
    (-6, 12, "Do not turn the stems that far: only 6 mm of thread would hold them, less than one diameter of 10 mm. Turn "
     "them at most 1 turn and 2 flats out of the body (clockwise, seen from above), and look for a bent carrier or a "
     "worn wheel."),
    (-15, 12, "Do not turn the stems that far: they would come out of the body. Turn them at most 1 turn and 2 flats out "
     "of the body (clockwise, seen from above), and look for a bent carrier or a worn wheel."),
    (-2, 10, "Do not turn the stems out: 10 mm of thread holds them, and one diameter of 10 mm must stay in the body. "
     "Look for a bent carrier or a worn wheel."),
    (0, 6, "Do not turn the stems out: 6 mm of thread holds them, and one diameter of 10 mm must stay in the body. Look "
     "for a bent carrier or a worn wheel."),
    (1, 6, "Do not run on these stems: even 4 flats further into the body only 7 mm of thread would hold them, less than "
     "one diameter of 10 mm. Look for a bent carrier or a worn wheel."),
])
def test_thread_short_says_how_far_the_stems_may_go(change, engaged, answer):
    result = answered(ID, {"thread": "M10", "change": change, "engaged": engaged})
    assert (result["outcome"], result["answer"]) == ("thread-short", answer)


def test_exactly_one_diameter_is_enough():
    assert answered(ID, {"thread": "M10", "change": -1.5, "engaged": 11.5})["outcome"] == "turn"
    assert answered(ID, {"thread": "M10", "change": -1.75, "engaged": 11.5})["outcome"] == "thread-short"


def test_cautions_and_notes():
    result = answered(ID, {"thread": "M10", "change": -2})
    assert result["cautions"] == [
        "Key out, squeegee raised and blocked, before hands go to the wheels.",
        "Loosen the lock nut first. Afterwards hold the stem and tighten the lock nut against the body.",
        "Measure the thread left in the body: at least one diameter must hold."]
    assert "Turn both stems alike, roll the machine forward, stop, and read the bend again." in result["notes"]
    left = answered(ID, {"thread": "M10", "change": 1.9})["notes"]
    assert "Rounding to a flat leaves the squeegee 0.1 mm lower than asked." in left
    assert "Rounding to a flat leaves the squeegee 0.1 mm higher than asked." in answered(
        ID, {"thread": "M10", "change": 2.1})["notes"]
    assert ("Whether enough thread holds cannot be said without the thread's diameter."
            in answered(ID, {"pitch": 1.5, "change": 1, "engaged": 20})["notes"])
    assert ("A blade without bend may stand clear of the floor. Lower it until it just touches, then start from there."
            in answered(ID, EXAMPLE | {"bend_now": 0})["notes"])
    assert answered(ID, EXAMPLE | {"bend_wanted": 0})["answer"].endswith("No bend is left then.")


def test_leaving_the_stems():
    result = answered(ID, EXAMPLE | {"bend_now": 12})
    assert (result["outcome"], result["answer"]) == (
        "leave", "Leave the stems as they are: the change is less than half a flat.")
    assert figures(result)["bend_expected"] == pytest.approx(12)
    assert result["cautions"] == []


@pytest.mark.parametrize(("inputs", "refused"), [
    ({"thread": "M10"}, {"change": "a change of height; or give the bend now and the bend wanted"}),
    ({"thread": "M10", "bend_now": 8, "bend_wanted": 12, "free_length": 40, "change": 2},
     {"change": "a change, or the bend now and the bend wanted, not both"}),
    ({"thread": "M10", "bend_now": 8}, {
        "bend_wanted": "a bend from 0 to 100 mm; or give a change of height instead",
        "free_length": "a length from 5 to 200 mm"}),
    ({"thread": "M10", "bend_wanted": 8, "free_length": 40}, {
        "bend_now": "a bend from 0 to 100 mm; or give a change of height instead"}),
    ({"change": 2}, {"thread": "a thread such as M10, or its pitch in the field for it"}),
    ({"thread": "M10", "pitch": 1.25, "diameter": 12, "change": 2}, {
        "pitch": "1.5 mm with the thread M10; leave one of the two out",
        "diameter": "10 mm with the thread M10; leave one of the two out"}),
    ({"pitch": 3, "diameter": 2, "change": 2}, {"diameter": "a diameter larger than the pitch of 3 mm"}),
    ({"thread": "M10x2", "change": 2}, {
        "thread": "a thread such as M10, M10x1.25 or 3/8-16 UNC (M10 is known here with a pitch of 1.5, 1.25, 1 mm; "
                  "give another pitch by itself)"}),
    ({"thread": 10, "change": 2}, {"thread": "a thread such as M10, M10x1.25 or 3/8-16 UNC"}),
    ({"thread": "M10", "bend_now": 31, "bend_wanted": 32, "free_length": 40}, {
        "bend_now": "a bend up to 30 mm with a free length of 40 mm. More is too much bend: the blade lies on its face. "
                    "Turn both stems out of the body until it stands, and read again",
        "bend_wanted": "a bend up to 30 mm with a free length of 40 mm. More is too much bend: the blade would lie on "
                       "its face"}),
    ({"thread": "M10", "change": 51}, {"change": "a change of height from −50 to 50 mm"}),
    ({"thread": "M10", "change": 1, "lever_ratio": 0}, {"lever_ratio": "a number from 0.05 to 20"}),
    ({"thread": "M10", "change": 1, "flats": 0}, {"flats": "a whole number from 1 to 24"}),
    ({"thread": "M10", "change": 1, "engaged": -1}, {"engaged": "a length from 0 to 300 mm"}),
    ({"thread": "M10", "change": 1, "into_body": "left"}, {"into_body": "one of: anticlockwise, clockwise"}),
    ({"thread": "M10", "change": "2 kPa"}, {
        "change": "a change of height from −50 to 50 mm (unknown unit 'kPa'; known are mm, cm, m, um, in, ft)"}),
])
def test_refusals(inputs, refused):
    assert refusals(ID, inputs) == refused


def test_the_machines_own_bend_does_not_clash_with_a_change():
    # What a machine's file fills in is no second wish.
    result = answered(ID, {"thread": "M10", "bend_wanted": 12, "free_length": 40, "change": 2})
    assert figures(result)["whole_turns"] == 1 and "bend_expected" not in figures(result)


def test_thread_and_pitch_that_agree_are_taken():
    both = answered(ID, {"thread": "M10", "pitch": 1.5, "diameter": 10, "change": 2})
    assert figures(both) == figures(answered(ID, {"thread": "M10", "change": 2}))


@pytest.mark.parametrize(("text", "same"), [("m10 x 1,25", "M10x1.25"), ('3/8"-16', "3/8-16 UNC")])
def test_threads_as_people_write_them(text, same):
    assert calculate(ID, {"thread": text, "change": 2}) == calculate(ID, {"thread": same, "change": 2})


def test_every_example_and_row_of_the_table_is_answered_or_refused():
    one = calculator(ID)
    seen = {answered(ID, inputs).get("outcome") for inputs in (one.example, *(more for _name, more in one.examples))}
    assert seen == set(dict(one.outcomes)) | {None}
    for _label, inputs in one.lookup.rows:
        assert answered(ID, one.example | inputs)["outcome"] == "turn"


def test_pictures_of_every_number_of_flats():
    for flats, number, into in itertools.product((1, 2, 3, 4, 6, 8, 12), range(-13, 14), ("clockwise", "anticlockwise")):
        answered(ID, {"pitch": 1.2, "flats": flats, "change": number * 1.2 / flats, "into_body": into})


def test_the_lower_blade_is_the_more_bent():
    heights = [blade.height(bend / 1000, 0.04) for bend in range(0, 31)]
    assert heights == sorted(heights)


@settings(derandomize=True, max_examples=1000, deadline=None)
@given(inputs=odd_inputs(calculator(ID)))
def test_odd_inputs_are_answered_or_refused(inputs):
    answered(ID, inputs)


@FIXED
@given(now=st.floats(0.02, 0.7), wanted=st.floats(0.02, 0.7), more=st.floats(0, 0.04), length=st.floats(15, 80), thread=threads)
def test_more_bend_wanted_never_raises_the_squeegee(now, wanted, more, length, thread):
    one, two = (answered(ID, {"thread": thread, "bend_now": now * length, "bend_wanted": bend * length,
                              "free_length": length})["figures"]["turns"]["value"] for bend in (wanted, wanted + more))
    assert two >= one - 1e-9  # + is into the body: the squeegee comes down
