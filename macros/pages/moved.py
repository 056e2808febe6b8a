"""Pages for the addresses of earlier editions: labels, bookmarks and printed sheets go on leading somewhere."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Site
from macros.words import _


def pages(site: Site) -> Iterator[Page]:
    """A page for each one that moved or was taken out."""
    for one in site.handbook.moved:
        yield Page(f"{one.page}/", "moved", _("This page has moved") if one.to else _("This page was taken out"),
                   partial(_context, site, f"{one.to}/" if one.to else ""), Link("find/", _("Find")))


def _context(site: Site, url: str, _drawn: OnePage) -> dict[str, Any]:
    return {"there": site.pages[url] if url else None}
