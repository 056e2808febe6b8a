"""The page of visits: begin, see and end one. What is written stays on the reader's device; app and record fill the page."""

import json
from collections.abc import Iterator
from functools import partial
from typing import Any

from calculators import describe
from macros.pages import lists
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Place, Site, script
from macros.words import _

TRENDS = ("edge-life", "suction-drop")
"""Calculators whose readings are offered at the next visit and drawn as a trend."""


def pages(site: Site) -> Iterator[Page]:
    """The one page."""
    says = _("Write a visit down as it happens: what was seen, steps, readings, parts, price, photographs, what remains.")
    yield Page("visit/", "visit", _("Visit"), partial(_context, site), Link("", _("the floor")), lambda: (Place("", says),), label=_("record"))


KNOWN = "visit/known.json"
"""Where what `known` gives is published, relative to home, when it stands `apart`."""


def apart(site: Site) -> bool:
    """Whether machines, parts or procedures are too many for a page to hold: the pages of visits fetch them then."""
    book = site.handbook
    return site.many or max(len(book.parts), len(book.procedures)) > lists.PAGE


def known(site: Site) -> dict[str, Any]:
    """What a visit can name: machines with the parts fitted, parts, the ids of procedures."""
    book = site.handbook
    return {
        "machines": {id: {"title": one.title, "parts": list(one.parts)} for id, one in book.machines.items()},
        "parts": {id: {"title": part.title, "number": part.number} for id, part in book.parts.items()},
        "procedures": list(book.procedures),
    }


def _context(site: Site, _drawn: OnePage) -> dict[str, Any]:
    here = {} if apart(site) else {name: held for name, held in known(site).items() if name != "procedures"}
    readings = {id: describe(id)["properties"]["readings"]["items"]["properties"] for id in TRENDS}
    return {"data": script({**here, "readings": readings}), "apart": apart(site)}
