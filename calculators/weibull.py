"""Lives after Weibull: fitted to records, and the best age at which to renew.

Share that reaches the age t: ``R = exp(−(t/η)^β)``, η the scale, β the shape. Hours, or any other unit, throughout.

* Fit: maximum likelihood with suspended units (those still running or taken out whole); β is the root of
  ``Σ t^β·ln t/Σ t^β − 1/β − mean of ln t of the failures = 0`` over all units, ``η = (Σ t^β/failures)^(1/β)``. The
  range is normal in ln η and ln β with the observed information (Nelson, Applied Life Data Analysis, 8.3; Cohen 1965).
* Renewal at age T: cost an hour ``(cp·R + cf·(1 − R))/∫R dt``, least where
  ``h(T)·∫R dt − (1 − R) = cp/(cf − cp)`` with the hazard h (Barlow and Hunter 1960). For β > 1 there is one such T.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .numeric import NORMAL_95, incomplete_gamma, root

#: Shapes looked for in records, and the sharpest taken.
LEAST_SHAPE, MOST_SHAPE = 0.2, 100.0


@dataclass(frozen=True)
class Life:
    """A Weibull life: scale η above 0, shape β above 0."""

    scale: float
    shape: float

    @property
    def mean(self) -> float:
        """The mean life, η·Γ(1 + 1/β)."""
        return self.scale * math.gamma(1 + 1 / self.shape)

    def reached(self, age: float) -> float:
        """The share of units that reach `age`."""
        return math.exp(-((age / self.scale) ** self.shape))

    def hazard(self, age: float) -> float:
        """Failures in a unit of time among those that have reached `age`, above 0."""
        return self.shape / self.scale * (age / self.scale) ** (self.shape - 1)

    def running(self, age: float) -> float:
        """Mean running time of units that are renewed at `age` or at their failure: ∫R dt."""
        return self.mean * incomplete_gamma(1 / self.shape, (age / self.scale) ** self.shape)

    def cost_rate(self, age: float, planned: float, failure: float) -> float:
        """Cost in a unit of time when renewed at `age`, above 0, or at failure."""
        reached = self.reached(age)
        return (planned * reached + failure * (1 - reached)) / self.running(age)

    def best_age(self, planned: float, failure: float) -> float | None:
        """The age with the least cost; `None` where renewal by plan never pays (β ≤ 1 or failure ≤ planned).

        Also `None` where the age is so late that no unit in 10^200 would reach it.
        """
        if self.shape <= 1 or failure <= planned:
            return None
        wanted = planned / (failure - planned)

        def excess(log_z: float) -> float:
            z = math.exp(log_z)
            worn = self.shape * z ** (1 - 1 / self.shape) * math.gamma(1 + 1 / self.shape) * incomplete_gamma(
                1 / self.shape, z)
            return worn + math.expm1(-z) - wanted

        low, high = -60.0, math.log(460.0)
        if excess(high) <= 0 or excess(low) >= 0:
            return None
        return self.scale * math.exp(root(excess, low, high) / self.shape)


@dataclass(frozen=True)
class Fit:
    """A fitted life with the 90 % range of its scale and its shape."""

    life: Life
    scale: tuple[float, float]
    shape: tuple[float, float]


def fit(failures: Sequence[float], suspended: Sequence[float]) -> Fit | None:
    """The life that makes the records likeliest; all times above 0.

    `None` where the records have no likeliest life: no failure, or every failure as late as the latest record; and
    where its shape lies beyond `LEAST_SHAPE` or `MOST_SHAPE`.
    """
    if not failures:
        return None
    most = max(*failures, *suspended, 0.0)
    late = [math.log(t / most) for t in (*failures, *suspended)]  # 0 or less, so that no power overflows
    middle = math.fsum(math.log(t / most) for t in failures) / len(failures)

    def slope(shape: float) -> float:
        weights = [math.exp(shape * x) for x in late]
        return math.fsum(w * x for w, x in zip(weights, late, strict=True)) / math.fsum(weights) - 1 / shape - middle

    if middle > -1e-12 or slope(MOST_SHAPE) <= 0 or slope(LEAST_SHAPE) >= 0:
        return None
    shape = root(slope, LEAST_SHAPE, MOST_SHAPE)
    log_scale = math.log(math.fsum(math.exp(shape * x) for x in late) / len(failures)) / shape
    return _ranged(Life(most * math.exp(log_scale), shape), [x - log_scale for x in late], len(failures))


def _ranged(life: Life, logs: Sequence[float], failures: int) -> Fit:
    """The life with its 90 % range; `logs` are ln(t/η) of every unit."""
    b = life.shape
    z = [math.exp(b * w) for w in logs]
    scale2 = b * b * math.fsum(z)  # information on ln η
    both = -b * math.fsum(v * w for v, w in zip(z, logs, strict=True))
    shape2 = failures / b**2 + math.fsum(v * w * w for v, w in zip(z, logs, strict=True))
    size = scale2 * shape2 - both * both
    by_scale = math.exp(NORMAL_95 * math.sqrt(shape2 / size))
    by_shape = math.exp(NORMAL_95 * math.sqrt(scale2 / size) / b)
    return Fit(life, (life.scale / by_scale, life.scale * by_scale), (b / by_shape, b * by_shape))
