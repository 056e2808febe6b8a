"""The marks of the setting on fewer machines, with the bounds of the whole run; and that a shuffled rig fails each."""

from functools import cache
from pathlib import Path

import pytest

from tests.calculators.outside import held as noted
from tests.rig.examine import setting
from tests.rig.mark import Mark, table
from tests.rig.model.machine import load_all

MACHINES = {machine.id: machine for machine in load_all(Path(__file__).resolve().parents[2] / "content")}
BOUND = ("setting-one-round", "setting-two-rounds", "setting-left-alone-wrongly", "setting-both-wheels")


@cache
def marks(machine: str, shuffled: bool) -> dict[str, Mark]:
    return {mark.id: mark for mark in setting.examine(MACHINES[machine], 40 if shuffled else 100, 20261126, shuffled)}


@pytest.mark.parametrize("machine", MACHINES)
def test_every_bound_is_reached(machine):
    held = marks(machine, False)
    noted("blade-level", "flats", "the rig: machines set in two rounds")
    noted("wheel-adjust", "flats whole_turns", "the rig: both wheels set in one round")
    assert [mark.id for mark in held.values() if mark.bound] == list(BOUND)
    assert all(mark.held for mark in held.values()), table(list(held.values()))


@pytest.mark.parametrize("mark", BOUND)
def test_a_shuffled_rig_reaches_no_bound(mark):
    held = marks(next(iter(MACHINES)), True)
    assert not held[mark].held, table([held[mark]])
