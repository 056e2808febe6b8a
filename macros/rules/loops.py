"""A procedure cannot run itself, by way of others that it runs first or returns from."""

from macros.model import Handbook
from macros.problems import Place, Problem
from macros.state import MOST_DEEP, depths
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """One problem for each loop, spelled out, at the link that closes it; and for what runs too deep."""
    problems, told = [], set()
    for start in handbook.procedures:
        loop = _loop_from(handbook, start)
        if loop and frozenset(name for name, _at in loop) not in told:
            told.add(frozenset(name for name, _at in loop))
            names = " -> ".join([*(name for name, _at in loop), loop[0][0]])
            problems.append(
                Problem(
                    loop[-1][1],
                    "loop",
                    _("the procedures run each other: {names}").format(names=names),
                    _("procedures that run first end at one that runs none"),
                    _("take one link out"),
                )
            )
    return problems + [
        Problem(
            handbook.procedures[name].at,
            "loop",
            _("procedures run each other {deep} deep from here").format(deep=deep),
            _("at most {most} deep").format(most=MOST_DEEP),
            _("let this one run fewer first"),
        )
        for name, deep in sorted(depths(handbook).items())
        if deep == MOST_DEEP + 1
    ]


def _loop_from(handbook: Handbook, start: str) -> list[tuple[str, Place]] | None:
    """The shortest loop through `start`: (procedure, place of its link onward), or None."""
    paths = [[(start, at, name)] for name, at in handbook.procedures[start].runs()]
    seen = set()
    while paths:
        path = paths.pop(0)
        _from, _at, target = path[-1]
        if target == start:
            return [(name, at) for name, at, _to in path]
        if target in seen or target not in handbook.procedures:
            continue
        seen.add(target)
        paths += [[*path, (target, at, name)] for name, at in handbook.procedures[target].runs()]
    return None
