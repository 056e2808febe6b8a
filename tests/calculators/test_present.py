"""Results in words: the reader's units reach the figures they were chosen for, and no others."""

import pytest

from calculators import calculate, calculator
from calculators.present import shown


def said(id: str, units: dict[str, str]) -> dict:
    one = calculator(id)
    return shown(one, calculate(id, one.example), units)


def figure(id: str, name: str, units: dict[str, str]) -> tuple[str, str]:
    found = next(f for f in said(id, units)["figures"] if f["name"] == name)
    return found["value"], found["unit"]


@pytest.mark.parametrize(("unit", "factor"), [("kPa", 1.0), ("mbar", 10.0), ("inH2O", 1000 / 249.08891)])
def test_a_chosen_unit_is_used(unit: str, factor: float):
    # Factors: exact by definition; conventional inch of water 249.08891 Pa (NIST SP 811, appendix B).
    own, _unit = figure("suction-drop", "lost", {})
    value, written = figure("suction-drop", "lost", {"pressure": unit})
    assert written == unit.replace("H2O", "H₂O")
    assert float(value) == pytest.approx(float(own) * factor, rel=0.05)  # two digits are shown


@pytest.mark.parametrize("unit", ["m", "ft"])
def test_a_unit_chosen_for_an_altitude_says_nothing_about_a_hole(unit: str):
    assert said("suction-drop", {"length": unit})["tables"] == said("suction-drop", {})["tables"]
