"""Every text that a reader sees, with what it belongs to: what the rules of wording go through."""

from collections.abc import Iterator
from functools import cache
from typing import Any, NamedTuple

from macros import model
from macros.fields import Standing, Text, declared, holding
from macros.kept import kept
from macros.problems import Place

#: Texts that tell what to do, and texts that describe; names and headings are neither.
INSTRUCTS = {("Step", "do"), ("Step", "text"), ("Message", "avoid"), ("Symptom", "first_test"), ("Check", "title")}
DESCRIBES = {
    ("Step", "look_for"), ("Branch", "say"), ("Message", "hazard"), ("Message", "harm"), ("Part", "does"),
    ("Part", "worn_when"), ("Symptom", "means"), ("Procedure", "achieves"), ("Procedure", "done_when"), ("Word", "says"),
    ("Machine", "says"), ("Tool", "says"), ("Group", "says"),
}


class Field(NamedTuple):
    """A field that holds a text: its name in the content, the attribute, and whether the text tells what to do, or describes."""

    name: str
    attribute: str
    instructs: bool
    describes: bool


class Said(NamedTuple):
    """One text: what holds it and in which field, the id in its file that `allow` names, the words."""

    thing: Standing
    field: Field
    about: str
    text: str

    @property
    def at(self) -> Place:
        """Where it stands: looked up for the few that a problem is found in."""
        return self.thing.place(self.field.name)


def texts(handbook: model.Handbook) -> Iterator[Said]:
    """Every text of the content's YAML files."""
    for owner, about in owners(handbook):
        yield from texts_of(owner, about)


def texts_of(owner: Standing, about: str) -> list[Said]:
    """Every text of one of `owners`."""
    return kept(f"texts {about}", (owner,), lambda: _with_those_in(owner, about, []))


def owners(handbook: model.Handbook) -> Iterator[tuple[Standing, str]]:
    """Everything that holds texts, each with the id that `allow` names for them."""
    yield handbook.head, ""
    for held in (handbook.groups, handbook.state, handbook.zones, handbook.messages, handbook.parts, handbook.tools,
                 handbook.symptoms, handbook.words):
        for key, one in held.items():
            yield one, key
    for one in (*handbook.machines.values(), *handbook.procedures.values()):
        yield one, ""


def _with_those_in(thing: Any, about: str, found: list[Said]) -> list[Said]:
    """`found`, to which every text in `thing` was added."""
    if isinstance(thing, Standing):
        about = thing.id if isinstance(thing, model.Step) else about
        said, held = _fields(type(thing))
        for one in said:
            value = getattr(thing, one.attribute)
            if value:
                found.append(Said(thing, one, about, value))
        for attribute in held:
            value = getattr(thing, attribute)
            if value and not isinstance(value, str):
                _with_those_in(value, about, found)
    elif isinstance(thing, (dict, list, tuple)):
        for value in thing.values() if isinstance(thing, dict) else thing:
            if not isinstance(value, str):
                _with_those_in(value, about, found)
    return found


@cache
def _fields(cls: type) -> tuple[list[Field], list[str]]:
    """The fields of a class that are texts, and the attributes that may hold others that have some."""
    said = [Field(name, f.name, (cls.__name__, name) in INSTRUCTS, (cls.__name__, name) in DESCRIBES)
            for name, f in declared(cls).items() if isinstance(f.metadata["type"], Text)]
    return said, [attribute for attribute in holding(cls) if attribute not in ("groups", "allow")]
