"""Surveys of the suction path as inputs, for the tests of suction-drop."""

import calculators
from calculators import calculate

ID = "suction-drop"
CALC = calculators.calculator(ID)
STATIONS = ("motor-inlet", "tank-port", "hose-end", "squeegee-outlet")
GRADES = ("none", "weak", "fair", "strong")
MOTOR = {"sealed_vacuum": 20, "open_flow": 150}


def survey(*values, state: str | None = None) -> list[dict]:
    """Rows from the motor outwards; a number is a gauge reading in kPa, a text a grade, None not read."""
    more = {"state": state} if state else {}
    return [{"station": s, "grade" if v in GRADES else "vacuum": v} | more
            for s, v in zip(STATIONS, values, strict=False) if v is not None]


def answer(*values, **inputs) -> dict:
    """The answer to sealed readings of a machine whose motor makes 20 kPa and 150 m3/h."""
    return calculate(ID, {"readings": survey(*values)} | MOTOR | inputs)


def named(result: dict) -> tuple[str, str] | None:
    """The stretch that a reader is told of: the certain one with the largest drop."""
    rows = [row for row in result["tables"].get("segments", []) if row["sure"]]
    if result["outcome"] != "leak" or not rows:
        return None
    worst = max(rows, key=lambda row: row["drop"]["value"] if "drop" in row else 0)
    return worst["from"], worst["to"]
