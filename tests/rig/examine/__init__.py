"""The examinations: each hides faults in the rig's machines, follows the advice, and marks it.

The rig is a simulated machine by which the handbook's advice is judged: `tests/rig/model/` is the machine, written apart
from `calculators/`; a module of this folder has ``examine(machine, count, seed, shuffled=False) -> list[Mark]``: `count`
machines of the make of `machine`, drawn from `seed`, each with its own hidden faults. `shuffled` hands every technician
the readings of another machine than the one that is judged: then no bound may be reached. The names of the marks stand
in `macros/pages/trust.py`, which says them to a reader. ``handbook.py bench rig`` runs the whole.
"""

from importlib import import_module
from pkgutil import iter_modules
from types import ModuleType


def examinations() -> dict[str, ModuleType]:
    """Every module of this folder that examines, by its name."""
    modules = {one.name: import_module(f"{__name__}.{one.name}") for one in iter_modules(__path__)}
    return {name: module for name, module in sorted(modules.items()) if hasattr(module, "examine")}
