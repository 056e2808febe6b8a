"""An edge that wears: its flat's area grows with the way it has rubbed, faster or slower as the floors are.

A corner worn to a flat f has lost an area in proportion to f² (reference/blade.csv), and the worn volume is in
proportion to the way at constant load (Archard 1953). So f² grows by a rate that differs from edge to edge, and within
an edge from one week's floors to the next.
"""

from dataclasses import dataclass

import numpy

WEEK = 30.0
"""Hours of running in a week, in which the floors are taken to be the same."""

FLOORS = (0.05, 0.20)
"""How much one week's floors wear faster or slower than the edge's mean: standard deviation, as a share, least and most."""

EDGES = 0.35
"""How much the mean rate differs from edge to edge: standard deviation of its logarithm."""

LOUPE = 0.1
"""Division of the loupe, in mm."""

EYE = 0.05
"""Standard deviation, in mm, of where along the worn edge the loupe is laid and how it is read, before rounding."""


@dataclass(frozen=True)
class Edge:
    """One edge: the square of its flat in mm² at the end of each week."""

    squares: numpy.ndarray

    def flat(self, hours: float) -> float:
        """The width of the flat in mm after so many hours."""
        weeks = numpy.arange(len(self.squares) + 1) * WEEK
        return float(numpy.sqrt(numpy.interp(hours, weeks, numpy.append(0.0, self.squares))))

    def hours(self, flat: float) -> float:
        """The hours after which the flat is so wide, in mm."""
        weeks = numpy.arange(len(self.squares) + 1) * WEEK
        return float(numpy.interp(flat * flat, numpy.append(0.0, self.squares), weeks))

    def read(self, hours: float, chance: numpy.random.Generator) -> float:
        """The width in mm as it is read with the loupe."""
        return max(0.0, round((self.flat(hours) + chance.normal(0, EYE)) / LOUPE) * LOUPE)


def edge(chance: numpy.random.Generator, limit: float, hours: float = 340.0, floors: float | None = None) -> Edge:
    """An edge that reaches the flat `limit` (mm) after about `hours`.

    `floors`: how much its floors differ from week to week, as a share; drawn from `FLOORS` where it is None.
    """
    if floors is None:
        floors = chance.uniform(*FLOORS)
    mean = limit * limit / hours * numpy.exp(chance.normal(0, EDGES))
    weeks = int(limit * limit / mean / WEEK * 2) + 20
    spread = numpy.sqrt(numpy.log(1 + floors**2))
    return Edge(numpy.cumsum(mean * WEEK * numpy.exp(chance.normal(-spread * spread / 2, spread, weeks))))
