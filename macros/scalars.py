"""How a single value of the content is read: text, number, date, quantity, the id of something else.

Each type reads a node and either returns a value or adds a problem and returns its `empty` value, so
that one mistake does not hide the next. Nothing is typed by YAML: a type is given the text as written.
"""

import datetime
import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from calculators import quantity as q
from macros.load import Node
from macros.problems import Place, Problem, meant
from macros.words import _, mark

ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
#: A number as the content writes it: what Python and YAML alike read as a decimal number.
DECIMAL = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?")
_WHOLE = re.compile(r"[0-9]{1,9}")
_AMOUNT = re.compile(r"[0-9]{1,9}(\.[0-9]+)?")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")

#: What an id may name, in words. An object's own id and a step of the same procedure are named here too.
KINDS = {
    "part": mark("the id of a part"),
    "symptom": mark("the id of a symptom"),
    "guide": mark("the id of a guide"),
    "tool": mark("the id of a tool"),
    "zone": mark("the id of a zone"),
    "message": mark("the id of a safety message"),
    "procedure": mark("the id of a procedure"),
    "step": mark("the id of a step of this procedure"),
    "machine": mark("the id of a machine"),
    "group": mark("the id of a group"),
    "drawing": mark("the name of a drawing"),
    "calculator": mark("the id of a calculator"),
    "language": mark("the code of a language, such as en"),
    "own": mark("an id of its own"),
}


class Reading:
    """What is being read: collects problems, and the places of values for later rules."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def refuse(self, at: Place, rule: str, found: str, expected: str, hint: str = "") -> None:
        """Add a problem."""
        self.problems.append(Problem(at, rule, found, expected, hint))


class Type:
    """Reads one node; `empty` stands in where the node cannot be read."""

    empty: Any = None
    expects = ""

    def read(self, node: Node, reading: Reading, places: dict[str, Place], path: str) -> Any:
        """The value of `node`; its place (and those of its parts) go into `places` under `path`."""
        places[path] = node.at
        if not node.text or node.void:  # a list and a mapping have no text either
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
        reading.refuse(
            node.at,
            "type",
            _("found {found}").format(found=node.says()),
            _("expected {what}").format(what=self.words()),
            hint or _("write it that way"),
        )
        return self.empty

    def words(self) -> str:
        """What is expected, in words."""
        return self.expects


class Text(Type):
    """A text, as it was written."""

    empty = ""

    def read(self, node: Node, reading: Reading, places: dict[str, Place], path: str) -> str:
        # Half of all values are texts: what `value` takes needs not be asked.
        places[path] = node.at
        return node.text if node.text and not node.void else self.wrong(node, reading)

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
        if ID.fullmatch(text):
            return text
        if "/" in text or "\\" in text or ".." in text:
            raise ValueError(_("a path is not taken: name it by its id; nothing outside the content is read"))
        raise ValueError(_("ids are small letters, digits and hyphens"))

    def words(self) -> str:
        return _(KINDS[self.to])


@dataclass(frozen=True)
class Whole(Type):
    """A whole number from `low` to `high`."""

    low: int = 0
    high: int = 1_000_000
    empty = 0

    def value(self, text: str) -> int:
        if not _WHOLE.fullmatch(text) or not self.low <= int(text) <= self.high:
            raise ValueError("")
        return int(text)

    def words(self) -> str:
        return _("a whole number from {low} to {high}").format(low=self.low, high=self.high)


@dataclass(frozen=True)
class Version(Whole):
    """The version of the content model that a folder is written for; only that of this program can be read."""

    def wrong(self, node: Node, reading: Reading, hint: str = "") -> int:
        """An older folder is brought up to date by a verb, a newer one needs a newer program."""
        if not _WHOLE.fullmatch(node.text) or node.kind != "text":
            return super().wrong(node, reading, hint)
        older = int(node.text) < self.low
        reading.refuse(
            node.at,
            "model-version",
            _("written for version {found} of the content model").format(found=node.text),
            _("version {known}, which this program reads").format(known=self.high),
            _("bring the folder up to date: python3 handbook.py renew, with --content as here (it shows first what it will "
              "change)") if older
            else _("the folder is newer than this program: get a newer program; nothing of the folder was changed"),
        )
        return self.empty


@dataclass(frozen=True)
class Number(Type):
    """A decimal number from `low` to `high`."""

    low: float
    high: float
    empty = 0.0

    def value(self, text: str) -> str:
        if not DECIMAL.fullmatch(text):
            raise ValueError(_("write it as a decimal number with a point"))
        if not self.low <= float(text) <= self.high:
            raise ValueError("")
        return text

    def words(self) -> str:
        return _("a number from {low} to {high}").format(low=q.write(self.low, 6), high=q.write(self.high, 6))


class Money(Type):
    """An amount of money, kept as a decimal."""

    empty = Decimal(0)

    def value(self, text: str) -> Decimal:
        if not _AMOUNT.fullmatch(text):
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
        if not _DATE.fullmatch(text):
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
            what=_(q.QUANTITIES[self.quantity].title),
            low=q.write(self.low, 6),
            high=q.write(self.high, 6),
            unit=q.pretty(self.unit),
            example=f"{self.high:g} {self.unit}",
        )


@dataclass(frozen=True)
class Checked(Type):
    """A text that `check` accepts; `check` raises `ValueError` for another.

    `pattern` is what of it an editor can hold: a regular expression that every accepted text matches.
    """

    check: Callable[[str], Any]
    what: str
    pattern: str
    empty = ""

    def value(self, text: str) -> str:
        self.check(text)
        return text

    def words(self) -> str:
        return _(self.what)
