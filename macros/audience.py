"""For whom an edition is: the office reads costs, the field and the customer never do.

What an audience does not read is taken out of the content before any page is made from it, so that no page,
index or list can hold it by mistake.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from calculators.form import Calculator, Field
from calculators.private import AUDIENCE, OPEN, has_private
from macros.words import _

if TYPE_CHECKING:  # the command line reads the names below before anything is installed
    from macros.model import Handbook

FIELD, OFFICE, CUSTOMER = "field", OPEN, "customer"
AUDIENCES = (FIELD, OFFICE, CUSTOMER)
DEFAULT = FIELD
"""Holds no costs and all that is done with the hands."""


def title(audience: str) -> str:
    """What the edition says of its readers."""
    return {
        FIELD: _("the field: without costs"),
        OFFICE: _("the office: with costs and margins, not to be passed on"),
        CUSTOMER: _("the customer: without costs, and without what is kept where"),
    }[audience]


def unread(audience: str) -> tuple[str, ...]:
    """What of an earlier edition's summary (`macros.editions`) is not for `audience`. Costs are in none."""
    return ("shelf",) if audience == CUSTOMER else ()


def reduced(book: "Handbook", audience: str) -> "Handbook":
    """The handbook as `audience` may read it: but for the office without costs, for the customer without shelves."""
    if audience == OFFICE:
        return book
    less: dict[str, Any] = {"cost": None, **({"shelf": ""} if audience == CUSTOMER else {})}
    return replace(book, parts={id: replace(part, **less) for id, part in book.parts.items()})


def asking(one: Calculator, audience: str) -> Calculator:
    """The calculator as it asks `audience`: what is private, and who reads, is asked of the office alone."""
    if audience == OFFICE or not has_private(one.fields):
        return one
    return replace(one, fields=_public(one.fields))


def _public(fields: tuple[Field, ...]) -> tuple[Field, ...]:
    return tuple(replace(f, fields=_public(f.fields)) for f in fields if not f.private and f.name != AUDIENCE)


def told(book: "Handbook", one: Calculator, inputs: Mapping[str, Any], audience: str) -> dict[str, Any]:
    """`inputs` as the office has them: it is the office that asks, and lines that name a part's number have its
    cost."""
    if audience != OFFICE or not has_private(one.fields):
        return dict(inputs)
    costs = {part.number: str(part.cost) for part in book.parts.values() if part.cost is not None}
    more = dict(inputs)
    for f in one.fields:
        if f.kind == "list" and has_private(f.fields):
            more[f.name] = [{**row, "cost": costs[row["part"]]} if row.get("part") in costs and "cost" not in row
                            else row
                            for row in inputs.get(f.name) or []]
    return {**more, AUDIENCE: OPEN}
