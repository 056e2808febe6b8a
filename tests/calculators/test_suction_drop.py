"""suction-drop: figures against published rows and libraries, every outcome, and the laws of any survey."""

import csv
import itertools
import json
import math
from fractions import Fraction
from pathlib import Path

import pint
import pytest
from fluids import ATMOSPHERE_1976
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft7Validator
from scipy.optimize import brentq

from calculators import answer_json, calculate, describe, present
from tests.calculators.surveys import CALC, GRADES, ID, MOTOR, STATIONS, answer, named, survey

from .outside import held

FIXED = settings(derandomize=True, max_examples=200, deadline=None, database=None)
LEAK = list(csv.DictReader((Path(__file__).parents[1] / "reference" / "leak.csv").open(encoding="utf-8")))
EXAMPLES = dict(CALC.examples) | {"worked": CALC.example}


# ---- figures against references ----

def test_worked_example() -> None:
    """19.4, 19.1, 16.2, 15.9 kPa: c and d worked by hand in test_air; ratios by hand."""
    result = calculate(ID, CALC.example)
    assert result["outcome"] == "leak"
    assert result["answer"] == ("Most of the suction is lost between the tank port and the floor end of the "
                                "hose, as through a round hole of about 8.9 mm.")
    figures = result["figures"]
    assert figures["overall_ratio"]["value"] == pytest.approx(15.9 / 19.4, rel=1e-9)
    assert figures["worst_drop"]["value"] == pytest.approx(2.9 / 19.1, rel=1e-9)
    assert figures["motor_share"]["value"] == pytest.approx(19.4 / 20, rel=1e-9)
    assert figures["lost"] == {"value": 2.9, "unit": "kPa", "low": 2.4, "high": 3.4}
    assert figures["lost_share"]["value"] == pytest.approx(2.9 / 3.5, rel=1e-9)
    assert figures["hole"]["value"] == pytest.approx(8.87, abs=0.005)
    rows = result["tables"]["segments"]
    assert [(r["from"], r["to"]) for r in rows] == list(itertools.pairwise(STATIONS))
    assert [r["sure"] for r in rows] == [False, True, False]
    assert [r["ratio"]["value"] for r in rows] == [pytest.approx(x) for x in
                                                   (19.1 / 19.4, 16.2 / 19.1, 15.9 / 16.2)]
    assert all(r["drop"]["value"] == pytest.approx(1 - r["ratio"]["value"]) for r in rows)
    assert all(r["hole"]["low"] <= r["hole"]["value"] <= r["hole"]["high"] for r in rows)
    assert all(r["hole"]["unit"] == "mm" for r in rows)
    assert set(rows[0]) == {"from", "to", "ratio", "drop", "sure", "hole"}


def test_published_two_holes() -> None:
    """leak.csv: 8.000 then 6.000 mm."""
    held("suction-drop", "hole", "published: leaks add, reference/leak.csv")
    row, = (row for row in LEAK if row["case"].startswith("two holes from three readings"))
    p = [float(x) / 1e3 for x in row["pressure_pa"].split(",")]
    rows = answer(*p, uncertainty=0)["tables"]["segments"]
    assert [r["hole"]["value"] for r in rows] == [pytest.approx(8.0, abs=5e-4), pytest.approx(6.0, abs=5e-4)]


def test_published_single_holes() -> None:
    """leak.csv: sealed vacuum left by 4, 8 and 10 mm."""
    rows = [row for row in LEAK if row["case"].startswith("sealed vacuum left")]
    assert len(rows) == 3
    for row in rows:
        found = answer(20, float(row["expected"]))
        assert found["outcome"] == "leak"
        hole = found["tables"]["segments"][0]["hole"]["value"]
        assert hole == pytest.approx(float(row["hole_mm"]), abs=2e-3)


@FIXED
@given(st.floats(2.5, 25), st.floats(0, 20), st.floats(8, 40), st.floats(60, 300))
def test_hole_over_the_whole_range(hole: float, bleed: float, sealed: float, open_flow: float) -> None:
    """Oracle: scipy's balance of fan and leaks, hole and bleed of any size; exact readings give the hole
    back."""
    held("suction-drop", "hole", "scipy: balance of fan line and orifices", hole=hole, sealed=sealed, open_flow=open_flow)
    def left(*holes: float) -> float:
        area = sum(math.pi / 4 * (d * 1e-3) ** 2 for d in holes)
        speed = 0.61 * area * math.sqrt(2 / 1.2) / (open_flow / 3600)
        return brentq(lambda p: sealed * 1e3 * (1 - speed * math.sqrt(p)) - p, 0, sealed * 1e3,
                      xtol=1e-10, rtol=1e-15) / 1e3

    result = calculate(ID, {"readings": survey(left(bleed), left(bleed, hole)), "uncertainty": 0,
                            "sealed_vacuum": sealed, "open_flow": open_flow})
    assert result["tables"]["segments"][0]["hole"]["value"] == pytest.approx(hole, rel=1e-6)


@FIXED
@given(st.floats(-400, 5000), st.floats(-20, 45), st.floats(0.5, 1.0))
def test_motor_share_in_any_air(altitude: float, celsius: float, part: float) -> None:
    """Oracle: fluids.ATMOSPHERE_1976 for the pressure, the ideal gas law for the temperature."""
    held("suction-drop", "motor_share", "fluids: ATMOSPHERE_1976", altitude=altitude, celsius=celsius)
    thin = ATMOSPHERE_1976(altitude).P / 101325 * 293.15 / (celsius + 273.15)
    p = 20 * thin * part
    result = answer(p, altitude=altitude, air_temperature=celsius, uncertainty=0.01)
    assert result["figures"]["motor_share"]["value"] == pytest.approx(part, rel=3e-6)
    if abs(part - 0.9) > 0.01:
        assert result["outcome"] == ("motor-weak" if part < 0.9 else "cannot-tell")


UNITS = pint.UnitRegistry()


@FIXED
@given(st.lists(st.integers(30, 390), min_size=2, max_size=4),
       st.sampled_from(["mbar", "inH2O", "mmHg", "psi", "Pa"]))
def test_the_unit_typed_does_not_matter(twentieths: list[int], unit: str) -> None:
    """Oracle: pint's conversions; the JSON is the same byte for byte."""
    values = sorted((n / 20 for n in twentieths), reverse=True)
    typed = [f"{UNITS.Quantity(v, 'kPa').to(unit).magnitude!r} {unit}" for v in values]
    assert answer_json(ID, json.dumps({"readings": survey(*typed)} | MOTOR)) == \
        answer_json(ID, json.dumps({"readings": survey(*values)} | MOTOR))


# ---- outcomes ----

WELL = survey(8.9, 8.4, 6.6, 6.1, state="flowing")
OUTCOMES = [
    # name of the example, outcome, beginning or part of the answer
    ("worked", "leak", "Most of the suction is lost between the tank port and the floor end of the hose"),
    ("lid leaks", "leak", "between the motor inlet and the tank port"),
    ("two leaks", "leak", "Suction is lost in several places, most between the tank port and"),
    ("sound", "path-sound", "The path is sound from the motor inlet to the squeegee outlet"),
    ("weak motor", "motor-weak", "The motor is weak: it makes 76 % of its sealed vacuum. Little is lost "
                                 "along the path."),
    ("weak motor and a leak", "leak", "The motor is weak as well"),
    ("in the mountains", "path-sound", "The path is sound"),
    ("blocked through", "blockage", "Nothing comes through between the tank port and the floor end of the "
                                    "hose"),
    ("blocked hose, flowing", "blockage", "The path is blocked between the tank port and the floor end of "
                                          "the hose."),
    ("blocked beyond the outlet", "blockage", "The path is blocked beyond the squeegee outlet."),
    ("sealed and flowing", "blockage", "The path is blocked between the tank port and the floor end of the "
                                       "hose."),
    ("all lowered", "cannot-tell", "Take sealed readings, the motor inlet first."),
    ("designed bleed", "path-sound", "The path is sound"),
    ("battery sinks", "cannot-tell", "The motor's vacuum sank by 2.1 kPa during the survey"),
    ("leak and a sinking battery", "leak", "between the tank port and the floor end of the hose"),
    ("by hand, far apart", "leak", "Most of the suction is lost between the tank port and the floor end of "
                                   "the hose."),
    ("by hand, too close", "cannot-tell", "Use a gauge."),
    ("coarse gauge", "cannot-tell", "Use a finer gauge."),
]


@pytest.mark.parametrize(("name", "outcome", "words"), OUTCOMES)
def test_every_outcome(name: str, outcome: str, words: str) -> None:
    result = calculate(ID, EXAMPLES[name])
    assert result["outcome"] == outcome
    assert words in result["answer"]
    assert result["picture"].startswith("<svg")


def test_examples_are_all_here_and_reach_every_outcome() -> None:
    assert {name for name, _o, _w in OUTCOMES} | {"refused: rises", "refused: twice"} == set(EXAMPLES)
    assert {o for _n, o, _w in OUTCOMES} == {code for code, _title in CALC.outcomes}


def test_weak_motor_is_told_by_the_air() -> None:
    """15.8 kPa is 79 % of 20 kPa at the sea, and 96 % at 1600 m."""
    assert answer(15.8, 15.7)["outcome"] == "motor-weak"
    result = answer(15.8, 15.7, altitude="1600 m")
    assert result["outcome"] == "path-sound"
    assert "In this air a motor in good order makes 16.5 kPa." in result["notes"]


def test_weak_motor_told_by_its_own_healthy_reading() -> None:
    result = calculate(ID, {"readings": survey(15.0, 14.9), "healthy": survey(19.4, 19.3)})
    assert result["outcome"] == "motor-weak"
    assert "motor_share" not in result["figures"]


def test_weak_motor_by_flowing_readings_is_told_by_the_sealed_one() -> None:
    """A tired motor lowers all flowing readings; the sealed motor inlet tells it from a leak."""
    low = survey(6.0, 5.6, 4.5, 4.2, state="flowing")
    tired = calculate(ID, {"readings": survey(15.0) + low, "healthy": WELL} | MOTOR)
    assert tired["outcome"] == "motor-weak"
    leaky = calculate(ID, {"readings": survey(19.5) + low, "healthy": WELL} | MOTOR)
    assert leaky["outcome"] == "leak"
    assert "station by station" in leaky["answer"]
    sealed = calculate(ID, {"readings": survey(19.5, 19.4, 19.3, 19.2) + low, "healthy": WELL} | MOTOR)
    assert sealed["outcome"] == "leak"
    assert "beyond the squeegee outlet" in sealed["answer"]


def test_a_healthy_drop_is_taken_off() -> None:
    """The machine always lost 2 kPa from motor inlet to tank port; the new loss is in the hose."""
    now = survey(19.5, 17.4, 16.2, 16.1)
    assert named(calculate(ID, {"readings": now} | MOTOR)) == ("motor-inlet", "tank-port")
    corrected = calculate(ID, {"readings": now, "healthy": survey(19.5, 17.5, 17.4, 17.3)} | MOTOR)
    assert named(corrected) == ("tank-port", "hose-end")
    assert corrected["figures"]["lost"]["value"] == pytest.approx(1.1)
    assert "What the healthy machine loses from station to station was taken off." in corrected["notes"]


def test_healthy_hole_is_taken_off_the_hole() -> None:
    """Leaks add as areas: a bleed of 6 mm and a hole of 8 mm look like 10 mm; with the bleed known, 8 mm is
    left."""
    sealed, flow = 20e3, 150 / 3600

    def left(d: float) -> float:
        area = math.pi / 4 * (d * 1e-3) ** 2
        return brentq(lambda p: sealed * (1 - 0.61 * area * math.sqrt(2 * p / 1.2) / flow) - p, 0,
                      sealed) / 1e3

    inputs = {"readings": survey(20, left(10)), "uncertainty": 0} | MOTOR
    row = calculate(ID, inputs)["tables"]["segments"][0]
    assert row["hole"]["value"] == pytest.approx(10, rel=1e-6)
    row = calculate(ID, inputs | {"healthy": survey(20, left(6))})["tables"]["segments"][0]
    assert row["hole"]["value"] == pytest.approx(8, rel=1e-6)


def test_loss_over_a_stretch_without_a_place() -> None:
    result = answer(19.5, 19.15, 18.8, 18.6)
    assert result["outcome"] == "cannot-tell"
    assert result["answer"].startswith("Vacuum is lost between the motor inlet and the floor end of the "
                                       "hose, but no single step is large enough for this gauge.")
    assert not any(row["sure"] for row in result["tables"]["segments"])


def test_stations_left_out() -> None:
    result = calculate(ID, {"readings": survey(19.4, None, 16.2, None)} | MOTOR)
    assert [(r["from"], r["to"]) for r in result["tables"]["segments"]] == [("motor-inlet", "hose-end")]
    assert result["answer"].startswith("Most of the suction is lost between the motor inlet and the floor "
                                       "end")
    sound = calculate(ID, {"readings": survey(19.4, 19.3)} | MOTOR)
    assert sound["outcome"] == "path-sound"
    assert "Not every station was read: what lies beyond is not judged." in sound["notes"]


def test_first_reading_beyond_the_motor_is_no_verdict_on_it() -> None:
    result = calculate(ID, {"readings": survey(None, 15.0, 14.9)} | MOTOR)
    assert result["outcome"] == "cannot-tell"
    assert result["answer"] == ("The vacuum is low at the tank port already. Read the motor inlet to tell "
                                "the motor from what lies between.")


def test_one_reading() -> None:
    assert answer(19.5)["outcome"] == "cannot-tell"
    assert answer(15.0)["outcome"] == "motor-weak"
    assert calculate(ID, {"readings": survey(15.0)})["outcome"] == "cannot-tell"


def test_flowing_alone_and_as_healthy() -> None:
    alone = calculate(ID, {"readings": survey(13, 12, 3, 3, state="flowing")} | MOTOR)
    assert alone["outcome"] == "cannot-tell"
    assert "beside those taken when the machine was well" in alone["answer"]
    same = calculate(ID, {"readings": WELL, "healthy": WELL} | MOTOR)
    assert same["outcome"] == "path-sound"
    assert "resistance_times_healthy" in same["tables"]["segments"][1]
    assert same["tables"]["segments"][1]["resistance_times_healthy"]["value"] == pytest.approx(1)


def test_a_leak_and_a_blockage_are_both_said() -> None:
    flowing = survey(13.2, 13.0, 3.1, 2.9, state="flowing")
    result = calculate(ID, {"readings": survey(19.5, 15.0, 14.9, 14.8) + flowing, "healthy": WELL} | MOTOR)
    assert result["outcome"] == "leak"
    assert any("there is a blockage beyond it as well" in c for c in result["cautions"])


def test_a_whole_blockage_hides_all_beyond() -> None:
    result = calculate(ID, EXAMPLES["blocked through"])
    assert [("hole" in row) for row in result["tables"]["segments"]] == [True, False, False]
    assert result["figures"]["worst_drop"]["value"] == pytest.approx(1 - 0.1 / 19.7)
    assert any("What lies beyond cannot be judged" in c for c in result["cautions"])


@pytest.mark.parametrize("known", [True, False])
def test_resistance_against_a_solved_path(known: bool) -> None:
    """Oracle: scipy solves fan and four resistances; the hose has 7 times its healthy one."""
    held("suction-drop", "resistance", "scipy: solved path of resistances")
    def path(*r: float) -> list[float]:
        q = brentq(lambda q: 20 * (1 - q / 150) - sum(r) * q * q, 0, 150, xtol=1e-13)
        return [sum(r[i:]) * q * q for i in range(4)]

    healthy, now = path(6e-5, 2.4e-4, 6e-5, 7e-4), path(6e-5, 7 * 2.4e-4, 6e-5, 7e-4)
    result = calculate(ID, {"readings": survey(*now, state="flowing"),
                            "healthy": survey(*healthy, state="flowing")} |
                       (MOTOR if known else {}))
    assert result["outcome"] == "blockage"
    rows = result["tables"]["segments"]
    assert [r["resistance_times_healthy"]["value"] for r in rows] == [
        pytest.approx(x, rel=1e-5) for x in (1, 7, 1)]
    assert result["figures"]["resistance"]["value"] == pytest.approx(7, rel=1e-5)
    assert result["answer"] == "The path is blocked between the tank port and the floor end of the hose."


@FIXED
@given(st.lists(st.integers(100, 2000), min_size=2, max_size=4).map(lambda ps: sorted(ps, reverse=True)))
def test_ratios_and_losses_are_exact_fractions(hundredths: list[int]) -> None:
    """Oracle: exact fractions of the readings (hundredths of a kPa, falling from the motor outwards, above what the gauge can miss)."""
    held("suction-drop", "overall_ratio worst_drop lost lost_share", "exact fractions", first=hundredths[0],
         last=hundredths[-1])
    result = calculate(ID, {"readings": survey(*(p / 100 for p in hundredths)), "uncertainty": 0.25})
    figures = {name: figure["value"] for name, figure in result["figures"].items()}
    steps = list(itertools.pairwise(hundredths))
    assert figures["overall_ratio"] == pytest.approx(float(Fraction(hundredths[-1], hundredths[0])), rel=1e-9)
    assert figures["worst_drop"] == pytest.approx(float(max(1 - Fraction(b, a) for a, b in steps)), rel=1e-9, abs=1e-12)
    if result["outcome"] == "leak":
        most = max(a - b for a, b in steps)
        assert figures["lost"] == pytest.approx(most / 100, rel=1e-9)
        assert figures["lost_share"] == pytest.approx(float(Fraction(most, hundredths[0] - hundredths[-1])), rel=1e-9)


# ---- laws ----

_values = st.lists(st.floats(0, 25).map(lambda x: round(x, 2)), min_size=1, max_size=4)
_grades = st.lists(st.sampled_from(GRADES), min_size=1, max_size=4)


@FIXED
@given(st.one_of(_values, _grades), st.one_of(st.just([]), _values), st.one_of(st.just([]), _values),
       st.floats(0, 2), st.booleans(), st.randoms(use_true_random=False))
def test_any_survey(now, flowing, healthy, error, motor, rng) -> None:
    """Valid JSON, the same for any order of typing, its table and figures within bounds; sure as defined."""
    now = sorted(now, key=GRADES.index if isinstance(now[0], str) else None, reverse=True)
    rows = survey(*now) + survey(*sorted(flowing, reverse=True), state="flowing")
    inputs = {"readings": rows, "healthy": survey(*sorted(healthy, reverse=True), state="flowing"),
              "uncertainty": error} | (MOTOR if motor else {})
    result = calculate(ID, inputs)
    if "refused" in result:  # grades beside gauge readings, and no motor
        assert isinstance(now[0], str) and (flowing or healthy) and not motor
        return
    text = answer_json(ID, json.dumps(inputs))
    assert json.loads(text) == result and answer_json(ID, json.dumps(inputs)) == text
    rng.shuffle(rows)
    assert calculate(ID, inputs | {"readings": rows}) == result
    assert result["outcome"] in {code for code, _title in CALC.outcomes}
    assert "{" not in result["answer"] and result["answer"].endswith(".")
    by = {(r["station"], r.get("state", "sealed")): r for r in rows}
    for row in result["tables"].get("segments", []):
        state = row.get("state", "sealed")
        near, far = by[row["from"], state].get("vacuum"), by[row["to"], state].get("vacuum")
        if near is not None and far is not None and state == "sealed":
            assert row["sure"] == (near - far > 2 * error + 1e-9)
        if "hole" in row:
            assert 0 <= row["hole"]["low"] <= row["hole"]["value"] <= row["hole"]["high"]
    for name in ("overall_ratio", "worst_drop", "motor_share"):
        cell = result["figures"].get(name)
        if cell and cell["value"] is not None:
            assert cell["low"] - 1e-9 <= cell["value"] <= cell["high"] + 1e-9


def test_sure_is_beyond_twice_the_uncertainty_whatever_the_unit() -> None:
    """Exactly 2u is not beyond it, in any unit that u and the readings are typed in."""
    assert not answer(19.5, 19.0)["tables"]["segments"][0]["sure"]
    assert answer(19.5, 18.999)["tables"]["segments"][0]["sure"]
    assert not answer("195 mbar", "190 mbar", uncertainty="2.5 mbar")["tables"]["segments"][0]["sure"]
    assert not answer("80 inH2O", "79 inH2O", uncertainty="0.5 inH2O")["tables"]["segments"][0]["sure"]


@FIXED
@given(st.floats(6, 19), st.floats(0.1, 4), st.floats(0.1, 4))
def test_holes_of_two_stretches_add(near: float, one: float, two: float) -> None:
    """Leaks add: the square of the hole over two stretches is the sum of the squares."""
    p = [near, near * (1 - one / 20), near * (1 - one / 20) * (1 - two / 20)]
    rows = answer(*p)["tables"]["segments"]
    whole = calculate(ID, {"readings": survey(p[0], None, p[2])} | MOTOR)["tables"]["segments"][0]
    # the readings are kept to a millionth of a pascal, the figures to ten digits
    assert rows[0]["hole"]["value"] ** 2 + rows[1]["hole"]["value"] ** 2 == pytest.approx(
        whole["hole"]["value"] ** 2, rel=1e-6)


def test_description_takes_the_examples() -> None:
    """The JSON Schema is valid and takes every example; each picture has a title, a description and no
    style."""
    schema = describe(ID)
    Draft7Validator.check_schema(schema)
    for name, inputs in EXAMPLES.items():
        assert not list(Draft7Validator(schema).iter_errors(inputs)), name
        result = calculate(ID, inputs)
        if "refused" not in result:
            picture = result["picture"]
            assert "<title" in picture and "<desc" in picture
            assert "style=" not in picture and "nan" not in picture
            assert present.shown(CALC, result, {"pressure": "inH2O"})["figures"] is not None


def test_lookup_is_worth_printing() -> None:
    rows = [calculate(ID, CALC.example | over) for _label, over in CALC.lookup.rows]
    assert 8 <= len(rows) <= 12
    holes = [r["figures"]["hole"]["value"] for r in rows]
    assert all(r["outcome"] == "leak" for r in rows) and holes == sorted(holes)
