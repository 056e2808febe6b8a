"""The survey examined beyond one fault and one good gauge.

Two faults at once, a gauge with a constant error, readings swapped between stations, a battery that sinks. For each:
how often the answer is right, how often it says that it cannot tell, how often it is confidently wrong. What counts as
which stands in `tests.rig.truth`; naming one of two true faults is right.
"""

import random
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import accumulate

from tests.rig.airpath import Specimen, blockage, leak, make, some_gauge
from tests.rig.examine.suction import ANY_MOTOR, BLOCKED, LEAKS, read_all, surveyed
from tests.rig.mark import Mark, share
from tests.rig.model.air import STATIONS
from tests.rig.model.gauge import Gauge
from tests.rig.model.machine import Machine
from tests.rig.reader import ask, figures, healthy_sealed, rows
from tests.rig.truth import Case, Truth, met

GAPPED = (1.5, 4.0)
"""Opening at the blades, times that of blades in order."""
COMPLETE = 0.3
"""Share of the blockages beside a leak that let nothing through."""
FROM_SMALL = (3.0, 15.0)
"""Diameters of holes in mm where one reading is not what it seems: small ones are easily mistaken."""
OFFSET, SCALE = 1000.0, 0.06
"""The most by which a gauge with a constant error is off: in Pa, or as a share of its reading."""
SINKS = (0.02, 0.12)
"""Share of the motor's vacuum that is lost from the first reading to the last."""
WRONG = 0.02
"""No answer may be confidently wrong more often."""


def examine(machine: Machine, count: int, seed: int, shuffled: bool = False) -> list[Mark]:
    """Three marks for each trouble: right, cannot tell, wrong. See the package for what `shuffled` does."""
    marks = []
    for name, draw in TROUBLES.items():
        rng = random.Random(f"{name} {machine.id} {seed}")
        cases = list(met([draw(rng, machine) for _n in range(count)], shuffled))
        right, wrong = _counted(cases)
        marks += [share(f"{name}-right", right, count), share(f"{name}-unsure", count - right - wrong, count),
                  share(f"{name}-wrong", wrong, count, most=WRONG)]
        if draw is battery:
            unchecked = [replace(case, inputs=case.inputs | {"first_again": None}) for case in cases]
            marks.append(share(f"{name}-unchecked-wrong", _counted(unchecked)[1], count))
    return marks


def _counted(cases: Sequence[Case]) -> tuple[int, int]:
    """How many answers are right, and how many confidently wrong."""
    said = [(case.truth, ask(case.inputs)) for case in cases]
    return sum(truth.right(verdict) for truth, verdict in said), sum(truth.wrong(verdict) for truth, verdict in said)


def leak_and_blade(rng: random.Random, machine: Machine) -> Case:
    """A hole of 5 to 15 mm and blades that gape; half bring flowing readings beside the healthy ones."""
    well = make(rng, machine, ANY_MOTOR)
    hole = leak(rng, rng.randrange(3), LEAKS)
    now = well.with_faults(hole).narrowed(rng.uniform(*GAPPED))
    return Case(Truth.of(now, hole, gap=True), _both_ways(rng, machine, well, now))


def blockage_and_leak(rng: random.Random, machine: Machine) -> Case:
    """Something in the way, partial or complete, and a hole of 5 to 15 mm beyond it; half bring flowing readings."""
    well = make(rng, machine, ANY_MOTOR)
    stretch = rng.randrange(3)
    stuck = blockage(rng, stretch, BLOCKED)
    if rng.random() < COMPLETE:
        stuck = replace(stuck, opening=0.0)
    hole = leak(rng, rng.randrange(stretch, 3), LEAKS)
    if hole.stretch == stretch:
        hole = replace(hole, at=rng.uniform(stuck.at, 1.0))
    now = well.with_faults(stuck, hole)
    return Case(Truth.of(now, stuck, hole), _both_ways(rng, machine, well, now))


def two_leaks(rng: random.Random, machine: Machine) -> Case:
    """Holes of 5 to 15 mm in two stretches."""
    well = make(rng, machine, ANY_MOTOR)
    holes = [leak(rng, stretch, LEAKS) for stretch in rng.sample(range(3), 2)]
    now = well.with_faults(*holes)
    return Case(Truth.of(now, *holes), surveyed(rng, machine, well, now))


def gauge_off(rng: random.Random, machine: Machine) -> Case:
    """A gauge that is off by as much at every reading, or by the same share of each."""
    well, now, truth = _one_or_none(rng, machine)
    constant = {"offset": rng.uniform(-OFFSET, OFFSET)} if rng.random() < 0.5 else \
        {"scale": 1 + rng.uniform(-SCALE, SCALE)}
    gauge = replace(some_gauge(rng), **constant)
    return Case(truth, _typed(rng, machine, well, gauge, _in_turn(now)))


def swapped(rng: random.Random, machine: Machine) -> Case:
    """Two of the four readings written down at each other's station."""
    well, now, truth = _one_or_none(rng, machine)
    true = _in_turn(now)
    one, other = rng.sample(range(STATIONS), 2)
    true[one], true[other] = true[other], true[one]
    return Case(truth, _typed(rng, machine, well, some_gauge(rng), true))


def battery(rng: random.Random, machine: Machine) -> Case:
    """A battery that sinks from reading to reading, by more at one and less at another."""
    well, now, truth = _one_or_none(rng, machine)
    steps, lost = [rng.random() for _step in range(STATIONS)], rng.uniform(*SINKS)
    left = [1 - lost * part / sum(steps) for part in accumulate(steps, initial=0.0)]
    return Case(truth, _typed(rng, machine, well, some_gauge(rng), _in_turn(now, left)))


TROUBLES: dict[str, Callable[[random.Random, Machine], Case]] = {
    "leak-and-blade": leak_and_blade, "blockage-and-leak": blockage_and_leak, "two-leaks": two_leaks,
    "gauge-off": gauge_off, "swapped": swapped, "battery": battery,
}


def _one_or_none(rng: random.Random, machine: Machine) -> tuple[Specimen, Specimen, Truth]:
    """Three of four machines have a hole of 3 to 15 mm, the others nothing."""
    well = make(rng, machine)
    faults = [leak(rng, rng.randrange(3), FROM_SMALL)] if rng.random() < 0.75 else []
    now = well.with_faults(*faults)
    return well, now, Truth.of(now, *faults)


def _in_turn(specimen: Specimen, left: Sequence[float] = (1.0,) * (STATIONS + 1)) -> list[float]:
    """True sealed vacuum in Pa at the stations in turn, and at the motor inlet again; `left` of the motor's vacuum."""
    tired = [replace(specimen.path, motor=specimen.path.motor.at_speed(part**0.5)) for part in left]
    return [path.sealed(number % STATIONS).stations[number % STATIONS] for number, path in enumerate(tired)]


def _typed(rng: random.Random, machine: Machine, well: Specimen, gauge: Gauge, true: list[float]) -> dict:
    """The form as the procedure has it filled: four stations, the first one again, healthy readings at random."""
    *read, again = (gauge.read(rng, vacuum) for vacuum in true)
    return {"readings": rows(read), "first_again": f"{again / 1e3:.3f}",
            "healthy": healthy_sealed(rng, machine, lambda: read_all(rng, some_gauge(rng), well))} | figures(
                machine, well.place)


def _both_ways(rng: random.Random, machine: Machine, well: Specimen, now: Specimen) -> dict:
    typed = surveyed(rng, machine, well, now)
    if rng.random() < 0.5:
        gauge = some_gauge(rng)
        read = [[gauge.read(rng, vacuum) for vacuum in one.path.flowing().stations] for one in (now, well)]
        typed["readings"] += rows(read[0], "flowing")
        typed["healthy"] += rows(read[1], "flowing")
    return typed
