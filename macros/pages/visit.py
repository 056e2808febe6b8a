"""The page of visits: begin, see and end one. What is written stays on the reader's device; app and record fill the page."""

import json
from collections.abc import Iterator
from functools import partial
from typing import Any

from calculators import describe
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Place, Site, script
from macros.words import _

TRENDS = ("edge-life", "suction-drop")
"""Calculators whose readings are offered at the next visit and drawn as a trend."""


def pages(site: Site) -> Iterator[Page]:
    """The one page."""
    says = _("Write a visit down as it happens: what was seen, steps, readings, parts, price, photographs, what remains.")
    yield Page("visit/", "visit", _("Visit"), partial(_context, site), Link("", _("the floor")), lambda: (Place("", says),), label=_("record"))


def _context(site: Site, _drawn: OnePage) -> dict[str, Any]:
    book = site.handbook
    data = {
        "machines": {id: {"title": one.title, "parts": list(one.parts)} for id, one in book.machines.items()},
        "parts": {id: {"title": part.title, "number": part.number} for id, part in book.parts.items()},
        "readings": {id: describe(id)["properties"]["readings"]["items"]["properties"] for id in TRENDS},
    }
    return {"data": script(data)}
