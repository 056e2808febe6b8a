"""A procedure cannot run itself, by way of others that it runs first or returns from."""

from macros.model import Handbook, Procedure
from macros.problems import At, Problem
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """One problem for each loop, spelled out, at the link that closes it."""
    problems, told = [], set()
    for start in handbook.procedures:
        loop = _loop_from(handbook, start)
        if loop and frozenset(name for name, _at in loop) not in told:
            told.add(frozenset(name for name, _at in loop))
            names = " -> ".join([*(name for name, _at in loop), loop[0][0]])
            problems.append(Problem(loop[-1][1], "loop", _("the procedures run each other: {names}").format(names=names),
                                    _("procedures that run first end at one that runs none"), _("take one link out")))
    return problems


def _runs(procedure: Procedure) -> list[tuple[str, At]]:
    """The procedures that this one runs and returns from, each with the place of the link."""
    links = [(name, procedure.place(f"first/{i}")) for i, name in enumerate(procedure.first)]
    for step in procedure.steps:
        if step.if_not is not None and step.if_not.go and step.if_not.back:
            links.append((step.if_not.go, step.if_not.place("go")))
    return links


def _loop_from(handbook: Handbook, start: str) -> list[tuple[str, At]] | None:
    """The shortest loop through `start`: (procedure, place of its link onward), or None."""
    paths = [[(start, at, name)] for name, at in _runs(handbook.procedures[start])]
    seen = set()
    while paths:
        path = paths.pop(0)
        _from, _at, target = path[-1]
        if target == start:
            return [(name, at) for name, at, _to in path]
        if target in seen or target not in handbook.procedures:
            continue
        seen.add(target)
        paths += [[*path, (target, at, name)] for name, at in _runs(handbook.procedures[target])]
    return None
