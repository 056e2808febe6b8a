"""The page about what the handbook is made of, and under which licences it is passed on."""

from collections.abc import Iterator

from macros import bill
from macros.pages.site import Link, Page, Site
from macros.words import _


def pages(site: Site) -> Iterator[Page]:
    """The one page."""
    yield Page("licences/", "licences", _("What is in this handbook, and the licences"),
               lambda _drawn: {"components": list(bill.components()), "bill": bill.BILL}, Link("saved/", _("this handbook")))
