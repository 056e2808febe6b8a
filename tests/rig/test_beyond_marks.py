"""The survey's marks beyond one fault: confidently wrong is held, and a rig whose answers are shuffled fails it."""

import random

import pytest

from tests.rig.examine import beyond
from tests.rig.sample import MACHINES, marks

each_machine = pytest.mark.parametrize("machine", sorted(MACHINES))
each_trouble = pytest.mark.parametrize("trouble", list(beyond.TROUBLES))


@each_machine
@each_trouble
def test_it_is_hardly_ever_confidently_wrong(trouble: str, machine: str) -> None:
    mark = marks("beyond", machine)[f"{trouble}-wrong"]
    assert mark.bound and mark.held, mark


@each_machine
@each_trouble
def test_a_shuffled_rig_fails(trouble: str, machine: str) -> None:
    mark = marks("beyond", machine, shuffled=True)[f"{trouble}-wrong"]
    assert not mark.held, mark


@each_machine
@each_trouble
def test_right_unsure_and_wrong_are_all_there_is(trouble: str, machine: str) -> None:
    found = marks("beyond", machine)
    assert sum(found[f"{trouble}-{part}"].value for part in ("right", "unsure", "wrong")) == pytest.approx(1)


@each_machine
def test_a_sinking_battery_deceives_who_does_not_read_again(machine: str) -> None:
    """The reason why the procedure ends at the motor inlet: without that reading the answer is often wrong."""
    found = marks("beyond", machine)
    assert found["battery-unchecked-wrong"].value > 5 * beyond.WRONG
    assert not found["battery-unchecked-wrong"].bound


@each_machine
@each_trouble
def test_the_same_seed_gives_the_same_machines(trouble: str, machine: str) -> None:
    one, other = (beyond.TROUBLES[trouble](random.Random(5), MACHINES[machine]) for _n in range(2))
    assert one == other
