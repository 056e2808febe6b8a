"""How a value of the content is read: the types that the model's fields are declared with.

Each type reads a node and either returns a value or adds a problem and returns its `empty` value, so
that one mistake does not hide the next. The model (`macros.model`) is declared with these types alone,
which is why a JSON Schema can be made from it.
"""

import dataclasses
import datetime
import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any

from calculators import quantity as q
from macros.load import Node
from macros.problems import At, Problem, meant
from macros.words import _, mark

ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")

#: What an id may name, in words. An object's own id and a step of the same procedure are named here too.
KINDS = {
    "part": mark("the id of a part"), "tool": mark("the id of a tool"), "zone": mark("the id of a zone"),
    "message": mark("the id of a safety message"), "procedure": mark("the id of a procedure"),
    "step": mark("the id of a step of this procedure"), "machine": mark("the id of a machine"),
    "group": mark("the id of a group"), "drawing": mark("the name of a drawing"),
    "calculator": mark("the id of a calculator"), "language": mark("the code of a language, such as en"),
    "own": mark("an id of its own"),
}


class Reading:
    """What is being read: collects problems, and the places of values for later rules."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def refuse(self, at: At, rule: str, found: str, expected: str, hint: str = "") -> None:
        """Add a problem."""
        self.problems.append(Problem(at, rule, found, expected, hint))


class Type:
    """Reads one node; `empty` stands in where the node cannot be read."""

    empty: Any = None
    expects = ""

    def read(self, node: Node, reading: Reading, places: dict[str, At], path: str) -> Any:
        """The value of `node`; its place (and those of its parts) go into `places` under `path`."""
        places[path] = node.at
        if node.kind != "text" or not node.text:
            return self.wrong(node, reading)
        try:
            return self.value(node.text)
        except ValueError as error:
            return self.wrong(node, reading, str(error))

    def value(self, text: str) -> Any:
        """The value of a scalar's text. Raises `ValueError` (its text becomes the hint)."""
        raise NotImplementedError

    def wrong(self, node: Node, reading: Reading, hint: str = "") -> Any:
        """Refuse `node` and return what stands in for it."""
        reading.refuse(node.at, "type", _("found {found}").format(found=node.says()),
                       _("expected {what}").format(what=self.words()), hint)
        return self.empty

    def words(self) -> str:
        """What is expected, in words."""
        return self.expects


class Text(Type):
    """A text, as it was written."""

    empty = ""

    def value(self, text: str) -> str:
        return text

    def words(self) -> str:
        return _("a text")


@dataclass(frozen=True)
class Ref(Type):
    """The id of something else; `to` names its kind (see `macros.rules.references`)."""

    to: str
    empty = ""

    def value(self, text: str) -> str:
        if "/" in text or "\\" in text or ".." in text:
            raise ValueError(_("a path is not taken: name it by its id; nothing outside the content is read"))
        if not ID.fullmatch(text):
            raise ValueError(_("ids are small letters, digits and hyphens"))
        return text

    def words(self) -> str:
        return _(KINDS[self.to])


@dataclass(frozen=True)
class Whole(Type):
    """A whole number from `low` to `high`."""

    low: int = 0
    high: int = 1_000_000
    empty = 0

    def value(self, text: str) -> int:
        if not re.fullmatch(r"\d{1,9}", text) or not self.low <= int(text) <= self.high:
            raise ValueError("")
        return int(text)

    def words(self) -> str:
        return _("a whole number from {low} to {high}").format(low=self.low, high=self.high)


@dataclass(frozen=True)
class Number(Type):
    """A decimal number from `low` to `high`."""

    low: float
    high: float
    empty = 0.0

    def value(self, text: str) -> str:
        number = q.parse_number(text)
        if not self.low <= number <= self.high:
            raise ValueError("")
        return text

    def words(self) -> str:
        return _("a number from {low} to {high}").format(low=q.write(self.low, 6), high=q.write(self.high, 6))


class Money(Type):
    """An amount of money, kept as a decimal."""

    empty = Decimal(0)

    def value(self, text: str) -> Decimal:
        if not re.fullmatch(r"\d{1,9}(\.\d{1,4})?", text):
            raise ValueError(_("write it with a decimal point and without the currency"))
        try:
            return Decimal(text)
        except InvalidOperation:
            raise ValueError("") from None

    def words(self) -> str:
        return _("an amount such as 34.50")


class Date(Type):
    """A date, year-month-day."""

    empty = datetime.date(1970, 1, 1)

    def value(self, text: str) -> datetime.date:
        if len(text) != 10:
            raise ValueError("")
        try:
            return datetime.date.fromisoformat(text)
        except ValueError:
            raise ValueError("") from None

    def words(self) -> str:
        return _("a date written year-month-day, such as 2026-11-25")


class Flag(Type):
    """``true`` or ``false``."""

    empty = False

    def value(self, text: str) -> bool:
        if text not in ("true", "false"):
            raise ValueError("")
        return text == "true"

    def words(self) -> str:
        return _("true or false")


@dataclass(frozen=True)
class Choice(Type):
    """One of a few words."""

    words_taken: tuple[str, ...]
    empty = ""

    def value(self, text: str) -> str:
        if text not in self.words_taken:
            raise ValueError(meant(text, self.words_taken))
        return text

    def words(self) -> str:
        return _("one of: {choices}").format(choices=", ".join(self.words_taken))


@dataclass(frozen=True)
class Measure(Type):
    """A quantity with its unit, kept as written; `low` and `high` are in `unit`."""

    quantity: str
    unit: str
    low: float
    high: float
    empty = ""

    def value(self, text: str) -> str:
        number, symbol = q.split(text)
        if not number or (not symbol and self.unit != "1"):
            raise ValueError(_("write the number with its unit"))
        si = q.parse(text, self.quantity, self.unit)
        slack = 1e-9 * max(abs(self.low), abs(self.high))
        if not self.low - slack <= q.from_si(si, self.quantity, self.unit) <= self.high + slack:
            raise ValueError("")
        return text

    def words(self) -> str:
        return _("{what} from {low} to {high} {unit}, written such as {example}").format(
            what=_(q.QUANTITIES[self.quantity].title), low=q.write(self.low, 6), high=q.write(self.high, 6),
            unit=q.pretty(self.unit), example=f"{self.high:g} {self.unit}")


@dataclass(frozen=True)
class Checked(Type):
    """A text that `check` accepts; `check` raises `ValueError` for another."""

    check: Callable[[str], Any]
    what: str
    empty = ""

    def value(self, text: str) -> str:
        self.check(text)
        return text

    def words(self) -> str:
        return _(self.what)


@dataclass(frozen=True)
class ListOf(Type):
    """A list whose items are all of one type, with at least `least` of them."""

    item: Type
    least: int = 0
    empty = ()

    def read(self, node: Node, reading: Reading, places: dict[str, At], path: str) -> tuple:
        places[path] = node.at
        if node.kind != "list" or len(node.items) < self.least:
            return self.wrong(node, reading)
        return tuple(self.item.read(item, reading, places, f"{path}/{number}")
                     for number, item in enumerate(node.items))

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

    def read(self, node: Node, reading: Reading, places: dict[str, At], path: str) -> dict[str, Any]:
        places[path] = node.at
        if node.kind != "map" or len(node.entries) < self.least:
            return self.wrong(node, reading)
        made = {}
        for key, (at, value) in node.entries.items():
            if not ID.fullmatch(key):
                reading.refuse(at, "id", _('found the name "{name}"').format(name=key[:60]),
                               _("names are small letters, digits and hyphens"))
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

    def read(self, node: Node, reading: Reading, places: dict[str, At], path: str) -> Any:
        self._note(node, places, path)
        return node.plain() if node.kind == "map" else self.wrong(node, reading)

    def _note(self, node: Node, places: dict[str, At], path: str) -> None:
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

    def read(self, node: Node, reading: Reading, places: dict[str, At], path: str) -> Any:
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


def declared(cls: type) -> dict[str, dataclasses.Field]:
    """The declared fields of a model class, by their names in the content."""
    return {f.metadata["key"] or f.name: f for f in dataclasses.fields(cls) if "type" in f.metadata}


@dataclass
class Placed_:
    """Base of every object of the model: where it stands, and where its values stand."""

    at: At = field(default=At(), kw_only=True, repr=False, compare=False)
    places: Mapping[str, At] = field(default_factory=dict, kw_only=True, repr=False, compare=False)

    def place(self, path: str) -> At:
        """Where the value at `path` stands ("hands/0"), or the object itself."""
        return self.places.get(path, self.at)


def build(cls: type, node: Node, reading: Reading, short: str = "", also: Collection[str] = ()) -> Any:
    """An object of `cls` from a mapping; unknown, missing and wrong entries become problems.

    A bare text fills the field `short`. `also` names keys that somebody else reads from the same mapping.
    """
    fields = declared(cls)
    if node.kind == "text" and short:
        places: dict[str, At] = {}
        value = fields[short].metadata["type"].read(node, reading, places, short)
        return cls(**{fields[short].name: value}, at=node.at, places=places)
    if node.kind != "map":
        reading.refuse(node.at, "type", _("found {found}").format(found=node.says()),
                       _("expected {what}").format(what=Object(cls).words()))
        return cls(at=node.at)
    places, values = {}, {}
    for key, (at, value) in node.entries.items():
        if key not in fields:
            unknown_key(reading, key, at, [*fields, *also])
            continue
        values[fields[key].name] = fields[key].metadata["type"].read(value, reading, places, key)
    for key, f in fields.items():
        if f.metadata["required"] and f.name not in values:
            reading.refuse(node.at, "missing-key", _('the key "{key}" is missing').format(key=key),
                           _("expected {what}").format(what=f.metadata["type"].words()))
    return cls(**values, at=node.at, places=places)


def unknown_key(reading: Reading, key: str, at: At, known: Collection[str]) -> None:
    """Refuse a key that nothing reads, with the one that was meant."""
    reading.refuse(at, "unknown-key", _('found the unknown key "{key}"').format(key=key[:60]), "", meant(key, known))
