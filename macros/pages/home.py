"""The home page: what is seen on the floor, what one is here to do, calculators, the machine."""

from collections.abc import Iterator
from typing import Any

from calculators import calculators
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Site
from macros.words import _


def pages(site: Site) -> Iterator[Page]:
    """The one home page."""
    def context(_drawn: OnePage) -> dict[str, Any]:
        book = site.handbook
        groups = [(id, group) for id, group in book.groups.items() if site.uses.groups[id]]
        guides = [page for page in site.pages.values() if page.kind == "guide"]
        return {"guides": guides, "columns": columns(len(book.symptoms)), "groups": groups,
                "calculators": [(one.id, _(one.question)) for one in calculators()]}

    yield Page("", "home", site.handbook.name, context, Link("", _("the floor")))


def columns(plates: int) -> int:
    """In how many columns so many plates leave the fewest places empty; few rows before many."""
    return min((5, 6, 4), key=lambda by: (-plates % by, -by))
