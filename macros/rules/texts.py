"""Every text that a reader sees, with what it belongs to: what the rules of wording go through."""

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from macros import model
from macros.fields import Standing, Text, declared
from macros.problems import At

#: Texts that tell what to do, and texts that describe; names and headings are neither.
INSTRUCTS = {("Step", "do"), ("Step", "text"), ("Message", "avoid"), ("Symptom", "first_test"), ("Check", "title")}
DESCRIBES = {
    ("Step", "look_for"), ("Branch", "say"), ("Message", "hazard"), ("Message", "harm"), ("Part", "does"),
    ("Part", "worn_when"), ("Symptom", "means"), ("Procedure", "achieves"), ("Procedure", "done_when"), ("Word", "says"),
    ("Machine", "says"), ("Tool", "says"), ("Group", "says"),
}


@dataclass(frozen=True)
class Said:
    """One text: whose field it is, where it stands, the id in its file that `allow` names, the words."""

    owner: str
    field: str
    at: At
    about: str
    text: str

    @property
    def instructs(self) -> bool:
        return (self.owner, self.field) in INSTRUCTS

    @property
    def describes(self) -> bool:
        return (self.owner, self.field) in DESCRIBES


def texts(handbook: model.Handbook) -> Iterator[Said]:
    """Every text of the content's YAML files."""
    yield from _inside(handbook.head, "")
    for held in (handbook.groups, handbook.state, handbook.zones, handbook.messages, handbook.parts, handbook.tools,
                 handbook.symptoms, handbook.words):
        for key, one in held.items():
            yield from _inside(one, key)
    for one in (*handbook.machines.values(), *handbook.procedures.values()):
        yield from _inside(one, "")


def _inside(thing: Any, about: str) -> Iterator[Said]:
    if isinstance(thing, Standing):
        about = thing.id if isinstance(thing, model.Step) else about
        for name, f in declared(type(thing)).items():
            value = getattr(thing, f.name)
            if isinstance(f.metadata["type"], Text) and value:
                yield Said(type(thing).__name__, name, thing.place(name), about, value)
        held = [getattr(thing, f.name) for f in dataclasses.fields(thing)
                if f.name not in ("at", "places", "figures", "groups", "allow")]
        for value in held:
            yield from _inside(value, about)
    elif isinstance(thing, dict):
        for value in thing.values():
            yield from _inside(value, about)
    elif isinstance(thing, list | tuple):
        for value in thing:
            yield from _inside(value, about)
