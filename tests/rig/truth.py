"""What is hidden in a machine, and whether an answer is right, wrong, or says that it cannot tell.

With several faults an answer that names one of them is right: the next survey finds the other. Wrong is an answer that
claims something and names no true fault. An answer that calls the path sound, or the motor weak and the path little
lossy, beside a fault is wrong unless its notes say that a fault of this size may hide: then it has said that it cannot
tell. So has one that names only a longer part of the path in which the true leak lies.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from tests.rig.airpath import Specimen
from tests.rig.model.air import BEYOND, Leak
from tests.rig.model.hose import Blockage
from tests.rig.reader import Verdict

WEAK = 0.9
"""A motor is weak when its inlet stays below this share of what a good one makes."""
OFF = 30e-3
"""A hole so wide (m) is an open end."""


@dataclass(frozen=True)
class Truth:
    """The faults: holes, blockages, a gap at the blades or a clogged slot beyond the last station, a weak motor."""

    leaks: tuple[Leak, ...] = ()
    blockages: tuple[Blockage, ...] = ()
    gap: bool = False
    clogged: bool = False
    weak: bool = False

    @classmethod
    def of(cls, specimen: Specimen, *faults: Leak | Blockage, gap: bool = False, clogged: bool = False) -> "Truth":
        """The truth of a machine with these faults; its motor is measured at the inlet."""
        weak = specimen.path.sealed(0).stations[0] < WEAK * specimen.good
        return cls(tuple(f for f in faults if isinstance(f, Leak)),
                   tuple(f for f in faults if isinstance(f, Blockage)), gap, clogged, weak)

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return self == Truth()

    def right(self, said: Verdict) -> bool:
        """Whether the answer names a true fault, or finds that there is none."""
        if said.motor_too and not self.weak:
            return False
        if said.kind == "leak":
            return bool(self._holes() & set(said.places))
        if said.kind == "through":
            return bool(({b.stretch for b in self.blockages if b.opening == 0}
                         | {leak.stretch for leak in self.leaks if leak.diameter >= OFF}) & set(said.places))
        if said.kind == "blockage":
            return bool(self._blocked() & set(said.places))
        return self.weak if said.kind == "motor" else said.kind == "sound" and self.sound

    def wrong(self, said: Verdict) -> bool:
        """Whether the answer claims what is not so."""
        if not said.certain or self.right(said):
            return False
        if said.motor_too and not self.weak:
            return True
        if said.kind == "cannot-tell":
            return not self._holes() & set(said.places)
        if said.kind == "leak" and not said.places:
            return not self._holes()
        if said.kind == "sound":
            return not self._may_hide(said)
        return True

    def _may_hide(self, said: Verdict) -> bool:
        return (all(leak.diameter <= said.hidden for leak in self.leaks)
                and (not self._blocked() or said.limited) and (not self.weak or said.motor_doubt) and not self.gap)

    def _holes(self) -> set[int]:
        return {leak.stretch for leak in self.leaks} | ({BEYOND} if self.gap else set())

    def _blocked(self) -> set[int]:
        return {blockage.stretch for blockage in self.blockages} | ({BEYOND} if self.clogged else set())


@dataclass(frozen=True)
class Case:
    """One machine at the technician's hands: what is hidden in it, and what is typed into the form."""

    truth: Truth
    inputs: dict


def met(cases: Sequence[Case], shuffled: bool) -> Iterator[Case]:
    """The cases; `shuffled`: each truth with what was typed at the next machine."""
    for number, case in enumerate(cases):
        yield replace(case, inputs=cases[(number + 1) % len(cases)].inputs) if shuffled else case
