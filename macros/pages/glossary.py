"""The glossary: every word of the trade in its alphabetical place, and the pages that are about it."""

from collections.abc import Iterator
from typing import Any

from macros.pages.drawings import OnePage
from macros.pages.site import Entry, Link, Page, Site
from macros.words import _

URL = "glossary/"

#: Kinds of pages that are named under a word which stands in their title.
ABOUT = ("procedure", "guide", "calculator")


def pages(site: Site) -> Iterator[Page]:
    """The one page."""
    yield Page(URL, "glossary", _("Glossary"), lambda _drawn: _context(site), Link("find/", _("Find")), label=_("list"),
               entries=tuple(Entry(id, word.title, _("word"), word.says, word.also) for id, word in site.handbook.words.items()))


def _context(site: Site) -> dict[str, Any]:
    about: dict[str, list[Link]] = {}
    for page in site.pages.values():
        if page.kind in ABOUT:
            for id in site.terms.inside(page.title):
                about.setdefault(id, []).append(Link(page.url, page.title))
    words = sorted(site.handbook.words.values(), key=lambda word: word.title.casefold())
    return {"words": [(word, about.get(word.id, [])) for word in words]}
