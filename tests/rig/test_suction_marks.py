"""The survey's marks with one fault: each bound is reached, and none of them by a rig whose answers are shuffled."""

import random

import pytest

from tests.calculators.outside import held
from tests.rig.examine import suction
from tests.rig.sample import COUNT, MACHINES, marks

BOUND = ("suction-segment", "suction-hole", "suction-wrong", "suction-weak-motor", "suction-false-alarm",
         "suction-blockage", "suction-blockage-wrong", "hands-wrong")
STATED = ("suction-hole-width", "suction-segment-small", "suction-half", "hands-gauge")
each_machine = pytest.mark.parametrize("machine", sorted(MACHINES))


@each_machine
@pytest.mark.parametrize("name", BOUND)
def test_the_bound_is_reached(name: str, machine: str) -> None:
    held("suction-drop", "hole segments", "scipy, fluids: machines with bowed motors")
    mark = marks("suction", machine)[name]
    assert mark.held, mark


@each_machine
@pytest.mark.parametrize("name", BOUND)
def test_a_shuffled_rig_fails(name: str, machine: str) -> None:
    mark = marks("suction", machine, shuffled=True)[name]
    assert not mark.held, mark


@each_machine
def test_every_mark_is_told_and_only_these_are_bound(machine: str) -> None:
    found = marks("suction", machine)
    assert tuple(name for name, mark in found.items() if mark.bound) == BOUND
    assert {name for name, mark in found.items() if not mark.bound} == set(STATED)
    assert all(mark.count == COUNT for name, mark in found.items() if name != "suction-false-alarm")


@each_machine
def test_half_of_the_holes_of_the_stated_size_are_found(machine: str) -> None:
    """A hole is found half the time somewhere between 3 and 5 mm, and nearly always at 5 to 6 mm."""
    found = marks("suction", machine)
    assert 3 < found["suction-half"].value < 5
    assert found["suction-segment-small"].value > 0.85


@each_machine
def test_the_range_of_a_hole_is_narrow_enough_to_mean_something(machine: str) -> None:
    """A range from nothing to everything would hold every hole: half of the ranges are narrower than the hole itself."""
    assert marks("suction", machine)["suction-hole-width"].value < 1


@each_machine
def test_the_same_seed_gives_the_same_machines(machine: str) -> None:
    one, other = ([suction.single_leak(random.Random(seed), MACHINES[machine]) for seed in range(5)] for _n in range(2))
    assert one == other
