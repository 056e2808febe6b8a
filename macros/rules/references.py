"""Every id names something that exists: parts, tools, zones, messages, procedures, steps, drawings ..."""

import dataclasses
from collections.abc import Iterator
from typing import Any

from calculators import REGISTER
from macros.fields import KINDS, ListOf, Standing, Ref, declared
from macros.model import Handbook, Procedure
from macros.problems import Problem, meant
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
    for owner in _objects(handbook):
        steps = {step.id: None for step in owner.steps} if isinstance(owner, Procedure) else {}
        for thing in _inside(owner):
            for name, to, path in _references(thing):
                if to == "own":
                    continue
                names, where = (steps, thing.place(path).file) if to == "step" else known[to]
                if name not in names and not handbook.may_be(to, name):
                    problems.append(
                        Problem(
                            thing.place(path),
                            f"unknown-{to}",
                            _('"{name}" is not {what}').format(name=name, what=_(KINDS[to])),
                            "",
                            meant(name, list(names), where),
                        )
                    )
    return problems


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
        for f in dataclasses.fields(thing):
            yield from _inside(getattr(thing, f.name)) if f.name not in ("at", "places") else ()
    elif isinstance(thing, dict):
        for value in thing.values():
            yield from _inside(value)
    elif isinstance(thing, list | tuple):
        for value in thing:
            yield from _inside(value)


def _references(thing: Standing) -> Iterator[tuple[str, str, str]]:
    """Name, kind and path of every reference that the object itself holds."""
    for name, f in declared(type(thing)).items():
        kind, value = f.metadata["type"], getattr(thing, f.name)
        if isinstance(kind, Ref) and value:
            yield value, kind.to, name
        elif isinstance(kind, ListOf) and isinstance(kind.item, Ref):
            for number, one in enumerate(value):
                if one:
                    yield one, kind.item.to, f"{name}/{number}"
