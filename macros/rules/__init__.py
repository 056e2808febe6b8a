"""The rules of the content: each module has ``check(handbook)``, which returns problems; all are collected."""

from collections.abc import Callable, Iterator

from macros.model import Handbook
from macros.problems import Problem


def every_rule() -> Iterator[Callable[[Handbook], list[Problem]]]:
    """Every rule, in the order in which they run."""
    from macros.rules import (
        agreement, branches, calculators, drawings, editions, glossary, guides, links, look, loops, marks, names, references, reviews,
        safety, signs, states, symptoms, synonyms, units, unused, wording, writing,
    )

    for rule in (names, references, states, units, signs, drawings, guides, links, branches, loops, calculators, symptoms,
                 glossary, synonyms, marks, safety, agreement, unused, wording, writing, reviews, look, editions):
        yield rule.check
