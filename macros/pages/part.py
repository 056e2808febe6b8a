"""One page for each part (what it does, how to tell it is worn, what it costs the customer), and the list of tools.

A part's own cost is the company's: it stands in an edition for the office alone (`macros.audience`).
"""

from collections.abc import Iterator
from functools import partial
from typing import Any

from calculators import calculate, calculator
from calculators.present import shown
from macros.model import Handbook, Part
from macros.pages.drawings import OnePage
from macros.pages.site import Entry, Link, Page, Place, Site, listed, sentence
from macros.words import _


def pages(site: Site) -> Iterator[Page]:
    """A page for each part, and one for all tools."""
    for name, part in site.handbook.parts.items():
        yield Page(f"parts/{name}/", "part", part.title, partial(_context, site, name, part),
                   Link("find/#parts", _("all parts")), partial(_places, site, name, part), (part.number,), _("part"),
                   site.handbook.synonyms.parts.get(name, ()))
    yield Page("tools/", "tools", _("Tools and protection"), partial(_tools, site), Link("find/", _("Find")), label=_("list"),
               entries=tuple(Entry(id, tool.title, _("tool"), sentence(tool.says)) for id, tool in site.handbook.tools.items()))


def _places(site: Site, name: str, part: Part) -> Iterator[Place]:
    yield Place(part.number, sentence(part.does))
    if part.worn_when:
        yield Place("", sentence(part.worn_when), lead=_("Worn when"))
    machines = [machine.title for machine in site.uses.machines[name]]
    if machines:
        yield Place("", listed(machines), lead=_("Fits"))
    if part.shelf:
        yield Place("", part.shelf, lead=_("Kept at"))


def price(book: Handbook, part: Part) -> tuple[str, str] | None:
    """What one costs the customer without and with tax, rounded as a priced repair rounds it; None without a price."""
    if part.price is None:
        return None
    answer = calculate("parts-cost", {
        "lines": [{"part": "part", "quantity": 1, "price": str(part.price)}],
        "tax_rate": str(book.tax_rate), "currency": book.currency})
    if "refused" in answer:
        return None
    figures = answer["figures"]
    return figures["net"]["value"], figures["gross"]["value"]


def margin(book: Handbook, part: Part) -> list[dict[str, Any]]:
    """Cost, margin and markup as they are shown, for an edition that holds costs; else nothing."""
    if part.cost is None:
        return []
    cost = {"title": _("Cost to us"), "value": str(part.cost), "unit": book.currency}
    if part.price is None:
        return [cost]
    answer = calculate("parts-cost", {
        "lines": [{"part": "part", "quantity": 1, "price": str(part.price), "cost": str(part.cost)}],
        "tax_rate": str(book.tax_rate), "currency": book.currency, "audience": "office"})
    figures = shown(calculator("parts-cost"), answer)["figures"] if "refused" not in answer else []
    return [cost, *(one for one in figures if one["name"] in ("margin_share", "markup_share"))]


def _context(site: Site, name: str, part: Part, _drawn: OnePage) -> dict[str, Any]:
    book = site.handbook
    return {"id": name, "part": part, "price": price(book, part), "margin": margin(book, part)}


def _tools(site: Site, _drawn: OnePage) -> dict[str, Any]:
    book = site.handbook
    return {"tools": list(book.tools.items())}
