"""Each word stands once in the glossary, whether as a title or as another spelling."""

from macros.model import Handbook
from macros.problems import Place, Problem
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Words that stand twice, small and capital letters alike."""
    problems: list[Problem] = []
    seen: dict[str, Place] = {}
    for word in handbook.words.values():
        spellings = [(word.title, word.place("title"))]
        spellings += [(text, word.place(f"also/{number}")) for number, text in enumerate(word.also)]
        for text, at in spellings:
            plain = " ".join(text.casefold().split())
            if plain in seen:
                problems.append(_twice(text, at, seen[plain]))
            elif plain:
                seen[plain] = at
    return problems


def _twice(text: str, at: Place, first: Place) -> Problem:
    return Problem(at, "duplicate-word", _('the word "{word}" stands twice, first in line {line}').format(
        word=text, line=first[1]), _("each word once, as a title or under also"), _("take one of them out"))
