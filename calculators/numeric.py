"""Numerical methods that several calculators need: a root, an integral, least squares, Student's t, gamma.

Plain floats in, plain floats out, no state. Accuracies are those that the tests hold against an
independent library over the whole range.
"""

import math
from collections.abc import Callable, Sequence
from functools import cache, lru_cache


def root(function: Callable[[float], float], low: float, high: float, tolerance: float = 1e-14,
         ends: tuple[float, float] | None = None) -> float:
    """The x between `low` and `high` at which `function` is 0; its values there must differ in sign.

    Bracketing with inverse quadratic steps where they are safe, else halving (Chandrupatla, Advances in
    Engineering Software 28, 1997): it always ends, whatever the function. `tolerance` is the width of
    the last bracket, relative to x and at least 1e-300. `ends`: the values at `low` and `high` where they are known;
    then the first step is along the straight line between them. Raises `ValueError` when the signs agree.
    """
    b, a = low, high
    fb, fa = ends or (function(b), function(a))
    if fa == 0 or fb == 0:
        return a if fa == 0 else b
    if (fa > 0) == (fb > 0):
        raise ValueError(f"no change of sign between {low!r} and {high!r}")
    c, fc, part = a, fa, fa / (fa - fb) if ends else 0.5
    for _step in range(400):
        x = a + part * (b - a)
        fx = function(x)
        if (fx > 0) == (fa > 0):
            c, fc = a, fa
        else:
            c, fc, b, fb = b, fb, a, fa
        a, fa = x, fx
        best, least = (a, fa) if abs(fa) < abs(fb) else (b, fb)
        allowed = max(tolerance * abs(best), 1e-300) / abs(b - a) if b != a else 1.0
        if least == 0 or allowed > 0.5:
            return best
        xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
        if phi**2 < xi and (1 - phi) ** 2 < 1 - xi:
            part = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        else:
            part = 0.5
        part = min(1 - allowed, max(allowed, part))
    return best


@cache
def gauss(count: int) -> tuple[tuple[float, float], ...]:
    """Nodes and weights of Gauss and Legendre on -1 to 1, by Newton's method on the polynomial."""
    pairs = []
    for number in range(count):
        x = math.cos(math.pi * (number + 0.75) / (count + 0.5))
        for _step in range(100):
            before, value = 1.0, x
            for degree in range(2, count + 1):
                before, value = value, ((2 * degree - 1) * x * value - (degree - 1) * before) / degree
            slope = count * (x * value - before) / (x * x - 1)
            step = value / slope
            x -= step
            if abs(step) < 1e-15:
                break
        pairs.append((x, 2 / ((1 - x * x) * slope * slope)))
    return tuple(pairs)


def integral(function: Callable[[float], float], low: float, high: float, count: int = 40) -> float:
    """The integral of a smooth `function` from `low` to `high` by `count` points of Gauss and Legendre.

    Exact for polynomials up to degree 2·count − 1; for an analytic function the error falls
    exponentially with `count`.
    """
    return integrals(lambda x: (function(x),), low, high, count)[0]


def integrals(function: Callable[[float], Sequence[float]], low: float, high: float, count: int = 40) -> list[float]:
    """The integrals of several smooth functions at once, by `integral`'s rule: `function` gives all their values."""
    middle, half = (low + high) / 2, (high - low) / 2
    points = gauss(count)
    columns = zip(*(function(middle + half * x) for x, _weight in points), strict=True)
    return [half * math.fsum([weight * value for (_x, weight), value in zip(points, column, strict=True)])
            for column in columns]


def least_squares(rows: Sequence[Sequence[float]], values: Sequence[float]) -> list[float]:
    """The x that makes the sum of the squares of ``rows·x − values`` least; the solution where it is exact.

    At least as many rows as unknowns. Orthogonal columns by Gram and Schmidt, modified and done twice (Björck,
    Numerical Methods for Least Squares Problems, 2.4). Raises `ValueError` where the rows do not decide every
    unknown: a column that the others make up but for 1e-10 of its length.
    """
    columns, count = [list(column) for column in zip(*rows, strict=True)], len(values)
    if len(rows) != count or not 0 < len(columns) <= count:
        raise ValueError(f"{len(rows)} rows of {len(columns)} unknowns for {count} values")
    units: list[list[float]] = []
    triangle: list[list[float]] = []
    for column in columns:
        size = math.sqrt(math.fsum(v * v for v in column))
        shares = [0.0] * len(units)
        for i in (*range(len(units)), *range(len(units))):
            share = _dot(units[i], column)
            column = [v - share * u for v, u in zip(column, units[i], strict=True)]
            shares[i] += share
        left = math.sqrt(math.fsum(v * v for v in column))
        if not left > 1e-10 * size:
            raise ValueError("the rows do not decide every unknown")
        units.append([v / left for v in column])
        triangle.append([*shares, left])
    rest, found = list(values), []
    for unit in units:  # the values lose each direction in turn, which keeps the digits
        share = _dot(unit, rest)
        rest = [v - share * u for v, u in zip(rest, unit, strict=True)]
        found.append(share)
    for k in range(len(found) - 1, -1, -1):
        above = math.fsum(triangle[j][k] * found[j] for j in range(k + 1, len(found)))
        found[k] = (found[k] - above) / triangle[k][k]
    return found


def _dot(one: Sequence[float], other: Sequence[float]) -> float:
    return math.fsum(a * b for a, b in zip(one, other, strict=True))


def incomplete_gamma(a: float, x: float) -> float:
    """The regularised lower incomplete gamma function P(a, x) for a > 0 and x of 0 or more.

    Series below a + 1 (NIST DLMF 8.7.1), else the continued fraction of the upper one (8.9.2) by Lentz's method.
    Raises `ValueError` outside that range.
    """
    if not (a > 0 and 0 <= x < math.inf):
        raise ValueError(f"incomplete gamma of a={a!r}, x={x!r}")
    if x == 0:
        return 0.0
    front = math.exp(a * math.log(x) - x - math.lgamma(a)) if x < 700 + a else 0.0
    if x < a + 1:
        total = term = 1 / a
        for k in range(1, 10000):
            term *= x / (a + k)
            total += term
            if term < 1e-17 * total:
                break
        return min(1.0, front * total)
    tiny = 1e-300
    b = x + 1 - a
    c, d = 1 / tiny, 1 / b
    total = d
    for k in range(1, 10000):
        top = -k * (k - a)
        b += 2
        d = top * d + b
        d = 1 / (d if abs(d) > tiny else tiny)
        c = b + top / c
        c = c if abs(c) > tiny else tiny
        total *= d * c
        if abs(d * c - 1) < 1e-16:
            break
    return max(0.0, 1 - front * total)


def incomplete_beta(a: float, b: float, x: float) -> float:
    """The regularised incomplete beta function I_x(a, b) for a, b > 0 and x from 0 to 1.

    Continued fraction by Lentz's method (NIST DLMF 8.17.22), on the side of the mean where it converges
    fast. Raises `ValueError` outside that range.
    """
    if not (a > 0 and b > 0 and 0 <= x <= 1):
        raise ValueError(f"incomplete beta of a={a!r}, b={b!r}, x={x!r}")
    return _beta(a, b, x, 1 - x)


def _beta(a: float, b: float, x: float, rest: float) -> float:
    """I_x(a, b), with `rest` = 1 − x given apart so that a small one keeps its digits."""
    if x == 0 or rest == 0:
        return 0.0 if x == 0 else 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - _beta_fraction(b, a, rest, x)
    return _beta_fraction(a, b, x, rest)


def _beta_fraction(a: float, b: float, x: float, rest: float) -> float:
    tiny = 1e-300
    c, d = 1.0, 1 - (a + b) * x / (a + 1)
    d = 1 / (d if abs(d) > tiny else tiny)
    total = d
    for m in range(1, 500):
        for top in (m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
                    -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))):
            d = 1 + top * d
            d = 1 / (d if abs(d) > tiny else tiny)
            c = 1 + top / c
            c = c if abs(c) > tiny else tiny
            total *= d * c
        if abs(d * c - 1) < 1e-16:
            break
    scale = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log(rest)
    return math.exp(scale) * total / a


def t_tail(t: float, freedom: float) -> float:
    """The probability that Student's t with `freedom` degrees of freedom exceeds `t` (t of 0 or more).

    P(T > t) = I_x(freedom/2, 1/2) / 2 with x = freedom/(freedom + t²). Raises `ValueError` for a negative
    t or freedom that is not above 0.
    """
    if not (freedom > 0 and t >= 0):
        raise ValueError(f"tail of t={t!r} with {freedom!r} degrees of freedom")
    ratio = t * t / freedom
    return _beta(freedom / 2, 0.5, 1 / (1 + ratio), ratio / (1 + ratio)) / 2


def t_distribution(t: float, freedom: float) -> float:
    """The probability that Student's t with `freedom` degrees of freedom is at most `t`."""
    tail = t_tail(abs(t), freedom)
    return tail if t < 0 else 1 - tail


@lru_cache(maxsize=64)  # a form's readings stay the same in number while their values are typed
def t_quantile(probability: float, freedom: float) -> float:
    """The t that Student's t with `freedom` degrees of freedom stays under with this `probability`.

    Raises `ValueError` unless 0 < probability < 1 and freedom > 0.
    """
    if not (0 < probability < 1 and freedom > 0):
        raise ValueError(f"quantile at {probability!r} with {freedom!r} degrees of freedom")
    if probability < 0.5:
        return -_upper_quantile(probability, freedom)
    return _upper_quantile(1 - probability, freedom)


def _upper_quantile(tail: float, freedom: float) -> float:
    if tail == 0.5:
        return 0.0
    high = 1.0
    while t_tail(high, freedom) > tail:
        high *= 2
    return root(lambda t: t_tail(t, freedom) - tail, 0.0 if high == 1 else high / 2, high)


#: The normal quantile that leaves 5 % above it: a 90 % range is ± this many known standard deviations.
NORMAL_95 = 1.6448536269514722
