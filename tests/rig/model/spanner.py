"""A technician at the squeegee: a ruler held at the edge, spanners on the three screws."""

from collections.abc import Sequence

import numpy

from tests.rig.model.squeegee import Squeegee

READ = 0.5e-3
"""How far a reading of the bend may be out, in m."""

HAND = 1 / 12
"""How far a screw may stand from where it was meant to be, in flats: hand, lock nut and play of the thread."""

THREE = {"left": -0.5, "middle": 0.0, "right": 0.5}
FIVE = {"left": -0.5, "inner left": -0.25, "middle": 0.0, "inner right": 0.25, "right": 0.5}
"""Where bends are read, as shares of the chord from the middle."""


class Technician:
    """Reads bends and turns screws, with a ruler of their own: divided by the millimetre or by half of it."""

    def __init__(self, chance: numpy.random.Generator) -> None:
        self.chance = chance
        self.division = chance.choice([0.5e-3, 1e-3])

    def reads(self, squeegee: Squeegee, shares: Sequence[float]) -> list[float]:
        """The bends in m at places given as shares of the chord: each within `READ` of the true one, never below 0.

        What the ruler's division leaves of `READ` goes to where and how it is held.
        """
        held = READ - self.division / 2
        seen = [squeegee.bend_at(at * squeegee.build.chord) + self.chance.uniform(-held, held) for at in shares]
        return [max(0.0, round(bend / self.division) * self.division) for bend in seen]

    def turns(self, squeegee: Squeegee, left: float, right: float, tilt: float) -> Squeegee:
        """The squeegee after so many flats of each screw; one that is told to be left alone is not touched."""
        hand = self.chance.uniform(-HAND, HAND, 3)
        told = zip((left, right, tilt), hand, strict=True)
        return squeegee.turned(*(flats + slip if flats else 0.0 for flats, slip in told))
