"""Air in the hose against fluids (friction, loss, atmosphere), the published rows, every outcome and refusal."""

import csv
import math
from pathlib import Path

import fluids
import pint
import pytest
from fluids.numerics import logspace
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import calculator, pipe

from .laws import answered, odd_inputs, refusals
from .outside import held

ID = "hose-airspeed"
EXAMPLE = calculator(ID).example
HOSE = {"bore": "38 mm", "length": "1.5 m"}
FIXED = settings(derandomize=True, max_examples=300, deadline=None)
ROWS = {row["case"]: row for row in csv.DictReader((Path(__file__).parents[1] / "reference/leak.csv").open())}
UNITS = pint.UnitRegistry()


def published(case):
    return float(ROWS[case]["expected"])


def figures(result):
    return {name: figure["value"] for name, figure in result["figures"].items()}


def test_the_friction_factor_is_the_published_one():
    held(ID, "drop", "published: Colebrook, reference/leak.csv", reynolds=1e5)
    assert pipe.friction_factor(1e5, 1e-4) == pytest.approx(published("Colebrook friction factor, Re 1e5, e/D 1e-4"), abs=5e-11)


@FIXED
@given(power=st.floats(0, 8), roughness=st.one_of(st.just(0.0), st.floats(1e-7, 0.05)))
def test_the_friction_factor_agrees_with_fluids(power, roughness):
    # Oracle: fluids.friction_factor, Clamond's solution of Colebrook's equation, laminar below Re 2040.
    reynolds = 10**power
    held(ID, "drop", "fluids: friction_factor", reynolds=reynolds, roughness=roughness)
    assert pipe.friction_factor(reynolds, roughness) == pytest.approx(
        fluids.friction_factor(Re=reynolds, eD=roughness), rel=1e-10)


def test_friction_on_both_sides_of_the_step():
    for reynolds in (*logspace(1, 3.3, 40), 2039.999, 2040.0, 2040.001, 4000):
        assert pipe.friction_factor(reynolds) == pytest.approx(fluids.friction_factor(Re=reynolds, eD=0), rel=1e-10)


@FIXED
@given(temperature=st.floats(250, 335))
def test_viscosity_is_that_of_the_standard_atmosphere(temperature):
    # Oracle: fluids.ATMOSPHERE_1976.
    assert pipe.viscosity(temperature) == pytest.approx(fluids.ATMOSPHERE_1976.viscosity(temperature), rel=1e-9)


def test_the_published_loss_in_a_hose():
    # The row takes 1.81e-5 Pa·s; at 20 degC the standard atmosphere has 1.813e-5.
    row = published("hose 38.1 mm, 60 m3/h, 1.5 m, smooth")
    found = answered(ID, {"flow": 60, "bore": 38.1, "length": 1.5, "wall": "smooth"})
    held(ID, "drop", "published: reference/leak.csv")
    assert found["figures"]["drop"]["value"] * 1e3 == pytest.approx(row, rel=5e-4)
    speed = 60 / 3600 / (math.pi / 4 * 0.0381**2)
    assert pipe.drop(speed, 0.0381, 1.5, 1.2, 1.81e-5) == pytest.approx(row, abs=5e-3)


def test_the_published_speeds_that_carry():
    held(ID, "carry_speed", "published: Turner, Wallis, reference/leak.csv")
    assert pipe.droplet_speed(1.2) == pytest.approx(published("droplet carry-up speed, air and water 20 degC"), abs=5e-3)
    assert pipe.droplet_speed(1.2, adjusted=True) == pytest.approx(17.47, abs=5e-3)  # the same row's source
    assert pipe.flooding_speed(0.0381, 1.2) == pytest.approx(published("carry-up speed at jG* = 1, 38.1 mm bore"), abs=5e-3)
    band = answered(ID, {"flow": 60, "vacuum": 15, "bore": 38.1, "length": 1.5})["figures"]["carry_speed"]
    # Reckoned with the density rounded to 1.022.
    assert band["low"] == pytest.approx(published("droplet carry-up speed at 15 kPa vacuum"), abs=5e-3)
    # trade.md: the flooding criterion gives 20 m/s at 50 mm.
    assert answered(ID, {"flow": 60, "bore": 50, "length": 1})["figures"]["carry_speed"]["high"] == pytest.approx(20, abs=0.3)


@FIXED
@given(flow=st.floats(0.5, 250), bore=st.floats(30, 80), length=st.floats(0.1, 6), vacuum=st.floats(0, 25),
       altitude=st.floats(-300, 3000), celsius=st.floats(-20, 60))
def test_speed_and_loss_agree_with_fluids(flow, bore, length, vacuum, altitude, celsius):
    # Oracles: fluids.one_phase_dP and fluids.ATMOSPHERE_1976; density of fan practice, 1.2 at 20 degC and 101325 Pa.
    kelvin = celsius + 273.15
    rho = 1.2 * (fluids.ATMOSPHERE_1976(altitude).P - vacuum * 1e3) / 101325 * 293.15 / kelvin
    speed = flow / 3600 / (math.pi / 4 * (bore / 1e3) ** 2)
    inputs = {"flow": flow, "bore": bore, "length": length, "vacuum": vacuum, "altitude": altitude,
              "air_temperature": celsius}
    smooth, ribbed = (answered(ID, inputs | {"wall": wall}) for wall in ("smooth", "corrugated"))
    if "refused" in smooth:
        assert speed > 100
        return
    mu = fluids.ATMOSPHERE_1976.viscosity(kelvin)
    held(ID, "speed reynolds drop", "fluids: one_phase_dP, ATMOSPHERE_1976", flow=flow, bore=bore, length=length,
         vacuum=vacuum, altitude=altitude, celsius=celsius)
    found = figures(smooth)
    assert found["speed"] == pytest.approx(speed, rel=1e-8)
    assert found["reynolds"] == pytest.approx(fluids.Reynolds(V=speed, D=bore / 1e3, rho=rho, mu=mu), rel=1e-6)
    # Margin and the flow that is needed, by pint from the speeds themselves.
    band = smooth["figures"]["carry_speed"]
    held(ID, "margin flow_needed", "pint: speeds and the bore's area", flow=flow, bore=bore)
    area = math.pi / 4 * UNITS.Quantity(bore, "mm") ** 2
    for end, other in (("value", "value"), ("low", "high"), ("high", "low")):
        needed = (UNITS.Quantity(band[end], "m/s") * area).to("m**3/hour").m
        assert smooth["figures"]["flow_needed"][end] == pytest.approx(needed, rel=1e-8)
        assert smooth["figures"]["margin"][other] == pytest.approx(speed / band[end] - 1, rel=1e-6, abs=1e-8)
    loss = fluids.one_phase_dP(m=rho * flow / 3600, rho=rho, mu=mu, D=bore / 1e3, roughness=0, L=length)
    if abs(found["reynolds"] - 2040) > 1:
        assert found["drop"] * 1e3 == pytest.approx(loss, rel=1e-6)
    if "refused" not in ribbed:
        # The range: twice to four times a smooth hose.
        drop = ribbed["figures"]["drop"]
        assert [drop[k] / found["drop"] for k in ("low", "value", "high")] == pytest.approx([2, 3, 4], rel=1e-8)


@FIXED
@given(vacuum=st.floats(0.1, 19), sealed=st.floats(5, 30), open_flow=st.floats(30, 250), altitude=st.floats(0, 3000))
def test_the_flow_is_read_off_the_motors_line(vacuum, sealed, open_flow, altitude):
    # Oracle: the straight line, sealed vacuum in proportion to the density of fluids' standard atmosphere.
    here = sealed * fluids.ATMOSPHERE_1976(altitude).P / 101325
    inputs = {"flow_at_vacuum": vacuum, "sealed_vacuum": sealed, "open_flow": open_flow, "bore": 60, "length": 1,
              "altitude": altitude}
    result = answered(ID, inputs)
    if "refused" in result:
        assert vacuum >= here * (1 - 1e-6) and [r["field"] for r in result["refused"]] == ["flow_at_vacuum"]
        return
    held(ID, "flow", "straight line; fluids: ATMOSPHERE_1976", vacuum=vacuum, sealed=sealed, open_flow=open_flow)
    assert figures(result)["flow"] == pytest.approx(open_flow * (1 - vacuum / here), rel=1e-6, abs=1e-6)
    same = answered(ID, {"flow": figures(result)["flow"], "vacuum": vacuum, "bore": 60, "length": 1, "altitude": altitude})
    if "refused" not in same:
        assert figures(same) == pytest.approx(figures(result), rel=1e-6)


@FIXED
@given(speed=st.floats(1, 60), bore=st.floats(15, 100), vacuum=st.floats(0, 25))
def test_the_outcome_follows_the_band(speed, bore, vacuum):
    flow = speed * math.pi / 4 * (bore / 1e3) ** 2 * 3600
    result = answered(ID, {"flow": flow, "bore": bore, "length": 0.3, "vacuum": vacuum, "wall": "smooth"})
    band, margin = result["figures"]["carry_speed"], result["figures"]["margin"]
    assert result["outcome"] == ("carries" if speed > band["high"] else "marginal" if speed > band["low"] else "too-slow")
    assert margin["value"] == pytest.approx(speed / band["value"] - 1, rel=1e-7, abs=1e-9)
    assert (margin["low"] >= 0) == (result["outcome"] == "carries") and (margin["high"] < 0) == (
        result["outcome"] == "too-slow")
    needed = result["figures"]["flow_needed"]
    assert needed["low"] / flow == pytest.approx(band["low"] / speed, rel=1e-7)


@FIXED
@given(flow=st.floats(20, 100), vacuum=st.floats(0, 20), more=st.floats(0.5, 5))
def test_thinner_air_must_run_faster_and_a_wider_hose_runs_slower(flow, vacuum, more):
    here, thin, wide = (answered(ID, {"flow": flow, "length": 1, "bore": bore, "vacuum": p, "wall": "smooth"}) for bore, p in (
        (45, vacuum), (45, vacuum + more), (45 + more, vacuum)))
    for end in ("low", "value", "high"):
        assert thin["figures"]["carry_speed"][end] > here["figures"]["carry_speed"][end]
    assert figures(wide)["speed"] < figures(here)["speed"] and figures(wide)["drop"] < figures(here)["drop"]


@pytest.mark.parametrize(("inputs", "outcome", "answer"), [
    (EXAMPLE, "carries", "The air runs at 22.0 m/s: fast enough. Carrying water up takes 15.2 to 18.3 m/s."),
    ({"flow": 66, "vacuum": 8, **HOSE}, "marginal",
     "The air runs at 16.2 m/s: that may or may not carry water up, which takes 15.2 to 18.3 m/s."),
    ({"flow": 40, "vacuum": 8, **HOSE}, "too-slow",
     "The air runs at 9.8 m/s: too slow. Carrying water up takes 15.2 to 18.3 m/s."),
])
def test_outcomes_in_words(inputs, outcome, answer):
    result = answered(ID, inputs)
    assert (result["outcome"], result["answer"]) == (outcome, answer)
    assert any("falls back and lies in the hose" in note for note in result["notes"]) == (outcome != "carries")


def test_notes_on_what_is_not_known():
    assert any("taken as thick as outside" in note for note in answered(ID, {"flow": 60, **HOSE})["notes"])
    assert any("cannot run through it" in note for note in answered(
        ID, {"flow": 60, "vacuum": 0.1, "bore": 30, "length": 3})["notes"])
    assert any("two" not in note and "2 to 4 times" in note for note in answered(ID, {"flow": 60, **HOSE})["notes"])


def test_units_by_pint():
    typed = answered(ID, {"flow": "40 cfm", "vacuum": "30 inH2O", "bore": "1.5 in", "length": "5 ft",
                          "air_temperature": "90 degF", "altitude": "1000 ft"})
    plain = answered(ID, {
        "flow": UNITS("40 foot**3/minute").to("m**3/hour").m, "vacuum": UNITS("30 inch_H2O").to("kPa").m,
        "bore": 38.1, "length": UNITS("5 foot").to("m").m, "air_temperature": UNITS.Quantity(90, "degF").to("degC").m,
        "altitude": 304.8})
    assert figures(typed) == pytest.approx(figures(plain), rel=1e-6)


@pytest.mark.parametrize(("inputs", "refused"), [
    (HOSE, {"flow": "an air flow; or a vacuum with the motor's figures instead"}),
    (EXAMPLE | {"flow": 60}, {
        "flow_at_vacuum": "nothing beside a flow; the vacuum in the hose has a field of its own"}),
    ({"flow_at_vacuum": 10, "vacuum": 9, **HOSE}, {
        "vacuum": "nothing beside the vacuum at which the flow is read off",
        "sealed_vacuum": "the motor's figure: the flow is read off its line",
        "open_flow": "the motor's figure: the flow is read off its line"}),
    (EXAMPLE | {"flow_at_vacuum": 20}, {
        "flow_at_vacuum": "less than the 20 kPa that this motor makes here when nothing flows"}),
    ({"flow": 900, **HOSE}, {
        "flow": "a flow up to 408 m³/h in a bore of 38 mm: more than 100 m/s is not reckoned here"}),
    ({"flow": 60, "bore": 20, "length": 40}, {
        "length": "a hose that takes less than 25.3 kPa: this one would take 196 kPa"}),
    ({"flow": 60, "vacuum": 95, **HOSE}, {"vacuum": "at most 91.2 kPa, nine tenths of the air's own pressure there"}),
    ({"flow": 60}, {"bore": "a bore from 10 to 200 mm", "length": "a length above 0, to 50 m"}),
    ({"flow": 0, **HOSE}, {"flow": "an air flow above 0, to 2000 m³/h"}),
    ({"flow": 60, **HOSE, "wall": "rough"}, {"wall": "one of: smooth, corrugated"}),
])
def test_refusals(inputs, refused):
    assert refusals(ID, inputs) == refused


@settings(derandomize=True, max_examples=400, deadline=None)
@given(inputs=odd_inputs(calculator(ID)))
def test_odd_inputs_are_answered_or_refused(inputs):
    answered(ID, inputs)
