"""suction-drop: hand grades, every refusal with its words, odd input."""

import itertools
import json

import pytest

from calculators import calculate, present
from tests.calculators.surveys import CALC, GRADES, ID, MOTOR, answer, survey


def refused(inputs) -> list[tuple[str, str, str]]:
    result = calculate(ID, inputs)
    assert set(result) == {"refused"}, result
    return [(r["field"], r["got"], r["takes"]) for r in result["refused"]]


# ---- grades ----

@pytest.mark.parametrize("pair", [p for p in itertools.product(GRADES, repeat=2)])
@pytest.mark.parametrize("motor", [{}, MOTOR])
def test_grades_are_an_order(pair: tuple[str, str], motor: dict) -> None:
    """Neighbouring grades overlap: cannot tell, use a gauge. Two grades apart: told apart. Rising two:
    refused."""
    result = calculate(ID, {"readings": survey(None, *pair)} | motor)
    step = GRADES.index(pair[0]) - GRADES.index(pair[1])
    if step < -1:
        assert result["refused"][0]["field"] == "readings/1/grade"
    elif step <= 1:
        assert (result["outcome"], "Use a gauge." in result["answer"]) == ("cannot-tell", True)
    else:
        assert result["outcome"] == ("blockage" if pair[1] == "none" else "leak")
        row = result["tables"]["segments"][0]
        assert row["sure"] and "hole" not in row and "ratio" not in row


def test_grades_beside_gauge_readings() -> None:
    """With the motor's figure a grade is a range of it; without, it is refused and the refusal says what
    helps."""
    rows = survey(19.5, "strong", "weak")
    assert named_stations(calculate(ID, {"readings": rows} | MOTOR)) == ("tank-port", "hose-end")
    assert [(f, g) for f, g, _t in refused({"readings": rows})] == [
        ("readings/1/grade", "strong"), ("readings/2/grade", "weak")]
    assert refused({"readings": rows})[0][2] == ("a vacuum like the other readings; a grade stands beside "
                                                 "them only when the motor's sealed vacuum is known")


def named_stations(result: dict) -> tuple[str, str]:
    row = next(r for r in result["tables"]["segments"] if r["sure"])
    return row["from"], row["to"]


def test_motor_inlet_never_by_hand() -> None:
    result = calculate(ID, {"readings": survey("strong", "strong")})
    assert ("Never close the motor inlet by hand: lay the plate on while the machine is made safe."
            in result["cautions"])
    assert calculate(ID, {"readings": survey("weak", "weak")})["outcome"] == "motor-weak"


# ---- refusals ----

VACUUM = "a vacuum from 0 to 101 kPa"
RISE = "a reading no higher than that nearer the motor; repeat {} and {}"
ROWS = "a list of 1 to 8 rows, each with station, vacuum, grade, state"
REFUSALS = [
    ({"readings": survey(19.4, -4)}, [("readings/1/vacuum", "-4", VACUUM)]),
    ({"readings": survey("-4 kPa")}, [("readings/0/vacuum", "-4 kPa", VACUUM)]),
    ({"readings": survey(102)}, [("readings/0/vacuum", "102", VACUUM)]),
    ({"readings": [{"station": "motor-inlet"}]},
     [("readings/0/vacuum", "nothing",
       "a vacuum or a grade; take the row out when the station was not read")]),
    ({"readings": [{"station": "motor-inlet", "vacuum": 19, "grade": "strong"}]},
     [("readings/0/grade", "strong", "a grade only where no vacuum is given")]),
    ({"readings": survey(19.4, 15.2, 19.1, 15.9)},
     [("readings/2/vacuum", "19.1 kPa", RISE.format("the tank port", "the floor end of the hose"))]),
    ({"readings": list(reversed(survey(19.4, 15.2, 19.1, 15.9)))},
     [("readings/1/vacuum", "19.1 kPa", RISE.format("the tank port", "the floor end of the hose"))]),
    ({"readings": survey(19.0, 19.3, 19.55)},
     [("readings/2/vacuum", "19.55 kPa", RISE.format("the motor inlet", "the floor end of the hose"))]),
    ({"readings": survey(19, 18), "healthy": survey(18, 19)},
     [("healthy/1/vacuum", "19 kPa", RISE.format("the motor inlet", "the tank port"))]),
    ({"readings": survey(19.4, 19.1) + survey(19.3)},
     [("readings/2/station", "motor-inlet", "each station once in each state; row 1 has it already")]),
    ({"readings": survey(50), "altitude": 5000},
     []),
    ({"readings": survey(60), "altitude": 5000},
     [("readings/0/vacuum", "60.0", "a vacuum below the pressure of the air at this altitude, 54.0 kPa")]),
    ({"readings": []}, [("readings", "[]", ROWS)]),
    ({}, [("readings", "nothing", ROWS)]),
    ({"readings": survey(19), "uncertainty": -1, "sealed_vacuum": 0, "open_flow": "many", "altitude": 9000,
      "air_temperature": "-40 degC"},
     [("uncertainty", "-1", "an uncertainty from 0 to 10 kPa"),
      ("sealed_vacuum", "0", "a vacuum above 0, to 101 kPa"),
      ("open_flow", "many", "an air flow above 0, to 2000 m³/h (no number in it)"),
      ("altitude", "9000", "an altitude from \u2212400 to 5000 m"),
      ("air_temperature", "-40 degC", "a temperature from \u221220 to 60 °C")]),
    ({"readings": [{"station": "roof", "vacuum": 19}]},
     [("readings/0/station", "roof", "one of: motor-inlet, tank-port, hose-end, squeegee-outlet")]),
    ({"readings": [{"station": "motor-inlet", "grade": "superb"}]},
     [("readings/0/grade", "superb", "one of: none, weak, fair, strong")]),
    ({"readings": [{"station": "motor-inlet", "vacuum": 3, "state": "shut"}]},
     [("readings/0/state", "shut", "one of: sealed, flowing")]),
]


@pytest.mark.parametrize(("inputs", "expected"), REFUSALS)
def test_refusals(inputs: dict, expected: list) -> None:
    if expected:
        assert refused(inputs) == expected
    else:  # just inside the limit beside it
        assert "refused" not in calculate(ID, inputs)


def test_a_rise_within_the_gauge_is_no_refusal() -> None:
    assert answer(19.0, 19.5)["outcome"] == "path-sound"
    assert "refused" in answer(19.0, 19.51)


def test_same_station_in_two_states_is_no_refusal() -> None:
    assert "refused" not in calculate(ID, {"readings": survey(19.5) + survey(9, state="flowing")})


ODD = [None, True, [], {}, "", "abc", "\u0661\u0669", "19.4 stone", "1e999", float("nan"), float("inf"),
       10**400, -1e308,
       "19.4 kPa <script>", "\U0001f4a8", "9" * 500, [[]], {"a": 1}, "nan"]

WHERE = ["(all)", "readings", "row", "station", "vacuum", "grade", "state", "uncertainty", "sealed_vacuum",
         "open_flow", "healthy", "altitude", "air_temperature"]


@pytest.mark.parametrize("odd", ODD, ids=[str(n) for n in range(len(ODD))])
@pytest.mark.parametrize("where", WHERE)
def test_odd_input_gives_an_answer_or_a_refusal(odd, where: str) -> None:
    inputs = {"readings": survey(19.4, 16.0)} | MOTOR
    if where == "(all)":
        inputs = odd
    elif where == "row":
        inputs["readings"] = [odd]
    elif where in ("station", "vacuum", "grade", "state"):
        inputs["readings"][1][where] = odd
    else:
        inputs[where] = odd
    result = calculate(ID, inputs)
    json.dumps(result, allow_nan=False)
    if "refused" in result:
        assert all(r["field"] and r["takes"] for r in result["refused"])
        assert all(r["text"] for r in present.shown(CALC, result)["refused"])
    else:  # only what means "nothing given" may pass
        assert odd is None or odd == "" or (odd == [] and where == "healthy")
