"""The page that lists everything by kind and searches, and the documents that the search reads."""

import json
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
    procedures = [(group.title, [p for p in of_kind.get("procedure", []) if p.back.url == f"#do-{id}"])
                  for id, group in book.groups.items()]
    return {"seen": of_kind.get("seen", []), "groups": [one for one in procedures if one[1]],
            "calculators": of_kind.get("calculator", []), "guides": of_kind.get("guide", []), "machines": of_kind.get("machine", []),
            "parts": of_kind.get("part", [])}


def documents(site: Site) -> str:
    """find.json: address, title, kind and words of every page that can be found."""
    found = [{"url": page.url, "title": page.title, "kind": page.label, "text": " ".join(page.text),
              **({"codes": " ".join(page.codes)} if page.codes else {})}
             for page in site.pages.values() if page.label]
    return json.dumps({"documents": found}, ensure_ascii=False, separators=(",", ":")) + "\n"
