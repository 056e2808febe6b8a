"""The page of every formula with its limits and its source, made from the calculators' own descriptions."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from calculators import calculators
from calculators import quantity as q
from calculators.form import Calculator, Figure
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Place, Site
from macros.words import _

URL = "formulas/"


@dataclass(frozen=True)
class Known:
    """What a calculator says of itself, in the reader's words; `figures` are pairs (title, unit)."""

    id: str
    question: str
    summary: str
    formulas: list[str]
    limits: list[str]
    figures: list[tuple[str, str]]
    tables: list[str]
    outcomes: list[str]
    sources: list[str]


def pages(site: Site) -> Iterator[Page]:
    """The one page."""
    # Not by the formulas themselves: a single letter would be found wherever it stands for a quantity.
    yield Page(URL, "formulas", _("Formulas"), _context, Link("find/", _("Find")), _places, label=_("list"))


def _places() -> Iterator[Place]:
    for one in calculators():
        yield Place(_(one.question), " ".join(_(text) for text in (one.summary, *one.limits, *one.sources)), one.id)


def known(one: Calculator) -> Known:
    """The description of a calculator, translated."""
    return Known(one.id, _(one.question), _(one.summary), [_(t) for t in one.formulas], [_(t) for t in one.limits],
                 [(_(f.title), unit(f)) for f in one.figures], [_(t.title) for t in one.tables],
                 [_(title) for _code, title in one.outcomes], [_(t) for t in one.sources])


def unit(figure: Figure) -> str:
    """The unit in which a figure is said, as it is written; "" for a plain number."""
    said = figure.show or figure.unit
    return "" if said == "1" else q.pretty(said)


def _context(_drawn: OnePage) -> dict[str, Any]:
    return {"calculators": [known(one) for one in calculators()]}
