"""A calculator described as data: the fields it asks for, the figures it answers, its result and refusals.

The form in the page, ``handbook.py calc``, the JSON Schema and the check of inputs are all made from
these descriptions; `form` reads inputs by them.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

KINDS = ("quantity", "place", "number", "integer", "decimal", "text", "choice", "date", "flag", "thread", "list",
         "object")


@dataclass(frozen=True)
class Field:
    """One thing asked for.

    `kind` is one of `KINDS`. For a quantity, `quantity` names a member of `quantity.QUANTITIES`, `unit`
    is the default unit and `units` the units offered for switching (all units of the quantity are
    understood when typed). A place is one of its `choices` (left, right ...) or else a quantity. `low` and `high` are limits in the default unit, inclusive unless `above` is
    true (then the value must exceed `low`). `what` completes the sentence "takes ...", for example
    "a vacuum". `default` is used when nothing is given; without it a required field is refused and an
    optional one is `None`. `machine` is the dotted path of the machine's figure that fills the field.
    `choices` are pairs (value, title). A list has `fields` for its rows, and `least` and `most` rows; an
    object has `fields` of its own. What a `private` field holds is said to the office alone (`private.py`).
    """

    name: str
    title: str
    kind: str
    help: str = ""
    quantity: str = ""
    unit: str = ""
    units: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    above: bool = False
    what: str = ""
    default: Any = None
    required: bool = False
    choices: tuple[tuple[str, str], ...] = ()
    fields: "tuple[Field, ...]" = ()
    least: int = 0
    most: int = 50
    machine: str = ""
    row_title: str = ""
    private: bool = False


@dataclass(frozen=True)
class Refusal:
    """One input that cannot be used: the path of the field, what it got, and what it takes."""

    field: str
    got: str
    takes: str


class Refused(Exception):
    """Raised with every refusal at once; nothing was calculated."""

    def __init__(self, refusals: Sequence[Refusal]):
        super().__init__("; ".join(f"{r.field}: {r.got!r}: {r.takes}" for r in refusals))
        self.refusals = list(refusals)


@dataclass(frozen=True)
class Span:
    """A figure with the range that the uncertainty of the readings allows, all in SI."""

    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Figure:
    """How one output figure is called and written: its quantity, the unit it is given in, its places.

    `kind` "decimal" is money (a text in the JSON, in the currency's own digits), "count" a plain whole
    number; everything else is a number with a unit. `decimals` are for people; the JSON holds 10 significant digits.
    """

    name: str
    title: str
    quantity: str = "ratio"
    unit: str = "1"
    decimals: int | None = None
    kind: str = "number"
    show: str = ""  # unit shown to a person when it differs from the unit of the JSON, such as %
    minor: bool = False  # said in the details, not among the large figures
    office: bool = False  # tells what a repair costs us or brings: never on the sheet that a customer gets


@dataclass(frozen=True)
class Table:
    """One output table: its columns described as figures; `words` gives codes their titles."""

    name: str
    title: str
    columns: tuple[Figure, ...]
    words: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Lookup:
    """A table of results made when the page is built, for a reader whose browser cannot calculate.

    `rows` are (label, inputs laid over the worked example); `figures` names the columns.
    """

    title: str
    label: str
    rows: tuple[tuple[str, dict], ...]
    figures: tuple[str, ...]


@dataclass
class Working:
    """One line of how it was worked out: formula, the numbers put in, the result."""

    formula: str
    numbers: str
    result: str


@dataclass
class Result:
    """What a calculator found. Figures and table cells are SI numbers, `Span`, `Decimal`, text or flags."""

    outcome: str
    answer: str
    figures: dict[str, Any] = field(default_factory=dict)
    tables: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    workings: list[Working] = field(default_factory=list)
    sources: list[str] = field(default_factory=list)
    picture: str = ""


@dataclass(frozen=True)
class Calculator:
    """A calculator described: what it asks, how it answers, its limits and sources.

    `run` takes the values read from the fields (SI, by name) and returns a `Result`; it raises `Refused`
    for a combination without an answer. `example` is the worked example in the page; `examples` are
    further named inputs, used by tests. `outcomes` are (code, title).
    """

    id: str
    question: str
    summary: str
    fields: tuple[Field, ...]
    figures: tuple[Figure, ...]
    outcomes: tuple[tuple[str, str], ...]
    run: Callable[[dict[str, Any]], Result]
    example: dict[str, Any]
    examples: tuple[tuple[str, dict], ...] = ()
    tables: tuple[Table, ...] = ()
    formulas: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    lookup: Lookup | None = None
