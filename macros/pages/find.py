"""The page that lists everything by kind and searches, and what the search finds."""

from collections.abc import Iterator
from typing import Any

from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Site
from macros.words import _


def pages(site: Site) -> Iterator[Page]:
    """The one page."""
    yield Page("find/", "find", _("Find"), lambda drawn: _context(site, drawn), Link("", _("the floor")))


def _context(site: Site, _drawn: OnePage) -> dict[str, Any]:
    book = site.handbook
    of_kind: dict[str, list[Page]] = {}
    for page in site.pages.values():
        of_kind.setdefault(page.kind, []).append(page)
    return {"seen": of_kind.get("seen", []), "calculators": of_kind.get("calculator", []), "guides": of_kind.get("guide", []),
            "groups": [(id, group.title) for id, group in book.groups.items() if site.uses.groups[id]]}


#: How much a kind of page weighs where words fit several alike: what is to be done goes before what is only told.
WEIGHTS = {"seen": 1.2, "procedure": 1.1, "part": 1.1, "machine": 0.9, "trust": 0.8, "tools": 0.8, "formulas": 0.6,
           "glossary": 0.35}


def documents(site: Site) -> Iterator[dict[str, Any]]:
    """What the search finds: every page with a label, then every entry of it that is found by itself.

    Each has `url`, `title`, `kind` (in a reader's words), `weight`, `codes`, `told` (how else it is called) and `places`:
    lists of lead, head, text and "#id" or "".
    """
    for page in site.pages.values():
        weight = WEIGHTS.get(page.kind, 1)
        if page.label:
            places = [(one.lead, one.head, one.text, one.anchor and f"#{one.anchor}") for one in page.places]
            yield {"url": page.url, "title": page.title, "kind": page.label, "weight": weight, "codes": page.codes,
                   "told": page.told, "places": places}
        for entry in page.entries:
            yield {"url": f"{page.url}#{entry.anchor}", "title": entry.title, "kind": entry.label, "weight": weight, "codes": (),
                   "told": entry.told, "places": [("", "", entry.text, "")]}
