"""The marks beyond one fault at the blade, on fewer machines; a shuffled rig fails each; and the faults are faults."""

from functools import cache
from pathlib import Path

import numpy
import pytest

from tests.rig.examine import beyond_blade
from tests.rig.examine.setting import good
from tests.rig.mark import Mark, table
from tests.rig.model.machine import load_all

MACHINES = {machine.id: machine for machine in load_all(Path(__file__).resolve().parents[2] / "content")}
BOUND = ("blade-sound-wrong", "blade-worn-wrong", "blade-bent-wrong", "setting-carrier-bent")


@cache
def marks(machine: str, shuffled: bool) -> dict[str, Mark]:
    count = 30 if shuffled else 150
    return {mark.id: mark for mark in beyond_blade.examine(MACHINES[machine], count, 20261126, shuffled)}


@pytest.mark.parametrize("machine", MACHINES)
def test_every_bound_is_reached(machine):
    held = marks(machine, False)
    assert [mark.id for mark in held.values() if mark.bound] == list(BOUND)
    assert all(mark.held for mark in held.values()), table(list(held.values()))
    for fault in beyond_blade.FAULTS:
        assert sum(held[f"blade-{fault}-{part}"].value for part in ("right", "open", "wrong")) == pytest.approx(1)


@pytest.mark.parametrize("mark", BOUND)
def test_a_shuffled_rig_reaches_no_bound(mark):
    held = marks(next(iter(MACHINES)), True)
    assert not held[mark].held, table([held[mark]])


@pytest.mark.parametrize("machine", MACHINES.values(), ids=MACHINES)
def test_a_bent_body_cannot_be_set(machine):
    # Its screws turned by least squares towards the bend wanted, again and again: never within the tolerance.
    chance = numpy.random.default_rng(6)
    for _case in range(5):
        squeegee = beyond_blade.bent(machine, chance)
        for _round in range(15):
            slopes = numpy.array([(squeegee.turned(**{screw: 0.2}).bends - squeegee.bends) / 0.2
                                  for screw in ("left", "right", "tilt")]).T
            turns = numpy.linalg.lstsq(slopes, machine.bend_wanted - squeegee.bends, rcond=None)[0]
            squeegee = squeegee.turned(*numpy.clip(turns, -2, 2))
            assert not good(squeegee, machine)
