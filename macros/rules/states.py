"""State variables and their values exist wherever they are named."""

from collections.abc import Iterator

from macros.fields import Standing
from macros.model import Handbook
from macros.problems import Problem, meant
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems for unknown variables and values, and for variables that the page cannot show."""
    problems: list[Problem] = []
    if handbook.may_be("state", ""):
        return problems
    where = f"{handbook.root.resolve().name}/hazards.yml"
    known = handbook.state
    for owner, key, named in _named(handbook):
        for variable, value in named.items():
            if variable in known and value in known[variable].values:
                continue
            at = owner.place(f"{key}/{variable}")
            if variable not in known:
                problems.append(
                    Problem(
                        at,
                        "unknown-state",
                        _('unknown state variable "{name}"').format(name=variable),
                        "",
                        meant(variable, list(known), where),
                    )
                )
            else:
                problems.append(
                    Problem(
                        at,
                        "unknown-state",
                        _('{variable} has no value "{value}"').format(variable=variable, value=value),
                        "",
                        meant(value, list(known[variable].values), where),
                    )
                )
    return problems


def _named(handbook: Handbook) -> Iterator[tuple[Standing, str, dict[str, str]]]:
    if handbook.running is not None:
        yield handbook.running, "state", handbook.running.state
    for zone in handbook.zones.values():
        yield zone, "needs", zone.needs
    for variable in handbook.state.values():
        for value in variable.values.values():
            if value is not None:
                yield value, "needs", value.needs
    for procedure in handbook.procedures.values():
        yield procedure, "starts", procedure.starts
        for step in procedure.steps:
            for key in ("sets", "needs", "leaves"):
                yield step, key, getattr(step, key)
