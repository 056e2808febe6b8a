"""The marks of the edge's life on fewer edges, with the bounds of the whole run; and that a shuffled rig fails each."""

from functools import cache
from pathlib import Path

import numpy
import pytest

from tests.rig.examine import edge
from tests.rig.mark import Mark, table
from tests.rig.model import wear
from tests.rig.model.machine import load_all

MACHINES = {machine.id: machine for machine in load_all(Path(__file__).resolve().parents[2] / "content")}
BOUND = ("edge-range", "edge-range-one-reading", "edge-gone-before-range")


@cache
def marks(machine: str, shuffled: bool) -> dict[str, Mark]:
    return {mark.id: mark for mark in edge.examine(MACHINES[machine], 600, 20261126, shuffled)}


@pytest.mark.parametrize("machine", MACHINES)
def test_every_bound_is_reached(machine):
    held = marks(machine, False)
    assert [mark.id for mark in held.values() if mark.bound] == list(BOUND)
    assert all(mark.held for mark in held.values()), table(list(held.values()))
    assert held["edge-forecast-off"].value < held["edge-straight-line"].value


@pytest.mark.parametrize("mark", BOUND)
def test_a_shuffled_rig_reaches_no_bound(mark):
    held = marks(next(iter(MACHINES)), True)
    assert not held[mark].held, table([held[mark]])


def test_the_rigs_edge_wears_by_the_square_root_of_its_hours():
    # On floors that are all alike a quarter of the hours makes half the flat; the loupe reads to its division.
    chance = numpy.random.default_rng(5)
    one = wear.edge(chance, 2.0, floors=0.0)
    life = one.hours(2.0)
    assert one.flat(life / 4) == pytest.approx(1.0) and one.flat(life) == pytest.approx(2.0)
    assert wear.edge(chance, 2.0).hours(2.0) != pytest.approx(life)
    read = [one.read(life / 4, chance) / wear.LOUPE for _reading in range(400)]
    assert read == pytest.approx(numpy.round(read)) and numpy.mean(read) * wear.LOUPE == pytest.approx(1.0, abs=0.01)
