"""Step ids are unique in their procedure."""

from macros.model import Handbook
from macros.problems import Problem
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems with names that must be unique."""
    problems = []
    for procedure in handbook.procedures.values():
        seen: dict[str, int] = {}
        for step in procedure.steps:
            if step.id in seen and step.id:
                problems.append(
                    Problem(
                        step.place("id"),
                        "duplicate-id",
                        _('the step id "{id}" stands twice, first in line {line}').format(
                            id=step.id, line=seen[step.id]
                        ),
                        _("each step id once in a procedure"),
                        _("rename one of them"),
                    )
                )
            seen.setdefault(step.id, step.place("id")[1])
    return problems
