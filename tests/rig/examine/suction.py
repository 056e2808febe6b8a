"""The survey of the suction examined with one hidden fault: leaks, weak motors, blockages; and hands without gauge."""

import random
from collections.abc import Callable
from statistics import median

from tests.rig.airpath import GOOD, TIRED, Specimen, blockage, leak, make, some_gauge
from tests.rig.mark import Mark, share
from tests.rig.model.air import BEYOND
from tests.rig.model.gauge import Gauge, Hand
from tests.rig.model.machine import Machine
from tests.rig.reader import Verdict, ask, figures, healthy_sealed, rows
from tests.rig.truth import Case, Truth, met

LEAKS, SMALL, SMALLEST = (5.0, 15.0), (5.0, 6.0), (2.0, 6.0)
"""Diameters of holes, in mm."""
ANY_MOTOR = (0.85, 1.01)
"""Sealed vacuum of motors that are not judged themselves, as shares of the figure in the machine's file."""
BLOCKED, CLOGGED = (0.25, 0.5), (0.1, 0.4)
"""What a blockage leaves of the bore, and clogged blades of the opening beyond the squeegee outlet."""


def examine(machine: Machine, count: int, seed: int, shuffled: bool = False) -> list[Mark]:
    """The marks of the survey with single faults. See the package for what `shuffled` does."""
    rng = random.Random(f"suction {machine.id} {seed}")

    def drawn(draw: Callable[[random.Random, Machine], Case]) -> list[tuple[Truth, dict]]:
        return [(case.truth, case.inputs) for case in met([draw(rng, machine) for _n in range(count)], shuffled)]

    return (_leaks(drawn(single_leak)) + _small(drawn(small_leak)) + _half(drawn(smallest_leak))
            + _motors(drawn(one_motor)) + _blockages(drawn(one_blockage)) + _hands(drawn(by_hand)))


# ---- the machines ----

def surveyed(rng: random.Random, machine: Machine, well: Specimen, now: Specimen) -> dict:
    """The form filled with four sealed readings, and with healthy readings at random."""
    gauge = some_gauge(rng)
    read, healthy = read_all(rng, gauge, now), healthy_sealed(rng, machine, lambda: read_all(rng, gauge, well))
    return {"readings": rows(read), "healthy": healthy} | figures(machine, now.place)


def read_all(rng: random.Random, gauge: Gauge, specimen: Specimen) -> list[float]:
    """The gauge at the four stations in turn, each closed."""
    return [gauge.read(rng, vacuum) for vacuum in specimen.path.survey()]


def _leaking(rng: random.Random, machine: Machine, size: tuple[float, float]) -> Case:
    well = make(rng, machine, ANY_MOTOR)
    hole = leak(rng, rng.randrange(3), size)
    now = well.with_faults(hole)
    return Case(Truth.of(now, hole), surveyed(rng, machine, well, now))


def single_leak(rng: random.Random, machine: Machine) -> Case:
    """A hole of 5 to 15 mm in one of the three stretches."""
    return _leaking(rng, machine, LEAKS)


def small_leak(rng: random.Random, machine: Machine) -> Case:
    """A hole of 5 to 6 mm."""
    return _leaking(rng, machine, SMALL)


def smallest_leak(rng: random.Random, machine: Machine) -> Case:
    """A hole of 2 to 6 mm: found at the upper end, missed at the lower."""
    return _leaking(rng, machine, SMALLEST)


def one_motor(rng: random.Random, machine: Machine) -> Case:
    """A third have a weak motor, a third a leak, a third are sound."""
    weak, leaks = rng.choice([(True, False), (False, True), (False, False)])
    well = make(rng, machine, TIRED if weak else GOOD)
    faults = [leak(rng, rng.randrange(3), LEAKS)] if leaks else []
    now = well.with_faults(*faults)
    return Case(Truth.of(now, *faults), surveyed(rng, machine, well, now))


def one_blockage(rng: random.Random, machine: Machine) -> Case:
    """Flowing readings of a blocked machine beside its healthy ones; half bring the sealed readings as well."""
    well = make(rng, machine)
    where, gauge = rng.randrange(BEYOND + 1), some_gauge(rng)
    faults = []
    if where == BEYOND:
        now = well.narrowed(rng.uniform(*CLOGGED))
    else:
        faults = [blockage(rng, where, BLOCKED)]
        now = well.with_faults(*faults)
    truth = Truth.of(now, *faults, clogged=where == BEYOND)
    healthy = [gauge.read(rng, vacuum) for vacuum in well.path.flowing().stations]
    flowing = rows([gauge.read(rng, vacuum) for vacuum in now.path.flowing().stations], "flowing")
    sealed = rows(read_all(rng, gauge, now)) if rng.random() < 0.5 else []
    return Case(truth, {"readings": sealed + flowing, "healthy": rows(healthy, "flowing")} |
                figures(machine, now.place))


def by_hand(rng: random.Random, machine: Machine) -> Case:
    """A leak of 5 to 25 mm, or none, felt at the three stations that may be closed by hand: never the motor inlet."""
    well, hand = make(rng, machine), Hand.of(rng)
    faults = [leak(rng, rng.randrange(3), (5, 25))] if rng.random() < 0.8 else []
    now = well.with_faults(*faults)
    felt = [None, *(hand.feel(rng, vacuum / now.good) for vacuum in now.path.survey()[1:])]
    return Case(Truth.of(now, *faults), {"readings": rows(felt)} | figures(machine, now.place))


# ---- the marks ----

def _leaks(cases: list[tuple[Truth, dict]]) -> list[Mark]:
    said = [(truth, ask(inputs)) for truth, inputs in cases]
    named = sum(_names(truth, verdict) for truth, verdict in said)
    sized = sum(bool(v.hole and v.hole[0] <= t.leaks[0].diameter <= v.hole[1]) for t, v in said)
    wrong = sum(truth.wrong(verdict) for truth, verdict in said)
    wide = median((v.hole[1] - v.hole[0]) / t.leaks[0].diameter for t, v in said if v.hole)
    return [share("suction-segment", named, len(said), least=0.97), share("suction-hole", sized, len(said), least=0.90),
            Mark("suction-hole-width", wide, len(said)), share("suction-wrong", wrong, len(said), most=0.01)]


def _names(truth: Truth, verdict: Verdict) -> bool:
    return verdict.kind == "leak" and verdict.places == (truth.leaks[0].stretch,)


def _small(cases: list[tuple[Truth, dict]]) -> list[Mark]:
    named = sum(_names(truth, ask(inputs)) for truth, inputs in cases)
    return [share("suction-segment-small", named, len(cases))]


def _half(cases: list[tuple[Truth, dict]]) -> list[Mark]:
    """The diameter with as many found below it as missed above it: half of the holes of this size are found."""
    tried = sorted((truth.leaks[0].diameter, _names(truth, ask(inputs))) for truth, inputs in cases)
    missed = sum(not found for _hole, found in tried)
    for hole, found in tried:
        missed -= not found
        missed -= found
        if missed <= 0:
            return [Mark("suction-half", hole * 1e3, len(tried), unit="mm")]
    return [Mark("suction-half", SMALLEST[1], len(tried), unit="mm")]


def _motors(cases: list[tuple[Truth, dict]]) -> list[Mark]:
    said = [(truth, ask(inputs)) for truth, inputs in cases]
    told = sum(truth.weak == (verdict.kind == "motor" or verdict.motor_too) for truth, verdict in said)
    sound = [verdict for truth, verdict in said if truth.sound]
    false = sum(verdict.kind not in ("sound", "cannot-tell") for verdict in sound)
    return [share("suction-weak-motor", told, len(said), least=0.98),
            share("suction-false-alarm", false, len(sound), most=0.01)]


def _blockages(cases: list[tuple[Truth, dict]]) -> list[Mark]:
    said = [(truth, ask(inputs)) for truth, inputs in cases]
    named = sum(t.right(v) and len(v.places) == 1 for t, v in said)
    return [share("suction-blockage", named, len(said), least=0.95),
            share("suction-blockage-wrong", sum(t.wrong(v) for t, v in said), len(said), most=0.01)]


def _hands(cases: list[tuple[Truth, dict]]) -> list[Mark]:
    said = [(truth, ask(inputs)) for truth, inputs in cases]
    return [share("hands-gauge", sum(not v.certain for _t, v in said), len(said)),
            share("hands-wrong", sum(t.wrong(v) for t, v in said), len(said), most=0.02)]
