"""Plain technical English, in handbooks written in English: see `macros.english` for what is measured."""

from collections.abc import Iterator, Sequence

from macros import english
from macros.kept import Piece
from macros.model import Handbook
from macros.problems import Problem
from macros.rules.texts import Said, owners, texts_of
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems of sentences that are too long, tell two things, or do not begin with what to do."""
    return [problem for piece in pieces(handbook) for problem in piece.found()]


def pieces(handbook: Handbook) -> Iterator[Piece]:
    """The problems of each thing that holds texts."""
    if handbook.language.partition("-")[0] != "en":
        return
    verbs = english.VERBS | set(handbook.wording.verbs)
    words = {**english.INSTEAD, **{one.word: one.say for one in handbook.wording.instead if one is not None and one.word}}
    avoided = [(word.casefold(), word, better) for word, better in words.items()]
    for owner, about in owners(handbook):
        yield Piece(f"wording {about}", (owner, handbook.wording), lambda one=owner, about=about: _texts(
            texts_of(one, about), verbs, avoided))


def _texts(texts: Sequence[Said], verbs: frozenset[str], avoided: Sequence[tuple[str, str, str]]) -> list[Problem]:
    # Nearly nothing has any of these words: they are looked for in all texts at once.
    folded = "\n".join(said.text for said in texts).casefold()
    here = {word: better for small, word, better in avoided if small in folded}
    problems: list[Problem] = []
    for said in texts:
        if here:
            problems += _words(said, here)
        if said.field.instructs:
            problems += _sentences(said, english.MOST_INSTRUCTING, True, verbs)
        elif said.field.describes:
            problems += _sentences(said, english.MOST_DESCRIBING, False, verbs)
    return problems


def _words(said: Said, avoided: dict[str, str]) -> list[Problem]:
    return [Problem(said.at, "word-choice", _('"{word}" has a simpler word').format(word=word),
                    _('say "{better}"').format(better=better), about=said.about)
            for word, better in english.instead(said.text, avoided)]


def _sentences(said: Said, most: int, instructs: bool, verbs: frozenset[str]) -> list[Problem]:
    return [_problem(fault, sentence, most, said) for sentence, fault in english.faults(said.text, most, instructs, verbs)]


def _problem(fault: english.Fault, sentence: str, most: int, said: Said) -> Problem:
    short = _short(sentence)
    if fault.kind == "long":
        return Problem(said.at, "sentence-length", _('"{sentence}" has {length} words').format(
            sentence=short, length=fault.number), _("at most {most} here").format(most=most),
            _("make two sentences of it"), about=said.about)
    if fault.kind == "verb":
        return Problem(said.at, "verb-first", _('"{sentence}" does not begin with what to do').format(sentence=short),
                       _("an instruction begins with its verb, or with its condition and a comma"),
                       _("a verb that is not known here goes into words.yml under verbs"), about=said.about)
    if fault.kind == "several":
        return Problem(said.at, "one-instruction", _('"{sentence}" tells {number} things to do').format(
            sentence=short, number=fault.number), _("one in a sentence; two with \"and\" when they are done together"),
            _("make a sentence of each"), about=said.about)
    found = _('"{sentence}" tells its condition last') if fault.kind == "late" else (
        _('no comma ends the condition of "{sentence}"'))
    return Problem(said.at, "condition-first", found.format(sentence=short),
                   _("the condition first, then a comma, then what to do"), about=said.about)


def _short(sentence: str) -> str:
    return sentence if len(sentence) <= 60 else sentence[:57].rstrip() + "..."
