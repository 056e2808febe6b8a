"""The bent blade against the elastica solved by scipy in other ways, and against published values."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, special

from calculators import blade

REFERENCE = Path(__file__).resolve().parents[1] / "reference" / "blade.csv"
FIXED = settings(derandomize=True, max_examples=150, deadline=None)

ratios = st.floats(1e-3, blade.MOST_TRAIL)
lengths = st.floats(0.005, 0.2)
loads = st.sampled_from(blade.LOADS)


def reference(case):
    with REFERENCE.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["case"] == case]


def by_differential_equation(parameter, load):
    """Trail and height over length for a tip angle, by shooting from the free end: an ODE, no quadrature.

    θ'' = −k² cos θ (side) or −k² sin θ (end), θ = θ0 and θ' = 0 at the edge, until θ = 0 at the clamp.
    """
    tip = math.asin(parameter) if load == "side" else 2 * math.asin(parameter)
    force = math.cos if load == "side" else math.sin

    def slopes(_s, y):
        return [y[1], -force(y[0]), math.sin(y[0]), 1 - math.cos(y[0])]

    def clamp(_s, y):
        return y[0]

    clamp.terminal = True
    found = integrate.solve_ivp(slopes, (0, 50), [tip, 0, 0, 0], events=clamp, method="DOP853",
                                rtol=1e-12, atol=1e-14)
    return found.y[2, -1] / found.t[-1], found.y[3, -1] / found.t[-1]


def by_elliptic_integrals(parameter, load):
    """The same by Legendre's integrals (scipy.special.ellipk, ellipkinc and companions)."""
    if load == "end":
        k2 = parameter**2
        whole = special.ellipk(k2)
        return 2 * parameter / whole, 2 - 2 * special.ellipe(k2) / whole
    k2 = (1 + parameter) / 2
    start = math.asin(1 / math.sqrt(2 * k2))
    length = special.ellipk(k2) - special.ellipkinc(start, k2)
    second = special.ellipe(k2) - special.ellipeinc(start, k2)
    # The vertical reach is √(2 sin θ0)/k, the trail (length − 2·second) taken as positive.
    return (length - 2 * second) / length, 1 - math.sqrt(2 * parameter) / length


@pytest.mark.parametrize("load", blade.LOADS)
@pytest.mark.parametrize("parameter", [0.05, 0.2, 0.35, 0.5, 0.6, 0.7])
def test_the_shape_solves_the_differential_equation(parameter, load):
    # Oracle: scipy.integrate.solve_ivp (DOP853).
    assert blade.bent(parameter, load) == pytest.approx(by_differential_equation(parameter, load), rel=1e-9)


@FIXED
@given(parameter=st.floats(0.01, 0.72), load=loads)
def test_the_shape_agrees_with_elliptic_integrals(parameter, load):
    # Oracle: scipy.special; differences of integrals, hence the bound at small bends.
    assert blade.bent(parameter, load) == pytest.approx(by_elliptic_integrals(parameter, load), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("parameter", [0.8, 0.9, 0.96])
def test_wide_tip_angles_under_a_side_load(parameter):
    # Oracle: scipy.special, as above.
    assert blade.bent(parameter, "side") == pytest.approx(by_elliptic_integrals(parameter, "side"), rel=1e-11)


@pytest.mark.parametrize("ratio", [0.1, 0.3, 0.5, 0.7])
def test_the_boundary_value_problem_has_the_same_height(ratio):
    # Oracle: scipy.integrate.solve_bvp on θ'' = −α cos θ with α unknown and the trail given.
    def slopes(_s, y, p):
        return np.array([y[1], -p[0] * np.cos(y[0]), np.sin(y[0]), 1 - np.cos(y[0])])

    def ends(a, b, _p):
        return np.array([a[0], b[1], a[2], b[2] - ratio, a[3]])

    s = np.linspace(0, 1, 40)
    guess = np.array([2 * ratio * s * (2 - s) / 2, 2 * ratio * (1 - s), ratio * s**2, 0.6 * ratio**2 * s])
    found = integrate.solve_bvp(slopes, ends, s, guess, p=[3 * ratio], tol=1e-9, max_nodes=20000)
    assert found.success
    assert blade.height(ratio, 1) == pytest.approx(found.y[3, -1], rel=1e-7)


def test_published_values():
    # reference/blade.csv: Bisshopp & Drucker 1945 and the values computed beside it.
    for row in reference("cantilever tip deflection / length"):
        alpha = float(row["inputs"].partition("=")[2])
        m = _parameter_of(alpha)
        assert blade.bent(m)[0] == pytest.approx(float(row["expected"]), abs=1e-5)
    (row,) = reference("elastica, tip deflection and shortening over length")
    trail, height = (float(text) for text in row["expected"].split(","))
    assert blade.bent(_parameter_of(1.0)) == pytest.approx((trail, height), abs=1e-5)
    assert blade.height(trail, 1) == pytest.approx(height, abs=1e-5)
    (row,) = reference("height from trail, small bends")
    assert blade.height(0.1, 1) == pytest.approx(float(row["expected"]), abs=5e-6)


def _parameter_of(alpha):
    """sin θ0 of the load P·L²/(E·I) = alpha, by bisection on scipy's integrals."""
    low, high = 1e-6, 1 - 1e-9
    for _step in range(200):
        middle = (low + high) / 2
        k2 = (1 + middle) / 2
        length = special.ellipk(k2) - special.ellipkinc(math.asin(1 / math.sqrt(2 * k2)), k2)
        low, high = (middle, high) if length**2 < alpha else (low, middle)
    return low


def test_small_bends_follow_the_square():
    # Limits of the elastica: 3/5 for a side load, pi^2/16 for an end load.
    for ratio in (1e-6, 1e-4, 1e-3):
        assert blade.height(ratio, 1) == pytest.approx(0.6 * ratio**2, rel=2e-6)
        assert blade.height(ratio, 1, "end") == pytest.approx(math.pi**2 / 16 * ratio**2, rel=2e-6)


def test_from_eight_to_fifteen_millimetres_of_trail():
    # Computed from the elastica with scipy: 2.58 mm of height on a free length of 40 mm.
    assert blade.height(0.015, 0.04) - blade.height(0.008, 0.04) == pytest.approx(0.00258, abs=5e-6)


@FIXED
@given(ratio=ratios, length=lengths, load=loads)
def test_there_and_back(ratio, length, load):
    height = blade.height(ratio * length, length, load)
    assert blade.trail(height, length, load) == pytest.approx(ratio * length, rel=1e-9)


@FIXED
@given(ratio=ratios, other=ratios, length=lengths, load=loads)
def test_more_trail_is_more_height(ratio, other, length, load):
    one, two = sorted((ratio, other))
    if two - one > 1e-9:
        assert blade.height(one * length, length, load) < blade.height(two * length, length, load)


@FIXED
@given(ratio=ratios, length=lengths, scale=st.floats(0.1, 10), load=loads)
def test_height_scales_with_the_blade(ratio, length, scale, load):
    one = blade.height(ratio * length, length, load)
    assert blade.height(scale * ratio * length, scale * length, load) == pytest.approx(scale * one, rel=1e-8)


@FIXED
@given(ratio=st.floats(0, blade.MOST_TRAIL), length=lengths)
def test_the_drawn_shape_ends_at_trail_and_height(ratio, length):
    points = blade.shape(ratio * length, length)
    assert points[0] == (0, 0)
    assert points[-1] == pytest.approx((ratio * length, length - blade.height(ratio * length, length)), rel=1e-8,
                                       abs=1e-12)


def test_the_valid_range_ends_before_the_blade_lies_flat():
    # Pressed endwise the tip is level at W/L = 2p/K(p), p = sin 45 deg: Timoshenko & Gere; scipy.special.
    level = 2 * math.sqrt(0.5) / special.ellipk(0.5)
    assert blade.MOST_TRAIL < level == pytest.approx(0.7628, abs=1e-4)
    for load in blade.LOADS:
        assert math.degrees(blade.tip_angle(0.75, 1, load)) < 90
        assert blade.trail(blade.most_height(1, load), 1, load) == pytest.approx(blade.MOST_TRAIL)


@pytest.mark.parametrize("load", blade.LOADS)
def test_too_much_bend_is_refused(load):
    for call in (lambda: blade.height(0.76, 1, load), lambda: blade.trail(0.6, 1, load),
                 lambda: blade.tip_angle(0.8, 1, load), lambda: blade.height(math.inf, 1, load)):
        with pytest.raises(blade.TooMuchBend):
            call()


def test_what_is_no_blade_is_an_error():
    for arguments in ((-0.1, 1), (math.nan, 1), (0.1, 0), (0.1, -1), (0.1, 1, "both")):
        with pytest.raises(ValueError):
            blade.height(*arguments)
    assert blade.trail(-0.002, 0.04) == blade.trail(0, 0.04) == blade.height(0, 0.04) == blade.tip_angle(0, 0.04) == 0
