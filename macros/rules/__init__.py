"""The rules of the content: each module has ``check(handbook)``, which returns problems; all are collected."""

from collections.abc import Callable, Iterator

from macros.kept import Piece
from macros.model import Handbook
from macros.problems import Problem

Rule = Callable[[Handbook], list[Problem]]


def every_rule() -> list[Rule]:
    """Every rule, in the order in which they run."""
    from macros.rules import (
        agreement, branches, calculators, drawings, editions, glossary, guides, links, look, loops, marks, names,
        references, reviews, safety, signs, states, symptoms, synonyms, units, unused, wording, writing,
    )

    return [rule.check for rule in (names, references, states, units, signs, drawings, guides, links, branches, loops, symptoms,
                                    glossary, marks, safety, agreement, unused, reviews, look, editions, calculators,
                                    synonyms, wording, writing)]


def pieces(handbook: Handbook) -> Iterator[Piece]:
    """What rules find out of one procedure, machine, word or drawing at a time, and keep: in any order, before they run."""
    from macros.rules import calculators, drawings, references, safety, synonyms, wording, writing

    for rule in (references, drawings, calculators, safety, synonyms, wording, writing):
        yield from rule.pieces(handbook)
