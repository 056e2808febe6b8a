"""Beyond one fault, at the blade: a worn edge or a bent body hides among screws wrongly set. Five places are read.

Sound blades are asked about as well: half of them level as they stand, half with their screws wrongly set.

The technician takes the answer at its word: turns what is told, fits a fresh edge where the blade is called worn and
reads again, and takes a body for bent where it is called bent, or where a fresh edge is called worn again, as the
answer says. Where the bend is called right they look along the blade, as the note says, and read where it stands out.
Until one of these is said and nothing stands out, nothing has been claimed.
"""

from dataclasses import dataclass, field, replace

import numpy
from scipy import optimize

from tests.rig.examine.setting import TOUCHES, ask, away, figures, good, leaves, out_of_order, told
from tests.rig.mark import Mark, share
from tests.rig.model.machine import Machine
from tests.rig.model.spanner import FIVE, Technician
from tests.rig.model.squeegee import PLACES, Build, Squeegee, built, level

VISITS = 6
"""How often the bends are read at most."""

SEEN = 1.5e-3
"""How far a bend must be off the line between those read on both sides, in m, to be seen by eye."""

WORN = (1.0e-3, 4.0e-3)
"""How much of the free length is gone at the worst place of an unevenly worn edge, in m."""

BENT = (1.0, 3.0)
"""How much too far a body is bent to be set, as a multiple of the bend that the tolerance just allows."""

WRONG = 0.02
"""How often an answer may be confidently wrong."""

_ALONG = numpy.linspace(-1, 1, PLACES)


@dataclass
class Case:
    """One machine, what is wrong with it besides its screws, and what has been said of it."""

    squeegee: Squeegee
    technician: Technician
    fault: str
    fresh: bool = False
    said: str = ""
    renewed: bool = False
    places: dict[str, float] = field(default_factory=lambda: dict(FIVE))

    def claims(self, machine: Machine, result: dict, seen: Squeegee) -> None:
        """What an answer makes the technician do, or take for true; `seen` is the blade that they read."""
        outcome = result["outcome"]
        if outcome == "carrier-bent" or outcome == "blade-worn-uneven" and self.fresh:
            self.said = "bent"
        elif outcome == "blade-worn-uneven":
            self.fresh = self.renewed = True
            self.squeegee = replace(self.squeegee, build=replace(self.squeegee.build, worn=numpy.zeros(PLACES)))
        elif leaves(result):
            self.said = "" if self.looks_along(seen) else "right"
        elif flats := told(result, machine):
            self.squeegee = self.technician.turns(self.squeegee, *flats)

    def looks_along(self, seen: Squeegee) -> bool:
        """Whether a place stands out that was not read; it is read from now on."""
        shares, bends = seen.build.places / seen.build.chord, seen.bends
        read = sorted(self.places.values())
        off = numpy.abs(bends - numpy.interp(shares, read, numpy.interp(read, shares, bends)))
        where = int(off.argmax())
        if off[where] < SEEN:
            return False
        self.places[f"seen {len(self.places)}"] = float(shares[where])
        return True

    def true(self, machine: Machine) -> bool:
        """Whether what was said is so."""
        return good(self.squeegee, machine) if self.said == "right" else self.said == self.fault


def examine(machine: Machine, count: int, seed: int, shuffled: bool = False) -> list[Mark]:
    """Marks of sound blades, of worn edges and of bent bodies: a third of `count` machines of each."""
    chance, known = numpy.random.default_rng([seed, 5]), figures(machine, "blade-level")
    cases = [Case(draw(machine, chance), Technician(chance), fault)
             for _case in range(-(-count // len(FAULTS))) for fault, draw in FAULTS.items()]
    for _visit in range(VISITS):
        # shuffled, a bent body is told what is read of a sound blade, a worn edge what is read of a bent body
        seen = [case.squeegee for case in (cases[1:] + cases[:1] if shuffled else cases)]
        for case, squeegee in zip(cases, seen, strict=True):
            if not case.said:
                bends = case.technician.reads(squeegee, list(case.places.values()))
                case.claims(machine, ask(machine, known, bends, case.places), squeegee)
    return [mark for fault in FAULTS
            for mark in _marks(machine, fault, [case for case in cases if case.fault == fault])]


def _marks(machine: Machine, fault: str, cases: list[Case]) -> list[Mark]:
    said = [case for case in cases if case.said]
    right = sum(case.true(machine) for case in said)
    count = len(cases)
    marks = [share(f"blade-{fault}-right", right, count), share(f"blade-{fault}-open", count - len(said), count),
             share(f"blade-{fault}-wrong", len(said) - right, count, most=WRONG)]
    if fault == "bent":
        marks += [share("setting-carrier-bent", sum(case.said == "bent" for case in cases), count, least=0.9),
                  share("blade-bent-edge-in-vain", sum(case.renewed for case in cases), count)]
    return marks


# ---- the machines ----

def sound(machine: Machine, chance: numpy.random.Generator) -> Squeegee:
    """Nothing worn and nothing bent; every other blade is level."""
    if chance.random() < 0.5:
        return out_of_order(machine, chance)
    return level(built(machine, chance), machine.bend_wanted)


def worn(machine: Machine, chance: numpy.random.Generator) -> Squeegee:
    """Screws wrongly set under an edge that is worn away at an end, in the middle or over one part of its length."""
    while True:
        squeegee = out_of_order(machine, chance)
        deep, kind = chance.uniform(*WORN), chance.integers(3)
        if kind == 0:
            start, side = chance.uniform(0.1, 0.6), chance.choice([-1, 1])
            shape = numpy.clip((side * _ALONG - start) / (1 - start), 0, None)
        else:
            middle, wide = (0.0, chance.uniform(0.4, 0.8)) if kind == 1 else (chance.uniform(-0.7, 0.7), 0.4)
            shape = numpy.clip(1 - numpy.abs(_ALONG - middle) / wide, 0, None)
        squeegee = replace(squeegee, build=replace(squeegee.build, worn=deep * shape))
        if squeegee.heights.min() > TOUCHES:
            return squeegee


def bent(machine: Machine, chance: numpy.random.Generator) -> Squeegee:
    """A body folded, bent at an end or twisted, so far that no setting brings every place within the tolerance."""
    while True:
        build, kind = built(machine, chance), chance.integers(3)
        at, sign = chance.uniform(-0.4, 0.4), chance.choice([-1, 1])
        if kind == 0:
            shape = numpy.abs(_ALONG - at)
        elif kind == 1:
            shape = numpy.clip(sign * _ALONG - 0.1 - abs(at), 0, None)
        else:
            shape = _ALONG * (1 - _ALONG**2)
        shape = sign * shape / _left_over(build, shape)
        squeegee = level(build, machine.bend_wanted)
        band = _band(squeegee, machine)
        squeegee = replace(squeegee, build=replace(build, body=build.body + chance.uniform(*BENT) * band * shape))
        squeegee = away(squeegee, chance)
        if squeegee.heights.min() > TOUCHES and squeegee.bends.max() < 0.74 * build.length:
            return squeegee


def _band(squeegee: Squeegee, machine: Machine) -> float:
    """How far (m) the middle of a level blade may rise or fall, on the mean, until its bend leaves the tolerance."""
    heights = []
    for sign in (-1, 1):
        off = optimize.brentq(lambda flats, sign=sign: squeegee.turned(flats, flats).three[1] - machine.bend_wanted
                              - sign * machine.bend_tolerance, -12, 12, xtol=1e-4)
        heights.append(off * squeegee.build.wheel_step)
    return (heights[1] - heights[0]) / 2


def _left_over(build: Build, shape: numpy.ndarray) -> float:
    """What the best setting leaves of a body's shape at its worst place: Chebyshev's fit of the three screws."""
    xs = build.places
    arc = numpy.sqrt(build.radius**2 - xs**2) / build.chord
    rows = numpy.stack([numpy.ones(PLACES), xs / build.chord, arc], axis=1)
    ones = numpy.ones((PLACES, 1))
    found = optimize.linprog([0, 0, 0, 1], A_ub=numpy.block([[rows, -ones], [-rows, -ones]]),
                             b_ub=numpy.concatenate([shape, -shape]), bounds=[(None, None)] * 3 + [(0, None)])
    return float(found.x[3])


FAULTS = {"sound": sound, "worn": worn, "bent": bent}
"""What may be wrong with a blade besides its screws, and how such a machine is drawn."""
