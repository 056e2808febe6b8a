"""How the content's lists, mappings and objects are read: what the model's fields are declared with.

The model (`macros.model`) is declared with these types and those of `macros.scalars` alone, which is why
a JSON Schema can be made from it.
"""

import dataclasses
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType
from typing import Any

from macros.load import Node
from macros.problems import At, Place, meant
from macros.scalars import (
    DECIMAL,
    ID,
    KINDS,
    Checked,
    Choice,
    Date,
    Flag,
    Measure,
    Money,
    Number,
    Reading,
    Ref,
    Text,
    Type,
    Version,
    Whole,
)
from macros.words import _

__all__ = [
    "Checked",
    "Choice",
    "DECIMAL",
    "Date",
    "Flag",
    "ID",
    "KINDS",
    "ListOf",
    "MapOf",
    "Measure",
    "Money",
    "Number",
    "Object",
    "Standing",
    "Plain",
    "Reading",
    "Ref",
    "Text",
    "Type",
    "Version",
    "Whole",
    "build",
    "declared",
    "holding",
    "of",
    "unknown_key",
]


@dataclass(frozen=True)
class ListOf(Type):
    """A list whose items are all of one type, with at least `least` of them."""

    item: Type
    least: int = 0
    empty = ()

    def read(self, node: Node, reading: Reading, places: dict[str, Place], path: str) -> tuple:
        places[path] = node.at
        if node.kind != "list" or len(node.items) < self.least:
            return self.wrong(node, reading)
        return tuple(
            self.item.read(item, reading, places, f"{path}/{number}")
            for number, item in enumerate(node.items)
        )

    def words(self) -> str:
        return _("a list, each item {what}").format(what=self.item.words())


@dataclass(frozen=True)
class MapOf(Type):
    """A mapping from ids to values of one type."""

    item: Type
    what: str = ""
    least: int = 0

    @property
    def empty(self) -> dict:
        return {}

    def read(self, node: Node, reading: Reading, places: dict[str, Place], path: str) -> dict[str, Any]:
        places[path] = node.at
        if node.kind != "map" or len(node.entries) < self.least:
            return self.wrong(node, reading)
        made = {}
        for key, (at, value) in node.entries.items():
            if not ID.fullmatch(key):
                reading.refuse(
                    at,
                    "id",
                    _('found the name "{name}"').format(name=key[:60]),
                    _("names are small letters, digits and hyphens"),
                )
            made[key] = self.item.read(value, reading, places, f"{path}/{key}")
            places[f"{path}/{key}"] = at
        return made

    def words(self) -> str:
        return _(self.what) if self.what else _("a mapping of names to values")


class Plain(Type):
    """A mapping of names to plain values; every scalar stays text."""

    @property
    def empty(self) -> dict:
        return {}

    def read(self, node: Node, reading: Reading, places: dict[str, Place], path: str) -> Any:
        self._note(node, places, path)
        return node.plain() if node.kind == "map" else self.wrong(node, reading)

    def _note(self, node: Node, places: dict[str, Place], path: str) -> None:
        places[path] = node.at
        for number, item in enumerate(node.items):
            self._note(item, places, f"{path}/{number}")
        for key, (_at, value) in node.entries.items():
            self._note(value, places, f"{path}/{key}")

    def words(self) -> str:
        return _("a mapping of names to values")


@dataclass(frozen=True)
class Object(Type):
    """An object of the model: a dataclass whose fields were declared with `of`."""

    cls: type
    short: str = ""  # the field that a bare scalar fills

    @property
    def empty(self) -> Any:
        return None

    def read(self, node: Node, reading: Reading, places: dict[str, Place], path: str) -> Any:
        places[path] = node.at
        return build(self.cls, node, reading, self.short)

    def words(self) -> str:
        return _("a mapping with {names}").format(names=", ".join(declared(self.cls)))


def of(kind: Type, required: bool = False, default: Any = dataclasses.MISSING, key: str = "") -> Any:
    """Declare a field of the model with its type; `key` is its name in the content where that is another."""
    if default is dataclasses.MISSING:
        default = kind.empty
    metadata = {"type": kind, "required": required, "key": key}
    if isinstance(default, dict):
        return field(default_factory=lambda: dict(default), metadata=metadata)
    return field(default=default, metadata=metadata)


@cache
def declared(cls: type) -> Mapping[str, dataclasses.Field]:
    """The declared fields of a model class, by their names in the content."""
    return MappingProxyType({f.metadata["key"] or f.name: f for f in dataclasses.fields(cls) if "type" in f.metadata})


@cache
def holding(cls: type) -> tuple[str, ...]:
    """The attributes of a model class that may hold other objects of the model, in lists and mappings too."""
    def may(kind: Type) -> bool:
        return isinstance(kind, Object) or isinstance(kind, ListOf | MapOf) and may(kind.item)

    others = ("at", "places", "id", "figures")  # neither declared nor objects
    return tuple(f.name for f in dataclasses.fields(cls)
                 if (may(f.metadata["type"]) if "type" in f.metadata else f.name not in others))


@cache
def _read_by(cls: type) -> tuple[dict[str, tuple[str, Type]], list[str]]:
    """What `build` asks of a class for every object: attribute and type by the name in the content; the names required."""
    fields = declared(cls)
    return ({key: (f.name, f.metadata["type"]) for key, f in fields.items()},
            [key for key, f in fields.items() if f.metadata["required"]])


@dataclass
class Standing:
    """Base of every object of the model: where it stands, and where its values stand."""

    at: Place = field(default=At(), kw_only=True, repr=False, compare=False)
    places: Mapping[str, Place] = field(default_factory=dict, kw_only=True, repr=False, compare=False)

    def place(self, path: str) -> Place:
        """Where the value at `path` stands ("hands/0"), or the object itself."""
        return self.places.get(path, self.at)

    @property
    def line(self) -> int:
        """The line where it begins."""
        return self.at[1]


def build(cls: type, node: Node, reading: Reading, short: str = "", also: Collection[str] = ()) -> Any:
    """An object of `cls` from a mapping; unknown, missing and wrong entries become problems.

    A bare text fills the field `short`. `also` names keys that somebody else reads from the same mapping.
    """
    fields, required = _read_by(cls)
    if node.kind == "text" and short:
        places: dict[str, Place] = {}
        attribute, kind = fields[short]
        return cls(**{attribute: kind.read(node, reading, places, short)}, at=node.at, places=places)
    if node.kind != "map":
        reading.refuse(
            node.at,
            "type",
            _("found {found}").format(found=node.says()),
            _("expected {what}").format(what=Object(cls).words()),
        )
        return cls(at=node.at)
    places, values = {}, {}
    for key, (at, value) in node.entries.items():
        if key not in fields:
            unknown_key(reading, key, at, [*fields, *also])
            continue
        attribute, kind = fields[key]
        values[attribute] = kind.read(value, reading, places, key)
    for key in required:
        if fields[key][0] not in values:
            reading.refuse(
                node.at,
                "missing-key",
                _('the key "{key}" is missing').format(key=key),
                _("expected {what}").format(what=fields[key][1].words()),
                _("add the key"),
            )
    return cls(**values, at=node.at, places=places)


def unknown_key(reading: Reading, key: str, at: Place, known: Collection[str]) -> None:
    """Refuse a key that nothing reads, with the one that was meant."""
    reading.refuse(
        at, "unknown-key", _('found the unknown key "{key}"').format(key=key[:60]), _("expected a key that is read here"), meant(key, known)
    )
