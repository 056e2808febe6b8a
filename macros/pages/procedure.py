"""One page for each procedure: what it is for, the steps with state and safety messages, what comes after.

The steps are parted into stretches; beside each stands what belongs to it (a drawing, a calculator), so
that on a wide screen one reads at the left and works at the right.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial
from string import ascii_uppercase
from typing import Any

from calculators import quantity as q
from macros.kept import kept
from macros.model import Handbook, Heading, Placed, Procedure, Step
from macros.pages import calculator, signs
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Place, Site, listed, sentence
from macros.words import _


@dataclass(frozen=True)
class Said:
    """One state variable in words: whether it is the unsafe value, whether it is known."""

    words: str
    alert: bool = False
    known: bool = True


@dataclass
class Shown:
    """A step as the page shows it."""

    step: Step
    number: int
    state: list[Said]
    live: bool
    figure_beside: bool = False
    drawn_at: "Shown | None" = None  # an earlier step of the page, where the same drawing stands
    at_top: bool = False  # the drawing stands at the top of the page
    calculator: Any = None

    @property
    def draws(self) -> bool:
        """Whether the step's drawing stands with it, and not elsewhere on the page."""
        return bool(self.step.figure) and self.drawn_at is None and not self.at_top

    @property
    def seconds(self) -> int:
        """How long the step says to wait, in whole seconds."""
        return round(q.parse(self.step.wait, "time", "s"))


@dataclass
class Stretch:
    """Items read on one side ("heading", "message" or "step", each with its thing), and what stands beside.

    `goes_on`: it is within a part, after another stretch of it. `later`: the parts after it, as far as they
    find room beside a calculator that is longer than its own part; in one column they follow the calculator.
    """

    items: list[tuple[str, Any]] = field(default_factory=list)
    beside: list[tuple[str, Any]] = field(default_factory=list)
    goes_on: bool = False
    later: list[tuple[str, Any]] = field(default_factory=list)

    @property
    def room(self) -> bool:
        """Whether a calculator stands beside it that is longer than what is read."""
        steps = sum(kind == "step" for kind, _item in [*self.items, *self.later])
        return any(kind == "calculator" for kind, _item in self.beside) and steps < BESIDE


BESIDE = 6
"""So many steps are about as long as a calculator with its answer."""


def pages(site: Site) -> Iterator[Page]:
    """A page for each procedure."""
    for name, procedure in site.handbook.procedures.items():
        yield Page(f"procedures/{name}/", "procedure", procedure.title, partial(_context, site, procedure),
                   Link(f"#do-{procedure.group}", site.handbook.groups[procedure.group].title),
                   partial(_places, site.handbook, procedure), label=_("procedure"),
                   told=site.handbook.synonyms.procedures.get(name, ()))


def _places(book: Handbook, procedure: Procedure) -> Iterator[Place]:
    """What the procedure is found by. No place has an id: a procedure is opened at its top, where the safe state stands."""
    yield Place("", " ".join(map(sentence, (procedure.achieves, procedure.done_when))))
    for number, step in enumerate(procedure.steps, 1):
        parts = listed([book.parts[one].title for one in step.parts])
        said = (step.text, step.look_for, step.if_not.say if step.if_not else "", parts)
        yield Place(step.do, " ".join(map(sentence, filter(None, said))), lead=_("Step {number}").format(number=number))
    for heading in procedure.items:
        if isinstance(heading, Heading):
            yield Place(heading.title, "")
    for name in dict.fromkeys(item.message for item in procedure.items if isinstance(item, Placed)):
        message = book.messages[name]
        yield Place(message.hazard, " ".join(map(sentence, (message.harm, message.avoid))), lead=signs.word(message.signal))


def said(book: Handbook, values: dict[str, str | None]) -> list[Said]:
    """The variables that are shown, in words and in the content's order."""
    return [words.get(values.get(name) or "", unknown) for name, unknown, words in _sayings(book)]


def _sayings(book: Handbook) -> list[tuple[str, Said, dict[str, Said]]]:
    """Of each variable that is shown: its name, what is said where it is not known, and of each value."""
    return kept("sayings", (book.hazards,), lambda: [
        (name, Said(_("{variable} not known yet").format(variable=variable.title), known=False),
         {value: Said(one.says, one.alert) for value, one in variable.values.items()})
        for name, variable in book.state.items() if variable.shown])


def state_words(book: Handbook, values: dict[str, str]) -> list[str]:
    """Every named variable in words: "key out, plug apart"."""
    return [book.state[name].values[value].says for name, value in values.items()]


def _running(book: Handbook, values: dict[str, str | None]) -> bool:
    return book.running is not None and all(values.get(name) == value for name, value in book.running.state.items())


def _context(site: Site, procedure: Procedure, drawn: OnePage) -> dict[str, Any]:
    book = site.handbook
    steps = [Shown(step, number, said(book, values), _running(book, values))
             for number, step in enumerate(procedure.steps, 1)
             for values in [site.walk.at.get((procedure.id, step.id), {})]]
    tools = dict.fromkeys([*procedure.bring, *(tool for step in procedure.steps for tool in step.tools)])
    parts = dict.fromkeys(part for step in procedure.steps for part in step.parts)
    last = procedure.steps[-1]
    return {
        "procedure": procedure,
        "first": [book.procedures[one] for one in procedure.first],
        "tools": [book.tools[one].title for one in tools],
        "parts": [Link(f"parts/{one}/", book.parts[one].title) for one in parts],
        "machines": [book.machines[one].title for one in procedure.machines or book.machines],
        "running_minutes": sum(shown.step.minutes or 0 for shown in steps if shown.live),
        "stretches": _stretches(site, procedure, steps, drawn),
        "left_as": state_words(book, last.leaves),
        "next": [book.procedures[one] for one in procedure.next],
        "drawn_for": {name: [shown.number for shown in steps if shown.step.figure == name]
                      for name in [procedure.figure, *(shown.step.figure for shown in steps)]},
        "numbers": {shown.step.id: shown.number for shown in steps},
    }


def _stretches(site: Site, procedure: Procedure, steps: list[Shown], drawn: OnePage) -> list[Stretch]:
    """Part by part. A part with a calculator stays one stretch, since the calculator serves all its steps."""
    made: list[Stretch] = []
    waiting = iter(steps)
    letters = iter(ascii_uppercase)
    drawn_at: dict[str, Shown] = {}
    for heading, items in _parts(procedure):
        has_calculator = any(isinstance(item, Step) and item.calculator for item in items)
        beside = None if has_calculator or not made or not made[-1].room else made[-1]
        stretch = Stretch()
        if heading is not None:
            stretch.items.append(("heading", (next(letters, ""), heading.title)))
        held: list[tuple[str, Any]] = []  # a message goes along with the step after it
        for item in items:
            if isinstance(item, Placed):
                held.append(("message", site.handbook.messages[item.message]))
                continue
            shown = next(waiting)
            shown.at_top = bool(item.figure) and item.figure == procedure.figure
            shown.drawn_at = None if shown.at_top else drawn_at.get(item.figure)
            if item.figure:
                drawn_at.setdefault(item.figure, shown)
            shown.figure_beside = shown.draws and not has_calculator and beside is None
            if shown.figure_beside and any(kind == "step" for kind, _item in stretch.items):
                made.append(stretch)  # so that the drawing stands level with its step
                stretch = Stretch(goes_on=True)
            stretch.items += [*held, ("step", shown)]
            held = []
            if shown.figure_beside:
                stretch.beside.append(("figure", shown))
            if item.calculator:
                shown.calculator = calculator.use(site, item.calculator, f"{procedure.id}/{item.id}",
                                                  list(procedure.machines or site.handbook.machines), drawn)
                stretch.beside.append(("calculator", shown))
        stretch.items += held
        if beside is None:
            made.append(stretch)
        else:
            beside.later += stretch.items
    return [stretch for stretch in made if stretch.items]


def _parts(procedure: Procedure) -> Iterator[tuple[Heading | None, list[Placed | Step]]]:
    """The items under each heading; those before the first stand under none."""
    heading: Heading | None = None
    items: list[Placed | Step] = []
    for item in procedure.items:
        if isinstance(item, Heading):
            if heading is not None or items:
                yield heading, items
            heading, items = item, []
        else:
            items.append(item)
    yield heading, items
