"""Lists that grow with the handbook: a page shows the beginning of each, and the whole stands on pages of their own.

So no page of a handbook of thousands of procedures weighs more than the same page of a handbook of twenty.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from calculators import calculators
from macros.model import Machine, Procedure
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Site
from macros.words import _

MOST = 40
"""So many lines of a list stand on another page."""

PAGE = 200
"""So many lines stand on one page of a whole list."""

FEW = 12
"""So many machines are named on every page; of more, each page knows the one that it is delivered for."""


@dataclass(frozen=True)
class Some:
    """The beginning of a list; of how many lines; where the whole list is, "" where this is the whole."""

    links: list[Link]
    number: int
    url: str


@dataclass(frozen=True)
class List:
    """A whole list: its title, its lines, and where the way back leads."""

    title: str
    links: list[Link]
    back: Link


def pages(site: Site) -> Iterator[Page]:
    """The pages of each list that is longer than another page shows."""
    for id, one in site.lists.items():
        if len(one.links) > _most(id):
            for number in range(-(-len(one.links) // PAGE)):
                yield Page(_url(id, number), "list", one.title, partial(_context, id, one, number), one.back)


def some(site: Site, id: str) -> Some:
    """The beginning of the list `id`; nothing of a list that is not there."""
    one = site.lists.get(id)
    links = one.links if one is not None else []
    return Some(links[:_most(id)], len(links), _url(id, 0) if len(links) > _most(id) else "")


def _most(id: str) -> int:
    return FEW if id == "machines" else MOST


def made(site: Site) -> dict[str, List]:
    """Every list that grows with the handbook, by id."""
    book, uses = site.handbook, site.uses
    found, lists = Link("find/", _("Find")), {}
    for id, group in book.groups.items():
        lists[f"do-{id}"] = List(group.title, _procedures(uses.groups[id]), Link(f"#do-{id}", _("the floor")))
    lists["machines"] = List(_("Machines"), _machines(book.machines.values()), found)
    lists["parts"] = List(_("Parts"), [Link(f"parts/{id}/", one.title, one.number) for id, one in book.parts.items()], found)
    for one in calculators():
        title, back = _(one.question), Link(f"calculators/{one.id}/", _("the calculator"))
        lists[f"calculator-{one.id}"] = List(_("Used in: {title}").format(title=title), _procedures(uses.calculators[one.id]), back)
    for id, tool in book.tools.items():
        title, back = tool.title, Link(f"tools/#{id}", _("the tools"))
        lists[f"tool-{id}"] = List(_("Taken for: {title}").format(title=title), _procedures(uses.tools[id]), back)
    for id, part in book.parts.items():
        title, back = part.title, Link(f"parts/{id}/", part.title)
        lists[f"part-{id}"] = List(_("Procedures that take it: {title}").format(title=title), _procedures(uses.parts[id]), back)
        lists[f"fits-{id}"] = List(_("Fits: {title}").format(title=title), _machines(uses.machines[id]), back)
    for id, machine in book.machines.items():
        title, back = machine.title, Link(f"machines/{id}/", machine.title)
        lists[f"machine-{id}"] = List(_("Procedures for: {title}").format(title=title), _procedures(uses.on(id)), back)
    return lists


def _machines(found: Iterable[Machine]) -> list[Link]:
    return [Link(f"machines/{one.id}/", one.title) for one in found]


def _procedures(found: Iterable[Procedure]) -> list[Link]:
    return [Link(f"procedures/{one.id}/", one.title, _("{minutes} min").format(minutes=one.minutes)) for one in found]


def _url(id: str, number: int) -> str:
    return f"lists/{id}/{number + 1}/" if number else f"lists/{id}/"


def _context(id: str, one: List, number: int, _drawn: OnePage) -> dict[str, Any]:
    last = -(-len(one.links) // PAGE) - 1
    return {"links": one.links[number * PAGE:(number + 1) * PAGE], "first": number * PAGE + 1, "number": len(one.links),
            "before": _url(id, number - 1) if number else "", "after": _url(id, number + 1) if number < last else ""}
