"""Every id names something that exists: parts, tools, zones, messages, procedures, steps, drawings ..."""

from collections.abc import Iterator
from functools import cache
from typing import Any

from calculators import REGISTER
from macros.fields import KINDS, ListOf, Standing, Ref, declared, holding
from macros.kept import Piece
from macros.model import Handbook, Procedure
from macros.problems import Place, Problem, meant
from macros.words import _

Reference = tuple[str, str, Standing, str, int | None]
"""What an object names, of which kind it is, and where: the object, the field's name in the content, the number in a list."""


def check(handbook: Handbook) -> list[Problem]:
    """Problems for ids that name nothing."""
    folder = handbook.root.resolve().name
    known = {
        "part": (handbook.parts, f"{folder}/parts.yml"),
        "tool": (handbook.tools, f"{folder}/tools.yml"),
        "zone": (handbook.zones, f"{folder}/hazards.yml"),
        "message": (handbook.messages, f"{folder}/hazards.yml"),
        "procedure": (handbook.procedures, f"{folder}/procedures/"),
        "machine": (handbook.machines, f"{folder}/machines/"),
        "group": (handbook.groups, f"{folder}/handbook.yml"),
        "drawing": (handbook.drawings, f"{folder}/drawings/"),
        "calculator": (REGISTER, ""),
        "language": (_languages(), "macros/words/"),
    }
    problems = []
    for piece in pieces(handbook):
        [owner] = piece.things
        own = {**known, "step": ({step.id: None for step in owner.steps} if isinstance(owner, Procedure) else {}, owner.at[0])}
        unknown = {(name, to) for name, to in piece.found() if name not in own[to][0] and not handbook.may_be(to, name)}
        if unknown:
            problems += [Problem(_place(one), f"unknown-{one[1]}", _('"{name}" is not {what}').format(name=one[0], what=_(KINDS[one[1]])),
                                 "", meant(one[0], list(own[one[1]][0]), own[one[1]][1]))
                         for one in _with_those_in(owner, []) if one[:2] in unknown]
    return problems


def pieces(handbook: Handbook) -> Iterator[Piece]:
    """What each object of the content names: each name once, with its kind. Where it does is asked of those that are unknown."""
    for owner in _objects(handbook):
        yield Piece("references", (owner,), lambda one=owner: sorted({named[:2] for named in _with_those_in(one, [])}))


def _place(reference: Reference) -> Place:
    _name, _to, thing, field, number = reference
    return thing.place(field if number is None else f"{field}/{number}")


def _with_those_in(thing: Any, found: list[Reference]) -> list[Reference]:
    """`found`, to which every reference in an object and in all that it holds was added."""
    if isinstance(thing, Standing):
        for name, attribute, to, many in _referring(type(thing)):
            value = getattr(thing, attribute)
            if many:
                found += [(one, to, thing, name, number) for number, one in enumerate(value) if one]
            elif value:
                found.append((value, to, thing, name, None))
        for name in holding(type(thing)):
            value = getattr(thing, name)
            if value:
                _with_those_in(value, found)
    elif isinstance(thing, (dict, list, tuple)):
        for value in thing.values() if isinstance(thing, dict) else thing:
            _with_those_in(value, found)
    return found


def _languages() -> dict[str, None]:
    from macros.words.catalogue import languages

    return dict.fromkeys(languages())


def _objects(handbook: Handbook) -> Iterator[Standing]:
    yield handbook.head
    yield handbook.hazards
    for group in (handbook.parts, handbook.tools, handbook.symptoms, handbook.machines, handbook.procedures):
        yield from group.values()


@cache
def _referring(cls: type) -> list[tuple[str, str, str, bool]]:
    """The fields of a class that name something else, and not itself: name in the content, attribute, kind, whether it is a list."""
    found = []
    for name, f in declared(cls).items():
        kind = f.metadata["type"]
        many = isinstance(kind, ListOf)
        item = kind.item if many else kind
        if isinstance(item, Ref) and item.to != "own":
            found.append((name, f.name, item.to, many))
    return found
