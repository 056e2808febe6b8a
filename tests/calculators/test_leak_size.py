"""`leak-size` against reference/leak.csv, scipy's root of the balance, fluids' orifice and pint."""

import csv
import math
from pathlib import Path

import fluids
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from calculators import calculate

from . import laws
from .outside import held

ROWS = list(csv.DictReader((Path(__file__).parents[1] / "reference/leak.csv").open()))
MOTOR = {"sealed_vacuum": "20 kPa", "open_flow": "150 m3/h"}
ureg = pint.UnitRegistry()


def ask(**inputs):
    return laws.answered("leak-size", inputs)


@pytest.mark.parametrize("row", [r for r in ROWS if r["case"].startswith("sealed vacuum left")],
                         ids=lambda r: f"{r['hole_mm']} mm")
def test_vacuum_left_is_the_published_row(row):
    held("leak-size", "vacuum vacuum_share", "published: reference/leak.csv", hole=float(row["hole_mm"]))
    answer = ask(hole=f"{row['hole_mm']} mm", **MOTOR)
    assert answer["figures"]["vacuum"]["value"] == pytest.approx(float(row["expected"]), abs=5e-4)
    assert answer["figures"]["vacuum_share"]["value"] == pytest.approx(float(row["expected"]) / 20, abs=5e-5)


def test_water_column_is_the_published_row():
    held("leak-size", "water_lift", "published: reference/leak.csv")
    # reference/leak.csv: 10 kPa holds 1.0216 m of water at 20 degC.
    lift = ask(vacuum="10 kPa", **MOTOR)["figures"]["water_lift"]["value"]
    assert lift == pytest.approx(1.0216, abs=5e-5)


@settings(derandomize=True, max_examples=200)
@given(st.floats(1, 60), st.floats(2, 40), st.floats(20, 400), st.floats(0.4, 1), st.floats(0, 3000), st.floats(-10, 45))
def test_balance_against_scipy(hole, sealed, open_flow, cd, altitude, celsius):
    held("leak-size", "vacuum leak_flow hole", "scipy: brentq; fluids: ATMOSPHERE_1976", hole=hole, sealed=sealed, open_flow=open_flow, altitude=altitude)
    # Oracles: fluids' standard atmosphere for the density, scipy's brentq for where motor and hole meet.
    answer = ask(hole=hole, sealed_vacuum=sealed, open_flow=open_flow, discharge_coefficient=cd, altitude=altitude,
                 air_temperature=celsius)
    ambient = fluids.ATMOSPHERE_1976(altitude).P
    rho = 1.2 * ambient / 101325 * 293.15 / (celsius + 273.15)
    p0, qm, area = sealed * 1e3 * rho / 1.2, open_flow / 3600, math.pi * (hole * 1e-3) ** 2 / 4
    left = brentq(lambda p: qm * (1 - p / p0) - cd * area * math.sqrt(2 * p / rho), 0, p0, xtol=1e-9, rtol=1e-14)
    assert answer["figures"]["vacuum"]["value"] == pytest.approx(left / 1e3, rel=1e-6)
    assert answer["figures"]["leak_flow"]["value"] == pytest.approx(qm * (1 - left / p0) * 3600, rel=1e-5, abs=1e-6)
    # And back: the vacuum that the hole leaves gives the hole.
    back = ask(vacuum=answer["figures"]["vacuum"]["value"], sealed_vacuum=sealed, open_flow=open_flow,
               discharge_coefficient=cd, altitude=altitude, air_temperature=celsius)
    if left < 0.999 * p0:
        assert back["figures"]["hole"]["value"] == pytest.approx(hole, rel=1e-5)


@settings(derandomize=True, max_examples=100)
@given(st.floats(1, 20), st.floats(0.5, 15))  # within the motors that are taken, up to 2000 m3/h
def test_the_range_holds_the_orifice_of_iso_5167(hole, vacuum):
    held("leak-size", "hole area", "fluids: ISO 5167 orifice", hole=hole, vacuum=vacuum)
    # Oracle: fluids' ISO 5167 orifice in a wide pipe, which has its own coefficient and expansion of the air.
    mass = fluids.flow_meter.differential_pressure_meter_solver(
        D=1.0, D2=hole * 1e-3, rho=1.2, mu=1.81e-5, k=1.4, P1=101325.0, P2=101325.0 - vacuum * 1e3,
        meter_type="ISO 5167 orifice", taps="corner")
    share = 1 - vacuum / 20
    open_flow = mass / 1.2 / share * 3600  # the motor that leaves just this vacuum, on its straight line
    figures = ask(vacuum=vacuum, sealed_vacuum=20, open_flow=open_flow)["figures"]
    found, area = figures["hole"], math.pi / 4 * hole**2
    assert figures["area"]["low"] <= area <= figures["area"]["high"]
    assert found["low"] <= hole <= found["high"]
    assert found["value"] == pytest.approx(hole, rel=0.05)


@settings(derandomize=True, max_examples=100)
@given(st.floats(1, 100), st.floats(0.01, 50))
def test_a_larger_hole_never_leaves_more_vacuum(hole, more):
    small, large = ask(hole=hole, **MOTOR), ask(hole=hole + more, **MOTOR)
    for name in ("value", "low", "high"):
        assert large["figures"]["vacuum"][name] <= small["figures"]["vacuum"][name] + 1e-9


def test_units_by_pint():
    # 3/8 in and 80 inH2O, converted by pint, give the same as typed.
    typed = ask(hole="3/8 in", sealed_vacuum="80 inH2O", open_flow="90 cfm")
    plain = ask(hole=ureg("0.375 inch").to("mm").magnitude, sealed_vacuum=ureg("80 inch_H2O").to("kPa").magnitude,
                open_flow=ureg("90 foot**3/minute").to("m**3/hour").magnitude)
    for name, figure in typed["figures"].items():
        assert figure["value"] == pytest.approx(plain["figures"][name]["value"], rel=1e-6)


@pytest.mark.parametrize("inputs, field, takes", [
    (MOTOR, "vacuum", "a vacuum read, or the diameter of a hole, one of the two"),
    ({**MOTOR, "vacuum": 3, "hole": 3}, "vacuum", "a vacuum read, or the diameter of a hole, one of the two"),
    ({**MOTOR, "vacuum": 25}, "vacuum", "at most the 20 kPa that this motor can make here"),
    ({**MOTOR, "vacuum": "-4 kPa"}, "vacuum", "a vacuum above 0, to 101 kPa"),
    ({"vacuum": 3, "open_flow": 3}, "sealed_vacuum", "a vacuum above 0, to 101 kPa"),
    ({**MOTOR, "hole": 3, "discharge_coefficient": 2}, "discharge_coefficient", "a coefficient from 0.3 to 1"),
])
def test_refusals(inputs, field, takes):
    assert laws.refusals("leak-size", inputs) == {field: takes}
    assert calculate("leak-size", inputs)["refused"][0]["got"]
