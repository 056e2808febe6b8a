"""One page for each part (what it does, how to tell it is worn, what it costs the customer), and the list of tools.

A part's own cost is the company's: it is read by nothing here and stands on no page.
"""

from collections.abc import Iterator
from functools import partial
from typing import Any

from calculators import calculate
from macros.model import Handbook, Part
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Site
from macros.words import _


def pages(site: Site) -> Iterator[Page]:
    """A page for each part, and one for all tools."""
    for name, part in site.handbook.parts.items():
        yield Page(f"parts/{name}/", "part", part.title, partial(_context, site, name, part),
                   Link("find/#parts", _("all parts")), tuple(filter(None, (part.does, part.worn_when))),
                   (part.number,), _("part"))
    tools = site.handbook.tools
    yield Page("tools/", "tools", _("Tools and protection"), partial(_tools, site), Link("find/", _("Find")),
               tuple(f"{tool.title} {tool.says or ''}".strip() for tool in tools.values()), label=_("list"))


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


def _context(site: Site, name: str, part: Part, _drawn: OnePage) -> dict[str, Any]:
    book = site.handbook
    return {"part": part, "price": price(book, part),
            "machines": [Link(f"machines/{id}/", one.title) for id, one in book.machines.items() if name in one.parts],
            "procedures": [one for one in book.procedures.values() if any(name in step.parts for step in one.steps)]}


def _tools(site: Site, _drawn: OnePage) -> dict[str, Any]:
    book = site.handbook
    return {"tools": [(id, tool, [p for p in book.procedures.values()
                                  if id in p.bring or any(id in step.tools for step in p.steps)])
                      for id, tool in book.tools.items()]}
