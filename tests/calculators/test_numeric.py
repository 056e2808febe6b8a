"""Root, integral, least squares and Student's t against scipy over their whole range."""

import math

import numpy
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import integrate, linalg, special, stats

from calculators import numeric

FIXED = settings(derandomize=True, max_examples=400, deadline=None)

freedoms = st.integers(1, 200)


@FIXED
@given(a=st.floats(0.05, 300), b=st.floats(0.05, 300), x=st.floats(0, 1))
def test_incomplete_beta_agrees_with_scipy(a, b, x):
    # Oracle: scipy.special.betainc.
    assert numeric.incomplete_beta(a, b, x) == pytest.approx(special.betainc(a, b, x), rel=1e-9, abs=1e-12)


@FIXED
@given(a=st.floats(0.01, 60), x=st.floats(0, 300))
def test_incomplete_gamma_agrees_with_scipy(a, x):
    # Oracle: scipy.special.gammainc.
    assert numeric.incomplete_gamma(a, x) == pytest.approx(special.gammainc(a, x), rel=1e-10, abs=1e-300)


def test_incomplete_gamma_far_out():
    # Oracle: scipy.special.gammainc.
    for a, x in ((0.02, 1e-300), (0.5, 1e-12), (5, 1e-9), (0.02, 5000), (50, 900), (3, 1e6)):
        assert numeric.incomplete_gamma(a, x) == pytest.approx(special.gammainc(a, x), rel=1e-10)


@FIXED
@given(t=st.floats(-200, 200), freedom=freedoms)
def test_distribution_agrees_with_scipy(t, freedom):
    # Oracle: scipy.stats.t.cdf and .sf.
    assert numeric.t_distribution(t, freedom) == pytest.approx(stats.t.cdf(t, freedom), rel=1e-9, abs=1e-14)
    assert numeric.t_tail(abs(t), freedom) == pytest.approx(stats.t.sf(abs(t), freedom), rel=1e-9, abs=1e-300)


@FIXED
@given(probability=st.floats(1e-6, 1 - 1e-6), freedom=freedoms)
def test_quantile_agrees_with_scipy(probability, freedom):
    # Oracle: scipy.stats.t.ppf.
    assert numeric.t_quantile(probability, freedom) == pytest.approx(
        stats.t.ppf(probability, freedom), rel=1e-8, abs=1e-9)


@pytest.mark.parametrize("freedom", range(1, 201))
def test_the_quantile_of_a_90_percent_range(freedom):
    # Oracle: scipy.stats.t.ppf, at every number of readings that the calculators take.
    assert numeric.t_quantile(0.95, freedom) == pytest.approx(stats.t.ppf(0.95, freedom), rel=1e-11)


def test_quantiles_in_closed_form():
    # One degree of freedom: tan(pi (p - 1/2)); two: (2p - 1) sqrt(2 / (4p (1 - p))).
    for p in (0.05, 0.3, 0.5, 0.75, 0.95, 0.999):
        assert numeric.t_quantile(p, 1) == pytest.approx(math.tan(math.pi * (p - 0.5)), rel=1e-11, abs=1e-12)
        two = (2 * p - 1) * math.sqrt(2 / (4 * p * (1 - p)))
        assert numeric.t_quantile(p, 2) == pytest.approx(two, rel=1e-11, abs=1e-12)


def test_the_normal_quantile_is_the_limit():
    # Oracle: scipy.stats.norm.ppf.
    assert numeric.NORMAL_95 == pytest.approx(stats.norm.ppf(0.95), rel=1e-15)
    assert numeric.t_quantile(0.95, 1e6) == pytest.approx(numeric.NORMAL_95, rel=1e-5)


@pytest.mark.parametrize(("call", "arguments"), [
    (numeric.t_quantile, (0.0, 3)), (numeric.t_quantile, (1.0, 3)), (numeric.t_quantile, (0.9, 0)),
    (numeric.t_quantile, (math.nan, 3)), (numeric.t_tail, (-1.0, 3)), (numeric.incomplete_beta, (0, 1, 0.5)),
    (numeric.incomplete_beta, (1, 1, 1.5)), (numeric.incomplete_gamma, (0, 1)), (numeric.incomplete_gamma, (1, -1)),
    (numeric.incomplete_gamma, (1, math.inf)), (numeric.root, (lambda x: x * x + 1, 0, 1)),
])
def test_what_has_no_answer_is_an_error(call, arguments):
    with pytest.raises(ValueError):
        call(*arguments)


@FIXED
@given(where=st.floats(-0.999, 0.999), power=st.sampled_from([1, 3, 5]))
def test_a_root_is_found(where, power):
    found = numeric.root(lambda x: math.copysign(abs(x - where) ** power, x - where), -1, 1)
    assert found == pytest.approx(where, abs=1e-12)


def test_a_root_at_an_end_and_of_a_step():
    assert numeric.root(lambda x: x, 0, 1) == 0
    assert numeric.root(lambda x: x - 1, 0, 1) == 1
    assert numeric.root(lambda x: -1 if x < 0.3 else 1, 0, 1) == pytest.approx(0.3, rel=1e-12)


@FIXED
@given(low=st.floats(-3, 3), high=st.floats(-3, 3), k=st.floats(0, 4))
def test_an_integral_agrees_with_scipy(low, high, k):
    # Oracle: scipy.integrate.quad.
    def function(x):
        return math.exp(-x) * math.cos(k * x) / (1 + x * x / 20)
    assert numeric.integral(function, low, high) == pytest.approx(
        integrate.quad(function, low, high, epsabs=1e-12, epsrel=1e-12)[0], rel=1e-9, abs=1e-10)


numbers = st.floats(-1000, 1000).map(lambda v: round(v, 6))


@FIXED
@given(data=st.data(), unknowns=st.integers(1, 5), more=st.integers(0, 12))
def test_least_squares_agree_with_numpy_and_scipy(data, unknowns, more):
    # Oracles: numpy.linalg.lstsq (singular values) and scipy.linalg.lstsq by the QR driver.
    row = st.lists(numbers, min_size=unknowns, max_size=unknowns)
    rows = data.draw(st.lists(row, min_size=unknowns + more, max_size=unknowns + more))
    values = data.draw(st.lists(numbers, min_size=len(rows), max_size=len(rows)))
    table = numpy.array(rows)
    spread = numpy.linalg.svd(table, compute_uv=False)
    assume(spread[-1] > 1e-4 * spread[0] and spread[0] > 1e-3)
    found = numeric.least_squares(rows, values)
    size = max(1.0, max(map(abs, found)))
    assert found == pytest.approx(list(numpy.linalg.lstsq(table, values)[0]), rel=1e-6, abs=1e-7 * size)
    assert found == pytest.approx(list(linalg.lstsq(table, values, lapack_driver="gelsy")[0]), rel=1e-6, abs=1e-7 * size)


def test_least_squares_of_a_hard_table():
    # Läuchli's: two columns that differ by 1e-7. Normal equations would lose every digit. Oracle: rational numbers.
    rows = [[1, 1, 1], [1e-7, 0, 0], [0, 1e-7, 0], [0, 0, 1e-7]]
    exact = [1 / (3 + 1e-14)] * 3
    assert numeric.least_squares(rows, [1, 0, 0, 0]) == pytest.approx(exact, rel=1e-7)


@pytest.mark.parametrize(("rows", "values"), [
    ([[1, 2]], [1]), ([[1, 2], [2, 4]], [1, 2]), ([[0.0]], [1]), ([[1], [1]], [1]), ([], []),
    ([[1, 1, 2], [1, 2, 3], [1, 3, 4], [1, 4, 5]], [1, 2, 3, 4]), ([[math.nan]], [1])])
def test_least_squares_that_nothing_decides_are_an_error(rows, values):
    with pytest.raises(ValueError):
        numeric.least_squares(rows, values)
