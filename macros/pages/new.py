"""The page "What is new": what changed since the edition before, safety first. It is there where that edition was
kept."""

from collections.abc import Iterator
from typing import Any

from macros import audience
from macros.editions import changes, summary
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Site
from macros.words import _

URL = "new/"


def pages(site: Site) -> Iterator[Page]:
    """The one page, where an older edition is kept."""
    old = summary.before(site.handbook)
    if old is not None:
        yield Page(URL, "new", _("What is new"), lambda _drawn: _context(site, old), Link("", _("the floor")),
                   label=_("list"))


def _context(site: Site, old: dict[str, Any]) -> dict[str, Any]:
    found = changes.between(old, summary.of(site.handbook), audience.unread(site.audience))
    return {"old": old, "groups": changes.groups(found)}
