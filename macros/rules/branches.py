"""What to do when it is not so: a sentence, another procedure, or a step of this one; never two at once."""

from macros.model import Branch, Handbook
from macros.problems import Problem
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems for branches that lead nowhere or to two places."""
    return [
        problem
        for procedure in handbook.procedures.values()
        for step in procedure.steps
        if step.if_not is not None
        for problem in _branch(step.if_not)
    ]


def _branch(branch: Branch) -> list[Problem]:
    problems = []
    if branch.go and branch.to:
        problems.append(
            Problem(
                branch.place("to"),
                "branch",
                _("both go and to are given"),
                _("one of them: go leads to a procedure, to leads to a step of this one"),
                _("take one of them out"),
            )
        )
    if branch.back and not branch.go:
        problems.append(
            Problem(
                branch.place("back"),
                "branch",
                _("back is given without go"),
                _("back: true returns here from the procedure that go names"),
                _("name the procedure in go, or take back out"),
            )
        )
    if not (branch.say or branch.go or branch.to or branch.places):
        problems.append(
            Problem(
                branch.at,
                "branch",
                _("nothing is said to do"),
                _("say, go or to"),
                _("say what to do when it is not so, or take if_not out"),
            )
        )
    return problems
