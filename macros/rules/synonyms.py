"""Synonyms lead somewhere: to words that the handbook says, to pages that there are, each phrase once."""

import re
from collections.abc import Collection, Iterable, Iterator

from calculators import REGISTER, calculators
from macros import guides
from macros.fields import KINDS, Standing
from macros.kept import Piece
from macros.model import Handbook
from macros.problems import Place, Problem, meant
from macros.rules.texts import owners, texts_of
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems of synonyms.yml."""
    found, _problems = guides.read(handbook)
    return [*_nowhere(handbook, found.values()), *_twice(handbook), *_told(handbook, found)]


def _nowhere(handbook: Handbook, found: Iterable[guides.Guide]) -> list[Problem]:
    """Words that stand for nothing: the search would find no page by what is said for them."""
    if handbook.unread or not handbook.synonyms.words:
        return []
    said = [f"{one.title}\n{one.text}" for one in found]
    for one in calculators():
        said += [_(text) for text in (one.question, one.summary, *(field.title for field in (*one.fields, *one.figures)))]
    everything = "\n".join([*map(_plain, said), *(piece.found() for piece in pieces(handbook))])

    return [Problem(one.place("means"), "synonym-nowhere", _('"{words}" stands nowhere in this handbook').format(words=one.means),
                    _("words as the handbook itself says them"), _("say it as the pages do, or take the entry out"))
            for one in handbook.synonyms.words if one is not None and one.means and not _stands(one.means, everything)]


#: The handbook may say it with an ending: "blade" stands in "blades".
_ENDING = re.compile(r"\w{0,3}(?!\w)")
_IN_WORD = re.compile(r"\w")


def _stands(words: str, everything: str) -> bool:
    """Whether words stand in a long text, given in small letters."""
    plain = _plain(words)
    at = everything.find(plain)
    while at >= 0:
        if not (at and _IN_WORD.match(everything, at - 1)) and _ENDING.match(everything, at + len(plain)):
            return True
        at = everything.find(plain, at + 1)
    return False


def pieces(handbook: Handbook) -> Iterator[Piece]:
    """What each thing that holds texts says, in small letters, a line for each text."""
    if not handbook.synonyms.words:
        return
    for owner, about in owners(handbook):
        yield Piece(f"plain {about}", (owner,), lambda one=owner, about=about: _plain_lines(one, about))


def _plain_lines(owner: Standing, about: str) -> str:
    return "\n".join(_plain(said.text) for said in texts_of(owner, about))


def _twice(handbook: Handbook) -> list[Problem]:
    """A phrase that stands twice for the same words; for different words it may: "wiper" is a squeegee or a blade."""
    problems, known = [], {}
    for one in handbook.synonyms.words:
        if one is None:
            continue
        own = _plain(one.means)
        if own in known:
            problems.append(_again(one.means, one.place("means"), known[own]))
        known.setdefault(own, one.place("means"))
        seen = {own: one.place("means")}
        for number, text in enumerate(one.said):
            at = one.place(f"said/{number}")
            if _plain(text) in seen:
                problems.append(_again(text, at, seen[_plain(text)]))
            seen.setdefault(_plain(text), at)
    return problems


def _told(handbook: Handbook, found: Collection[str]) -> list[Problem]:
    """What people say who look for a page: the page is there, and no phrase stands for two of a kind. `found`: ids of guides."""
    folder = handbook.root.resolve().name
    kinds: dict[str, tuple[str, Collection[str], str]] = {
        "symptoms": ("symptom", handbook.symptoms, f"{folder}/symptoms.yml"),
        "procedures": ("procedure", handbook.procedures, f"{folder}/procedures/"),
        "calculators": ("calculator", REGISTER, ""),
        "guides": ("guide", found, f"{folder}/guides/"),
        "machines": ("machine", handbook.machines, f"{folder}/machines/"),
        "parts": ("part", handbook.parts, f"{folder}/parts.yml"),
    }
    problems: list[Problem] = []
    for kind, (to, known, where) in kinds.items():
        seen: dict[str, Place] = {}
        for name, phrases in getattr(handbook.synonyms, kind).items():
            at = handbook.synonyms.place(f"{kind}/{name}")
            if name not in known and not handbook.may_be(to, name):
                problems.append(Problem(at, f"unknown-{to}", _('"{name}" is not {what}').format(name=name, what=_(KINDS[to])), "",
                                        meant(name, list(known), where)))
            for number, text in enumerate(phrases):
                at = handbook.synonyms.place(f"{kind}/{name}/{number}")
                if _plain(text) in seen:
                    problems.append(_again(text, at, seen[_plain(text)]))
                seen.setdefault(_plain(text), at)
    return problems


def _again(text: str, at: Place, first: Place) -> Problem:
    return Problem(at, "duplicate-synonym", _('"{words}" stands twice, first in line {line}').format(words=text, line=first[1]),
                   _("each of them once"), _("take one of them out"))


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())
