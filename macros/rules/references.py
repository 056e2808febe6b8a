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
        steps = {step.id: None for step in owner.steps} if isinstance(owner, Procedure) else {}
        for name, to, at in piece.found():
            names, where = (steps, at[0]) if to == "step" else known[to]
            if name not in names and not handbook.may_be(to, name):
                problems.append(
                    Problem(
                        at,
                        f"unknown-{to}",
                        _('"{name}" is not {what}').format(name=name, what=_(KINDS[to])),
                        "",
                        meant(name, list(names), where),
                    )
                )
    return problems


def pieces(handbook: Handbook) -> Iterator[Piece]:
    """What each object of the content refers to."""
    for owner in _objects(handbook):
        yield Piece("references", (owner,), lambda one=owner: list(_all_in(one)))


def _all_in(owner: Standing) -> Iterator[tuple[str, str, Place]]:
    """Name, kind and place of every reference in an object and in all that it holds."""
    for thing in _inside(owner):
        for name, to, path in _references(thing):
            if to != "own":
                yield name, to, thing.place(path)


def _languages() -> dict[str, None]:
    from macros.words.catalogue import languages

    return dict.fromkeys(languages())


def _objects(handbook: Handbook) -> Iterator[Standing]:
    yield handbook.head
    yield handbook.hazards
    for group in (handbook.parts, handbook.tools, handbook.symptoms, handbook.machines, handbook.procedures):
        yield from group.values()


def _inside(thing: Any) -> Iterator[Standing]:
    """An object and all objects in it."""
    if isinstance(thing, Standing):
        yield thing
        for name in holding(type(thing)):
            value = getattr(thing, name)
            if value:
                yield from _inside(value)
    elif isinstance(thing, dict):
        for value in thing.values():
            yield from _inside(value)
    elif isinstance(thing, list | tuple):
        for value in thing:
            yield from _inside(value)


def _references(thing: Standing) -> Iterator[tuple[str, str, str]]:
    """Name, kind and path of every reference that the object itself holds."""
    for name, attribute, to, many in _referring(type(thing)):
        value = getattr(thing, attribute)
        if many:
            for number, one in enumerate(value):
                if one:
                    yield one, to, f"{name}/{number}"
        elif value:
            yield value, to, name


@cache
def _referring(cls: type) -> list[tuple[str, str, str, bool]]:
    """The fields of a class that name something else: name in the content, attribute, kind, whether it is a list."""
    found = []
    for name, f in declared(cls).items():
        kind = f.metadata["type"]
        many = isinstance(kind, ListOf)
        item = kind.item if many else kind
        if isinstance(item, Ref):
            found.append((name, f.name, item.to, many))
    return found
