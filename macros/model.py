"""The content's types: what a handbook is made of. Declared with `macros.fields`, nothing else."""

import re
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from pathlib import Path
from typing import Any

from macros.fields import (
    Checked, Choice, Date, Flag, ListOf, MapOf, Measure, Money, Number, Object, Standing, Plain, Ref, Text, Version, Whole, of,
)
from macros.handbook_model import Accent as Accent, Moved as Moved
from macros.machine_model import FIGURES as FIGURES, Reading as Reading
from macros.problems import Place
from macros.synonym_model import Synonym as Synonym, Synonyms as Synonyms
from macros.words import _, mark
from macros.writing_model import Allowed as Allowed, Wording as Wording

#: The content model that this program reads.
MODEL = 2

SIGNALS = ("danger", "warning", "caution", "notice")


_ALLOW = ListOf(Object(Allowed))


@dataclass
class Group(Standing):
    """What a reader is here to do: a heading of the home page."""

    title: str = of(Text(), required=True)
    says: str = of(Text())


@dataclass
class StateValue(Standing):
    """One value of a state variable: its words, whether it is the unsafe one, what it needs to be true."""

    says: str = of(Text(), required=True)
    alert: bool = of(Flag())
    needs: dict[str, str] = of(MapOf(Text(), mark("a mapping of state variables to values")))


@dataclass
class StateVariable(Standing):
    """A part of the machine's state, such as the key (in, out)."""

    title: str = of(Text(), required=True)
    shown: bool = of(Flag())
    values: dict[str, StateValue] = of(MapOf(Object(StateValue, "says"), least=2), required=True)


@dataclass
class Running(Standing):
    """The state in which hands may go only into zones that allow it."""

    state: dict[str, str] = of(MapOf(Text(), mark("a mapping of state variables to values"), least=1), required=True)


@dataclass
class Zone(Standing):
    """A place where hands go, the state that it needs and the message that must stand before the step."""

    title: str = of(Text(), required=True)
    needs: dict[str, str] = of(MapOf(Text(), mark("a mapping of state variables to values")))
    message: str = of(Ref("message"), required=True)
    while_running: str = of(Choice(("allowed", "never")), default="never")
    moving_parts: bool = of(Flag())


@dataclass
class Message(Standing):
    """A safety message: signal word, hazard, what can happen, how to avoid it, signs."""

    signal: str = of(Choice(SIGNALS), required=True)
    hazard: str = of(Text(), required=True)
    harm: str = of(Text(), required=True)
    avoid: str = of(Text(), required=True)
    signs: tuple[str, ...] = of(ListOf(Text()))


@dataclass
class Part(Standing):
    """A part: number, what it does, how to tell that it is worn, price,
    the shelf where it is kept; `cost` never reaches a customer."""

    title: str = of(Text(), required=True)
    number: str = of(Text(), required=True)
    does: str = of(Text(), required=True)
    worn_when: str = of(Text())
    unit: str = of(Text())
    shelf: str = of(Text())
    price: Decimal | None = of(Money(), default=None)
    cost: Decimal | None = of(Money(), default=None)
    drawing: str = of(Ref("drawing"))
    id: str = ""


@dataclass
class Tool(Standing):
    """A tool or a piece of protection that a technician brings."""

    title: str = of(Text(), required=True)
    says: str = of(Text())
    id: str = ""


@dataclass
class Cause(Standing):
    """A cause of what is seen: how often it occurs, and the procedure that mends it with its minutes."""

    title: str = of(Text(), required=True)
    share: str = of(Number(0, 1_000_000), required=True)
    mends: str = of(Ref("procedure"), required=True)
    minutes: str = of(Number(0, 10_000), required=True)


@dataclass
class Check(Standing):
    """A check: its minutes, its results, how likely each is under each cause (percent), and where it is told."""

    title: str = of(Text(), required=True)
    minutes: str = of(Number(0.1, 1_000), required=True)
    go: str = of(Ref("procedure"), required=True)
    results: dict[str, str] = of(MapOf(Text(), mark("a mapping of results to their words"), least=2), required=True)
    likely: dict[str, dict[str, str]] = of(
        MapOf(MapOf(Number(0, 100), mark("a mapping of results to percentages")), mark("a mapping of causes to results"),
              least=1), required=True)


@dataclass
class Symptom(Standing):
    """What is seen on the floor: its causes, the checks that tell them apart, the procedures to try in order."""

    title: str = of(Text(), required=True)
    where: str = of(Text())
    drawing: str = of(Ref("drawing"), required=True)
    means: str = of(Text(), required=True)
    first_test: str = of(Text(), required=True)
    go: tuple[str, ...] = of(ListOf(Ref("procedure"), least=1), required=True)
    causes: dict[str, Cause] = of(MapOf(Object(Cause), least=2), required=True)
    checks: dict[str, Check] = of(MapOf(Object(Check), least=1), required=True)
    id: str = ""


@dataclass
class Care(Standing):
    """Which procedure is done daily, weekly and monthly."""

    daily: str = of(Ref("procedure"))
    weekly: str = of(Ref("procedure"))
    monthly: str = of(Ref("procedure"))


@dataclass
class MachineHead(Standing):
    """What a machine's file holds besides its figures."""

    title: str = of(Text(), required=True)
    kind: str = of(Text(), required=True)
    says: str = of(Text())
    drawing: str = of(Ref("drawing"))
    parts: tuple[str, ...] = of(ListOf(Ref("part")))
    care: Care | None = of(Object(Care))
    allow: tuple[Allowed, ...] = of(_ALLOW)


@dataclass
class Machine(MachineHead):
    """A machine: `figures` holds the sections of `FIGURES` as text, just as they were written."""

    figures: dict[str, dict[str, Any]] = field(default_factory=dict)
    id: str = ""

    def figure(self, path: str) -> Any:
        """The figure at a dotted path such as ``vacuum.sealed``: text, a list of dicts, or None."""
        section, _dot, name = path.partition(".")
        return self.figures.get(section, {}).get(name)


@dataclass
class Branch(Standing):
    """What to do when it is not so: a sentence, another procedure (`back`: return here), or a step of this one."""

    say: str = of(Text())
    go: str = of(Ref("procedure"))
    back: bool = of(Flag())
    to: str = of(Ref("step"))


@dataclass
class Use(Standing):
    """A calculator that stands beside a step, with values put in beforehand."""

    id: str = of(Ref("calculator"), required=True)
    inputs: dict[str, Any] = of(Plain(), key="with")


@dataclass
class Step(Standing):
    """One step: what to do, where hands go, what state it sets, needs and (the last one) leaves."""

    id: str = of(Ref("own"), required=True)
    do: str = of(Text(), required=True)
    text: str = of(Text(), required=True)
    look_for: str = of(Text())
    if_not: Branch | None = of(Object(Branch, "say"))
    hands: tuple[str, ...] = of(ListOf(Ref("zone")))
    sets: dict[str, str] = of(MapOf(Text(), mark("a mapping of state variables to values")))
    needs: dict[str, str] = of(MapOf(Text(), mark("a mapping of state variables to values")))
    leaves: dict[str, str] = of(MapOf(Text(), mark("a mapping of state variables to values")))
    tools: tuple[str, ...] = of(ListOf(Ref("tool")))
    parts: tuple[str, ...] = of(ListOf(Ref("part")))
    calculator: Use | None = of(Object(Use, "id"))
    figure: str = of(Ref("drawing"))
    minutes: int = of(Whole(0, 600))
    wait: str = of(Measure("time", "s", 1, 7200))


@dataclass
class Heading(Standing):
    """A heading among the steps: part A, B, C."""

    title: str = of(Text(), required=True, key="part")


@dataclass
class Placed(Standing):
    """A safety message where it stands among the steps."""

    message: str = of(Ref("message"), required=True)


@dataclass
class ProcedureHead(Standing):
    """What a procedure's file holds besides its steps."""

    title: str = of(Text(), required=True)
    group: str = of(Ref("group"), required=True)
    achieves: str = of(Text(), required=True)
    minutes: int = of(Whole(1, 1000), required=True)
    machines: tuple[str, ...] = of(ListOf(Ref("machine")))
    first: tuple[str, ...] = of(ListOf(Ref("procedure")))
    starts: dict[str, str] = of(MapOf(Text(), mark("a mapping of state variables to values")))
    bring: tuple[str, ...] = of(ListOf(Ref("tool")))
    figure: str = of(Ref("drawing"))
    done_when: str = of(Text(), required=True)
    next: tuple[str, ...] = of(ListOf(Ref("procedure")))
    reviewed: Any = of(Date(), required=True)
    allow: tuple[Allowed, ...] = of(_ALLOW)


@dataclass
class Procedure(ProcedureHead):
    """A procedure: its head and its items in order."""

    items: tuple[Heading | Placed | Step, ...] = ()
    id: str = ""

    @cached_property
    def steps(self) -> list[Step]:
        """The steps alone."""
        return [item for item in self.items if isinstance(item, Step)]

    def runs(self) -> list[tuple[str, Place]]:
        """The procedures that this one runs and comes back from, each with the place of the link."""
        links = [(name, self.place(f"first/{i}")) for i, name in enumerate(self.first)]
        return links + [(step.if_not.go, step.if_not.place("go")) for step in self.steps
                        if step.if_not is not None and step.if_not.go and step.if_not.back]


@dataclass
class HandbookHead(Standing):
    """handbook.yml"""

    model: int = of(Version(MODEL, MODEL), required=True)
    name: str = of(Text(), required=True)
    company: str = of(Text(), required=True)
    scenario: str = of(Text())
    demo: bool = of(Flag())
    edition: int = of(Whole(1, 100000), required=True)
    date: Any = of(Date(), required=True)
    language: str = of(Ref("language"), default="en")
    currency: str = of(Checked(lambda text: _currency(text), mark("a currency's three letters, such as EUR"),
                                "^[A-Z]{3}$"), required=True)
    units: dict[str, str] = of(MapOf(Text()))
    labour_rate: Decimal = of(Money(), required=True)
    call_out: Decimal = of(Money())
    tax_rate: str = of(Number(0, 100), required=True)
    review_after: int = of(Whole(1, 240))
    above_all: str = of(Text(), required=True)
    accent: Accent | None = of(Object(Accent))
    groups: dict[str, Group] = of(MapOf(Object(Group), least=1), required=True)
    moved: tuple[Moved, ...] = of(ListOf(Object(Moved)))
    allow: tuple[Allowed, ...] = of(_ALLOW)


def _currency(text: str) -> None:
    if not re.fullmatch("[A-Z]{3}", text):
        raise ValueError(_("three capital letters of ISO 4217"))


@dataclass
class Hazards(Standing):
    """hazards.yml"""

    state: dict[str, StateVariable] = of(MapOf(Object(StateVariable), least=1), required=True)
    running: Running | None = of(Object(Running), required=True)
    zones: dict[str, Zone] = of(MapOf(Object(Zone)), required=True)
    messages: dict[str, Message] = of(MapOf(Object(Message)), required=True)
    allow: tuple[Allowed, ...] = of(_ALLOW)


@dataclass
class Parts(Standing):
    """parts.yml"""

    parts: dict[str, Part] = of(MapOf(Object(Part)), required=True)
    allow: tuple[Allowed, ...] = of(_ALLOW)


@dataclass
class Tools(Standing):
    """tools.yml"""

    tools: dict[str, Tool] = of(MapOf(Object(Tool)), required=True)
    allow: tuple[Allowed, ...] = of(_ALLOW)


@dataclass
class Symptoms(Standing):
    """symptoms.yml"""

    symptoms: dict[str, Symptom] = of(MapOf(Object(Symptom)), required=True)
    allow: tuple[Allowed, ...] = of(_ALLOW)


@dataclass
class Word(Standing):
    """A word of the trade: what it means here, and its other spellings and plurals."""

    title: str = of(Text(), required=True)
    says: str = of(Text(), required=True)
    also: tuple[str, ...] = of(ListOf(Text()))
    id: str = ""


@dataclass
class Glossary(Standing):
    """glossary.yml"""

    words: dict[str, Word] = of(MapOf(Object(Word)), required=True)
    allow: tuple[Allowed, ...] = of(_ALLOW)


@dataclass
class Handbook:
    """The whole content, as read."""

    head: HandbookHead
    hazards: Hazards
    parts: dict[str, Part]
    tools: dict[str, Tool]
    symptoms: dict[str, Symptom]
    machines: dict[str, Machine]
    procedures: dict[str, Procedure]
    root: Path
    drawings: dict[str, Path] = field(default_factory=dict)
    words: dict[str, Word] = field(default_factory=dict)
    wording: Wording = field(default_factory=Wording)
    synonyms: Synonyms = field(default_factory=Synonyms)
    #: Every rule switched off in any file.
    allowed: tuple[Allowed, ...] = ()
    #: What is there but could not be read, as (kind, id): nothing is said of names that may stand in it.
    unread: frozenset[tuple[str, str]] = frozenset()

    def may_be(self, kind: str, name: str) -> bool:
        """Whether an unknown name may be one that could not be read."""
        return (kind, name) in self.unread or (kind, "") in self.unread

    def __getattr__(self, name: str) -> Any:
        # The head's and the hazards' own names are the handbook's: handbook.edition, handbook.zones.
        for part in ("head", "hazards"):
            held = self.__dict__.get(part)
            if held is not None and name in held.__dataclass_fields__:
                return getattr(held, name)
        raise AttributeError(name)
