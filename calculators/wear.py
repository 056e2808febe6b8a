"""A worn edge: the fit of its flat's width to the hours, the range that it leaves, the hours at a limit.

A rubbed corner wears to a flat of width f. Worn volume goes with the sliding distance at constant load
(Archard, Journal of Applied Physics 24, 1953) and the worn corner's area with f², so ``f = a·√t``. Least
squares on f, whose error is constant: ``a = Σ(f·√t)/Σt``, its standard error ``s/√Σt`` with
``s² = Σ(f − a√t)²/(n − 1)``. The 90 % range of a is ± Student's t (n − 1 degrees of freedom) times that; the
hours at the limit are ``(limit/a)²``: a monotone function of a, so the range carries over.

Those readings are of the floors so far; the floors to come wear faster or slower. Where the rate differs by σ (a share,
standard deviation) from one stretch of 30 h to the next, f² is a sum of independent rates, and the a of the readings
differs from the a that leads to the limit, at T hours, by the standard deviation ``a·σ/2·√(30 h·S)`` with
``S = ΣΣ min(tᵢ, tⱼ)/(Σt)² − 2Σ min(tᵢ, T)/(T·Σt) + 1/T``, at most ``a·σ/2``. It is added in squares.

Readings to the nearest r cannot agree better than r/√12, the standard deviation of their rounding: since
that is known, not estimated, the range is never narrower than ± 1.645·r/√12/√Σt. One reading may be off by
its resolution r either way.
"""

import math
from dataclasses import dataclass, replace

from .form import Span
from .numeric import NORMAL_95, t_quantile

HOUR, DAY = 3600.0, 86400.0
#: Hours beyond which nothing is forecast (a hundred years and more of running).
MOST = 1e6 * HOUR
#: Running time in which floors are taken to be alike: about a week's.
STRETCH = 30 * HOUR


@dataclass(frozen=True)
class Wear:
    """The fit of f = a·√t in m/√s: `a` with its 90 % range, `spread` of the readings (m), readings used."""

    a: float
    low: float
    high: float
    spread: float | None
    count: int
    by_resolution: bool
    floors: float = 0.0  # what floors to come put to the range of a, as the half of a 90 % range


def fit(readings: list[tuple[float, float]], resolution: float) -> Wear:
    """The wear through `readings` (seconds above 0, metres), each read to the nearest `resolution` (metres).

    At least one reading. `low` may be 0 or less: then no upper end of the life can be given.
    """
    total = math.fsum(t for t, _f in readings)
    a = math.fsum(f * math.sqrt(t) for t, f in readings) / total
    count = len(readings)
    if count == 1:
        half = resolution / math.sqrt(total)
        return Wear(a, a - half, a + half, None, 1, True)
    spread = math.sqrt(math.fsum((f - a * math.sqrt(t)) ** 2 for t, f in readings) / (count - 1))
    scatter = t_quantile(0.95, count - 1) * spread
    least = NORMAL_95 * resolution / math.sqrt(12)
    half = max(scatter, least) / math.sqrt(total)
    return Wear(a, a - half, a + half, spread, count, scatter < least)


def with_floors(wear: Wear, readings: list[tuple[float, float]], limit: float, differ: float) -> Wear:
    """The wear with a range that allows for floors that `differ` by a share from one stretch to the next."""
    if not wear.a > 0 or limit / wear.a >= math.sqrt(MOST):
        return wear
    end, times = (limit / wear.a) ** 2, [t for t, _f in readings]
    total = math.fsum(times)
    own = math.fsum(min(one, other) for one in times for other in times) / total**2
    apart = own - 2 * math.fsum(min(t, end) for t in times) / (end * total) + 1 / end
    floors = NORMAL_95 * wear.a * differ / 2 * math.sqrt(min(1.0, max(0.0, STRETCH * apart)))
    half = math.hypot(wear.high - wear.a, floors)
    return replace(wear, low=wear.a - half, high=wear.a + half, floors=floors)


def hours_at(limit: float, wear: Wear) -> Span:
    """Running time at which the flat is `limit` (metres) wide, in seconds, with its 90 % range."""
    def until(a: float) -> float | None:
        return (limit / a) ** 2 if a > 0 and limit / a < math.sqrt(MOST) else None

    return Span(until(wear.a), until(wear.high), until(wear.low))
