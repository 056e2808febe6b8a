"""Draws air paths of a machine's make, well or with hidden faults, and the gauges that read them."""

import random
from collections.abc import Callable
from dataclasses import dataclass, replace

from tests.rig.model import air, gauge, hose
from tests.rig.model.machine import Machine

ERROR = 250.0
"""How far one reading of the gauge in use may be off, in Pa."""
RESOLUTIONS = (0.0, 50.0, 100.0)
TIRED, GOOD = (0.60, 0.85), (0.95, 1.01)
"""Sealed vacuum of motors, as shares of the figure in the machine's file."""
GAP_PER_CHORD = 4.2e-4
"""Mean opening of the slots under a front blade in order, m2 for each m of the squeegee's chord."""


@dataclass(frozen=True)
class Place:
    """Where the machine stands."""

    altitude: float
    celsius: float


@dataclass(frozen=True)
class Specimen:
    """One machine of a make: where it stands, its air path, and the sealed vacuum (Pa) of a good motor there."""

    place: Place
    path: air.AirPath
    good: float

    def with_faults(self, *faults: air.Leak | hose.Blockage) -> "Specimen":
        """The same machine with more holes and blockages."""
        leaks = tuple(f for f in faults if isinstance(f, air.Leak))
        blockages = tuple(f for f in faults if isinstance(f, hose.Blockage))
        path = replace(self.path, leaks=(*self.path.leaks, *leaks), blockages=(*self.path.blockages, *blockages))
        return replace(self, path=path)

    def narrowed(self, part: float) -> "Specimen":
        """The same machine with a part of its opening at the blades: clogged below 1, gapped above."""
        return replace(self, path=replace(self.path, opening=self.path.opening * part))


def place(rng: random.Random) -> Place:
    """Half the machines stand near the sea at 20 degrees, the others somewhere up to 1,800 m, at 0 to 35 degrees."""
    if rng.random() < 0.5:
        return Place(0.0, 20.0)
    return Place(float(round(rng.uniform(0, 1800), -1)), float(round(rng.uniform(0, 35))))


def curve(rng: random.Random) -> Callable[[float], float]:
    """The form of a motor's curve: straight, or bowed in one of three families."""
    family = rng.randrange(4)
    if family == 0:
        return air.power(1.0)
    if family == 1:
        return air.power(rng.uniform(0.92, 1.35))
    if family == 2:
        return air.parabola(rng.uniform(-0.1, 0.4))
    return air.wave(rng.uniform(-0.03, 0.11), rng.uniform(-0.02, 0.02))


def make(rng: random.Random, machine: Machine, share: tuple[float, float] = GOOD) -> Specimen:
    """A machine with its motor at a `share` of its sealed vacuum and nothing else wrong.

    Each has its own motor curve, gasket or bleed before the motor inlet, seams that seep, hose, ports and slots. A
    vacuum motor at a fixed speed makes vacuum in proportion to the density of the air; an unloaded one speeds up in
    thin air and loses up to a tenth less.
    """
    where = place(rng)
    around = hose.Air.at(where.altitude, where.celsius)
    part = rng.uniform(*share)
    good = machine.sealed * (around.density() / 1.2) ** rng.uniform(0.9, 1.0)
    motor = air.Motor(good * part, machine.open_flow * part**0.5 * rng.uniform(0.97, 1.03), curve(rng))
    wall = rng.uniform(0.02, 0.06) if machine.corrugated else 1e-5
    pieces = (hose.Pipe(machine.bore, fixed=rng.uniform(1.5, 4)),
              hose.Pipe(machine.bore, machine.hose_length, wall, fixed=rng.uniform(0.5, 1.5)),
              hose.Pipe(machine.bore, fixed=rng.uniform(0.5, 2)))
    seeping = ((-1, rng.choice([0, 0, 1.5, 2.5, 3.5])), *((stretch, rng.uniform(0, 1.5)) for stretch in range(3)))
    leaks = tuple(air.Leak(stretch, 0.5, hole * 1e-3, 0.61) for stretch, hole in seeping if hole)
    opening = machine.chord * GAP_PER_CHORD * rng.uniform(0.8, 1.25)
    return Specimen(where, air.AirPath(motor, around, pieces, opening, leaks=leaks), good)


def leak(rng: random.Random, stretch: int, diameter: tuple[float, float]) -> air.Leak:
    """A hole (mm) somewhere in a stretch, with a thin to a thick edge."""
    return air.Leak(stretch, rng.random(), rng.uniform(*diameter) * 1e-3, rng.uniform(0.60, 0.80))


def blockage(rng: random.Random, stretch: int, opening: tuple[float, float]) -> hose.Blockage:
    """Something in a stretch that leaves a part of the bore open."""
    return hose.Blockage(stretch, rng.random(), rng.uniform(*opening))


def some_gauge(rng: random.Random) -> gauge.Gauge:
    """A gauge good to ± 0.25 kPa: with fine or coarse steps, errors spread evenly or bell-shaped."""
    return gauge.Gauge(ERROR, rng.choice(RESOLUTIONS), rng.random() < 0.5)
