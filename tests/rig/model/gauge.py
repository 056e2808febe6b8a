"""What a technician reads: a gauge with its errors, and a hand that only feels."""

import random
from dataclasses import dataclass

GRADES = ("none", "weak", "fair", "strong")


@dataclass(frozen=True)
class Gauge:
    """A vacuum gauge good to ± `error` (Pa), its scale's steps of `resolution` (Pa) included.

    `normal`: the error is bell-shaped (half of `error` its standard deviation) and cut off at `error`; else every
    error within it is as likely. `offset` (Pa) and `scale` are a constant error, which no `error` allows for.
    """

    error: float
    resolution: float = 0.0
    normal: bool = False
    offset: float = 0.0
    scale: float = 1.0

    def read(self, rng: random.Random, vacuum: float) -> float:
        """One reading in Pa of a true vacuum; a gauge shows nothing below 0."""
        most = self.error - self.resolution / 2
        if self.normal:
            wrong = max(-most, min(most, rng.gauss(0, self.error / 2)))
        else:
            wrong = rng.uniform(-most, most)
        shown = vacuum * self.scale + self.offset + wrong
        return max(0.0, round(shown / self.resolution) * self.resolution if self.resolution else shown)


@dataclass(frozen=True)
class Hand:
    """A person's feeling: the shares of a good motor's sealed vacuum at which weak, fair and strong begin.

    `unsteady` is the scatter of one feeling.
    """

    limits: tuple[float, float, float]
    unsteady: float = 0.02

    @classmethod
    def of(cls, rng: random.Random) -> "Hand":
        """Some person: each has other limits."""
        return cls((rng.gauss(0.075, 0.015), rng.gauss(0.40, 0.03), rng.gauss(0.75, 0.03)))

    def feel(self, rng: random.Random, share: float) -> str:
        """The grade of a vacuum, as a share of a good motor's."""
        felt = share + rng.gauss(0, self.unsteady)
        return GRADES[sum(felt >= limit for limit in self.limits)] if share > 0 else GRADES[0]
