"""The page about this handbook on this device: edition, saved or not, the reader's settings, who made it."""

from collections.abc import Iterator

from macros.pages.site import Link, Page, Site
from macros.words import _


def pages(site: Site) -> Iterator[Page]:
    """The one page."""
    yield Page("saved/", "saved", _("This handbook on this device"), lambda _drawn: {}, Link("", _("the floor")))
