"""The rules of the content: each module has ``check(handbook)``, which returns problems; all are collected."""

from collections.abc import Callable

from macros.model import Handbook
from macros.problems import Problem

Rule = Callable[[Handbook], list[Problem]]


def every_rule() -> list[Rule]:
    """Every rule, in the order in which they run."""
    return [*here(), *texts_alone()]


def here() -> list[Rule]:
    """The rules whose results others rest on, the walk of the states above all: pages are made from it."""
    from macros.rules import (
        agreement, branches, drawings, editions, glossary, guides, links, look, loops, marks, names, references, reviews,
        safety, signs, states, symptoms, units, unused,
    )

    return [rule.check for rule in (names, references, states, units, signs, drawings, guides, links, branches, loops, symptoms,
                                    glossary, marks, safety, agreement, unused, reviews, look, editions)]


def texts_alone() -> list[Rule]:
    """The rules of which nothing is wanted but their problems: they may run in a process beside."""
    from macros.rules import calculators, synonyms, wording, writing

    return [rule.check for rule in (calculators, synonyms, wording, writing)]
