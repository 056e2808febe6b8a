"""`recovery-rate` against pint, exact fractions and every corner of the uncertainty."""

from fractions import Fraction
from itertools import product

import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calculators import calculate

from .outside import held

ureg = pint.UnitRegistry()


def ask(**inputs):
    return calculate("recovery-rate", inputs)


@settings(derandomize=True, max_examples=200)
@given(st.integers(1000, 100000), st.integers(0, 100000), st.integers(0, 400), st.integers(1, 5000))
def test_share_and_film_with_their_bounds(laid, recovered, u, area):
    held("recovery-rate", "recovered_share", "exact fractions over every corner", laid=laid, u=u)
    held("recovery-rate", "film left_per_area", "pint", area=area)
    assume(recovered <= laid)
    answer = ask(laid=f"{laid} mL", recovered=f"{recovered} mL", uncertainty=f"{u} mL", area=area)
    part = answer["figures"]["recovered_share"]
    # Oracle: exact fractions over every corner of the box of readings.
    corners = [Fraction(max(0, recovered + a * u), laid + b * u) for a, b in product((-1, 0, 1), repeat=2)]
    assert part["value"] == pytest.approx(float(Fraction(recovered, laid)), rel=1e-9, abs=1e-12)
    assert part["low"] == pytest.approx(float(min(corners)), rel=1e-9, abs=1e-12)
    assert part["high"] == pytest.approx(float(min(1, max(corners))), rel=1e-9)
    # Oracle: pint, a volume over an area in micrometres.
    film = ((laid - recovered) * ureg.milliliter / (area * ureg.meter**2)).to("micrometer").magnitude
    assert answer["figures"]["film"]["value"] == pytest.approx(film, rel=1e-9, abs=1e-12)
    mass = ((laid - recovered) * ureg.milliliter * 998.2 * ureg.kilogram / ureg.meter**3 / (area * ureg.meter**2))
    assert answer["figures"]["left_per_area"]["value"] == pytest.approx(
        mass.to("gram/meter**2").magnitude, rel=1e-9, abs=1e-12)


def test_water_weighed_is_water_measured():
    weighed, measured = ask(laid="9.982 kg", recovered="9 L"), ask(laid="10 L", recovered="9 L")
    assert weighed["figures"] == measured["figures"]


def test_flow_lifted():
    held("recovery-rate", "litres_per_minute", "by hand")
    # 50 m2 at 0.9 m and 1 m/s take 55.6 s; 9 L in that time (by hand).
    found = ask(laid=10, recovered=9, area=50, width="90 cm", speed="1 m/s")["figures"]["litres_per_minute"]
    assert found == {"value": pytest.approx(9 / (50 / 0.9) * 60), "unit": "L/min"}


@pytest.mark.parametrize("inputs, outcome", [
    ({"laid": 10, "recovered": 9.3, "healthy_share": 93}, "as-healthy"),
    ({"laid": 10, "recovered": 9.8, "healthy_share": 93}, "as-healthy"),
    ({"laid": 10, "recovered": 8.7, "healthy_share": 93}, "below-healthy"),
    ({"laid": 10, "recovered": 9.3}, "cannot-tell"),
    ({"laid": 2, "recovered": 1.85, "uncertainty": 0.2, "healthy_share": 95}, "cannot-tell"),
])
def test_outcomes(inputs, outcome):
    assert ask(**inputs)["outcome"] == outcome


@pytest.mark.parametrize("inputs, field", [
    ({"laid": 10, "recovered": 12}, "recovered"), ({"laid": 0, "recovered": 0}, "laid"),
    ({"laid": 1, "recovered": 1, "uncertainty": 0.5}, "uncertainty"),
    ({"laid": 10, "recovered": 9, "healthy_share": 120}, "healthy_share"),
])
def test_refusals(inputs, field):
    assert [r["field"] for r in ask(**inputs)["refused"]] == [field]
