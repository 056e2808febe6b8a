"""Independent answers that several tests compare with: the elastica by scipy."""

import math

import numpy
from scipy import optimize, special


def elastica_height(ratio: float) -> float:
    """Height over length from trail over length under a side load: Legendre's integrals of scipy.special."""
    def at(m):
        k2 = (1 + m) / 2
        start = math.asin(1 / math.sqrt(2 * k2))
        length = special.ellipk(k2) - special.ellipkinc(start, k2)
        return (length - 2 * (special.ellipe(k2) - special.ellipeinc(start, k2))) / length, (
            1 - math.sqrt(2 * m) / length)

    return at(optimize.brentq(lambda m: at(m)[0] - ratio, 1e-4, 0.98, xtol=1e-15))[1]


def elastica_trail(height: float) -> float:
    """Trail over length from height over length, by inverting `elastica_height`."""
    return optimize.brentq(lambda ratio: elastica_height(ratio) - height, 2e-3, 0.76, xtol=1e-13)


class Elastica:
    """Both ways at once for many values, from a table of `elastica_height`: good to 1e-5 of the length."""

    def __init__(self) -> None:
        self.trails = numpy.concatenate([[0], numpy.linspace(0.004, 0.75, 1500)])
        self.heights = numpy.array([0.0] + [elastica_height(t) for t in self.trails[1:]])

    def height(self, trail: float) -> float:
        """Height over length; between the rows it runs with the square of the trail."""
        return float(numpy.interp(trail**2, self.trails**2, self.heights))

    def trail(self, height: float) -> float:
        """Trail over length."""
        return math.sqrt(numpy.interp(height, self.heights, self.trails**2))
