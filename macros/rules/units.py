"""The units that the handbook is read in are units of their quantity."""

from calculators import quantity as q
from macros.model import Handbook
from macros.problems import Problem, meant
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems for unknown quantities and units in handbook.yml."""
    problems = []
    for name, symbol in handbook.head.units.items():
        at = handbook.head.place(f"units/{name}")
        if name not in q.QUANTITIES:
            problems.append(
                Problem(
                    at,
                    "unknown-unit",
                    _('unknown quantity "{name}"').format(name=name),
                    "",
                    meant(name, list(q.QUANTITIES)),
                )
            )
            continue
        known = [unit.symbol for unit in q.QUANTITIES[name].units]
        if symbol and symbol not in known:
            problems.append(
                Problem(
                    at,
                    "unknown-unit",
                    _('"{symbol}" is not a unit of {name}').format(symbol=symbol, name=name),
                    "",
                    meant(symbol, known),
                )
            )
    return problems
