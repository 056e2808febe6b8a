"""One page for each thing that may be seen on the floor: drawing, sentence, first test, procedures in order."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from macros.model import Symptom
from macros.pages import path
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Place, Site, sentence
from macros.words import _


def title(symptom: Symptom) -> str:
    """What is seen, and where: "One wet line along the middle"."""
    return " ".join(filter(None, (symptom.title, symptom.where)))


def pages(site: Site) -> Iterator[Page]:
    """A page for each symptom."""
    for name, symptom in site.handbook.symptoms.items():
        yield Page(f"seen/{name}/", "seen", title(symptom), partial(_context, site, symptom),
                   Link("", _("the floor")), partial(_places, symptom), label=_("seen on the floor"),
                   told=site.handbook.synonyms.symptoms.get(name, ()))


def _places(symptom: Symptom) -> Iterator[Place]:
    yield Place("", sentence(symptom.means))
    yield Place("", sentence(symptom.first_test))
    for one in symptom.checks.values():
        yield Place(one.title, sentence("; ".join(one.results.values())), lead=_("Check"))
    yield Place("", sentence("; ".join(one.title for one in symptom.causes.values())), lead=_("Causes"))


def _context(site: Site, symptom: Symptom, _drawn: OnePage) -> dict[str, Any]:
    return {"symptom": symptom, "procedures": [site.handbook.procedures[one] for one in symptom.go],
            "path": path.first(symptom), "path_data": path.data(site.handbook, symptom),
            "chart": path.chart(symptom), "percent": path.percent}
