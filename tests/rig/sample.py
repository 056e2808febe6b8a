"""Marks of a smaller sample than the benchmark's, examined once for all tests that look at them."""

from functools import cache
from pathlib import Path

from tests.rig.examine import beyond, suction
from tests.rig.mark import Mark
from tests.rig.model.machine import load_all

MACHINES = {machine.id: machine for machine in load_all(Path(__file__).parents[2] / "content")}
COUNT, SHUFFLED = 150, 60
"""Machines of each make for each mark: as they are, and with their answers shuffled."""
SEED = 4
_EXAMINED = {"suction": suction.examine, "beyond": beyond.examine}


@cache
def marks(examination: str, machine: str, shuffled: bool = False) -> dict[str, Mark]:
    """The marks of an examination of a machine of the demo, by id."""
    found = _EXAMINED[examination](MACHINES[machine], SHUFFLED if shuffled else COUNT, SEED, shuffled)
    return {mark.id: mark for mark in found}
