"""The pages of visits kept on this device: all of them with export and import, and the sheet that the customer gets.

What stands on both comes from the device's own record, by the scripts in `site_overrides/record/`; the pages bring the
frame, and for the sheet what of each answer is the customer's to see.
"""

from collections.abc import Iterator
from typing import Any

from calculators import calculators, has_private
from macros.pages.site import Link, Page, Site
from macros.pages.visit import apart
from macros.words import _

SCHEMA = "record/visit.schema.json"
"""Where the JSON Schema of the files of visits is published, relative to home."""


def pages(site: Site) -> Iterator[Page]:
    """The two pages."""
    procedures = None if apart(site) else list(site.handbook.procedures)
    yield Page("visits/", "visits", _("Visits on this device"), lambda _drawn: {"schema": SCHEMA, "procedures": procedures},
               Link("", _("the floor")))
    yield Page("visits/sheet/", "sheet", _("Job sheet"), lambda _drawn: {"customers": customers()},
               Link("visits/", _("the visits")))


def customers() -> dict[str, dict[str, Any]]:
    """For each calculator what of an answer a customer may see: whether the sentence (`says`), and which `figures`.

    A calculator that knows what a repair costs us says so in its sentence, its workings and its cautions too: of it
    nothing is shown but the figures that are named here.
    """
    found = {}
    for one in calculators():
        office = has_private(one.fields) or any(figure.office for figure in one.figures)
        found[one.id] = {"says": not office, "figures": [
            figure.name for figure in one.figures if not figure.office and (office or not figure.minor)]}
    return found
