"""The setting of the blade: screws wrongly set, bends read with a ruler, the advice followed for two rounds.

Judged at 21 places along the blade, between the readings too: every one within the machine's tolerance.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy

from calculators import calculate, calculator
from macros.machine_figures import fill
from tests.rig.mark import Mark, share
from tests.rig.model.machine import Machine
from tests.rig.model.spanner import THREE, Technician
from tests.rig.model.squeegee import Squeegee, built, level

AWAY = 10
"""How far a screw may have been turned away from a level blade, in flats."""

TOUCHES, STANDS = 0.1e-3, 0.74
"""Where a bend can be read at all: the straight blade reaches so far (m) under the floor, and trails by less than this
share of its free length."""

_SIGN = {"into-body": 1, "nose-up": 1, "out-of-body": -1, "nose-down": -1, "leave": 0}


@cache
def figures(machine: Machine, one: str) -> dict[str, Any]:
    """What ``--machine`` fills into the calculator `one`, as plain JSON."""
    return fill(calculator(one), {}, machine.id, machine.content)[1]


def told(result: dict, machine: Machine) -> tuple[float, float, float] | None:
    """The flats of left stem, right stem and tilt bolt that an answer tells (+ into the body, + nose up), if any."""
    rows = {row["screw"]: row for row in result.get("tables", {}).get("settings", ())}
    if not rows:
        return None
    flats = (("left-wheel", machine.wheel_flats), ("right-wheel", machine.wheel_flats), ("tilt", machine.tilt_flats))
    return tuple(_SIGN[row["direction"]] * (row["whole_turns"]["value"] * of + row["flats"]["value"])
                 for row, of in ((rows[screw], of) for screw, of in flats))


def good(squeegee: Squeegee, machine: Machine) -> bool:
    """Whether every place along the blade is within the tolerance, to a thousandth of a millimetre."""
    return bool(numpy.abs(squeegee.bends - machine.bend_wanted).max() <= machine.bend_tolerance + 1e-6)


def readable(squeegee: Squeegee) -> bool:
    """Whether the blade touches along its whole length and lies on its face nowhere."""
    return bool(squeegee.heights.min() > TOUCHES and squeegee.bends.max() < STANDS * squeegee.build.length)


def out_of_order(machine: Machine, chance: numpy.random.Generator, clear: bool = False) -> Squeegee:
    """A machine of the make whose wheels, tilt or both were turned away; it bends everywhere, or (`clear`) not."""
    while True:
        squeegee = away(level(built(machine, chance), machine.bend_wanted), chance)
        if readable(squeegee) != clear and squeegee.heights.max() > TOUCHES and squeegee.bends.max() < (
                STANDS * squeegee.build.length):
            return squeegee


def away(squeegee: Squeegee, chance: numpy.random.Generator) -> Squeegee:
    """The squeegee with its wheels, its tilt or all three turned away."""
    return squeegee.turned(*chance.uniform(-AWAY, AWAY, 3) * chance.choice([(1, 1, 0), (0, 0, 1), (1, 1, 1)]))


def ask(machine: Machine, known: dict[str, Any], bends: Sequence[float], shares: dict[str, float]) -> dict:
    """The advice on bends (m) read at places, each a share of the chord from the middle."""
    rows = [{"at": name if name in THREE else share * machine.chord * 1e3, "bend": round(bend * 1e3, 3)}
            for (name, share), bend in zip(shares.items(), bends, strict=True)]
    return calculate("blade-level", {"readings": rows, **known})


@dataclass
class Visit:
    """One machine and its technician; what was said last."""

    squeegee: Squeegee
    technician: Technician
    result: dict | None = None


def rounds(machine: Machine, visits: Sequence[Visit], known: dict[str, Any], shares: dict[str, float],
           shuffled: bool) -> None:
    """Every machine is read, and its screws turned as told. `shuffled`: by the readings of the next machine."""
    read = [visit.technician.reads(visit.squeegee, list(shares.values())) for visit in visits]
    if shuffled:
        read = read[1:] + read[:1]
    for visit, bends in zip(visits, read, strict=True):
        visit.result = ask(machine, known, bends, shares)
        if flats := told(visit.result, machine):
            visit.squeegee = visit.technician.turns(visit.squeegee, *flats)


def leaves(result: dict) -> bool:
    """Whether an answer says that the bend is right at every place and that nothing need be turned."""
    return result["outcome"] == "within-tolerance" and all(
        row["direction"] == "leave" for row in result["tables"]["settings"])


def examine(machine: Machine, count: int, seed: int, shuffled: bool = False) -> list[Mark]:
    """Marks of the setting with three readings, and of both wheels turned alike."""
    return [*_levelled(machine, count, seed, shuffled), _stood_clear(machine, count, seed, shuffled),
            _both_alike(machine, count, seed, shuffled)]


def _levelled(machine: Machine, count: int, seed: int, shuffled: bool) -> list[Mark]:
    """The screws wrongly set, two rounds, and a last reading: is what is left alone then truly right?"""
    chance, known = numpy.random.default_rng([seed, 1]), figures(machine, "blade-level")
    visits = [Visit(out_of_order(machine, chance), Technician(chance)) for _machine in range(count)]
    after, left, wrong = [], 0, 0
    for _round in range(3):
        right = [good(visit.squeegee, machine) for visit in visits]
        rounds(machine, visits, known, THREE, shuffled)
        said = [leaves(visit.result) for visit in visits]
        left += sum(said)
        wrong += sum(left_alone and not well for left_alone, well in zip(said, right, strict=True))
        after.append(sum(good(visit.squeegee, machine) for visit in visits))
    marks = [share("setting-one-round", after[0], count, least=0.95),
             share("setting-two-rounds", after[1], count, least=0.995)]
    return [*marks, share("setting-left-alone-wrongly", wrong, left, most=0.02)] if left else marks


def _stood_clear(machine: Machine, count: int, seed: int, shuffled: bool) -> Mark:
    """Blades that stand clear of the floor somewhere: no bend there tells how far. Three rounds."""
    chance, known = numpy.random.default_rng([seed, 2]), figures(machine, "blade-level")
    count = max(1, count // 4)
    visits = [Visit(out_of_order(machine, chance, clear=True), Technician(chance)) for _machine in range(count)]
    for _round in range(3):
        rounds(machine, visits, known, THREE, shuffled)
    return share("setting-clear-of-floor", sum(good(visit.squeegee, machine) for visit in visits), count)


def _both_alike(machine: Machine, count: int, seed: int, shuffled: bool) -> Mark:
    """Both wheels turned away alike: the mean of three bends, both stems turned as told, one round."""
    chance, known = numpy.random.default_rng([seed, 3]), figures(machine, "wheel-adjust")
    visits = []
    while len(visits) < count:
        flats = chance.uniform(-AWAY, AWAY)
        squeegee = level(built(machine, chance), machine.bend_wanted).turned(flats, flats)
        if readable(squeegee):
            visits.append(Visit(squeegee, Technician(chance)))
    read = [float(numpy.mean(visit.technician.reads(visit.squeegee, list(THREE.values())))) for visit in visits]
    for visit, bend in zip(visits, read[1:] + read[:1] if shuffled else read, strict=True):
        answer = calculate("wheel-adjust", {**known, "bend_now": round(bend * 1e3, 2)})
        turns = answer["figures"]["whole_turns"]["value"] + answer["figures"]["flats"]["value"] / machine.wheel_flats
        flats = round(turns * machine.wheel_flats) * (1 if answer["figures"]["turns"]["value"] > 0 else -1)
        visit.squeegee = visit.technician.turns(visit.squeegee, flats, flats, 0)
    return share("setting-both-wheels", sum(good(visit.squeegee, machine) for visit in visits), count, least=0.95)
