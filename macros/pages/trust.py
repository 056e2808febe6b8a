"""The page that says how far the answers may be trusted: the rig's marks, as its last run wrote them."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from calculators import quantity as q
from macros import marks
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Place, Site, sentence
from macros.pages.trust_words import Asked, asked
from macros.words import _

URL = "trust/"


@dataclass(frozen=True)
class Row:
    """One mark as a reader sees it: what was asked, the bound in words, and for each machine (figure, cases, held)."""

    says: str
    bound: str
    cells: tuple[tuple[str, int, bool] | None, ...]


@dataclass(frozen=True)
class Group:
    """Marks that belong together, as the run had them."""

    about: Asked
    rows: tuple[Row, ...]


def pages(site: Site) -> Iterator[Page]:
    """The one page, where the content has marks."""
    if marks.read(site.handbook.root) is not None:
        yield Page(URL, "trust", _("How far to trust this"), lambda drawn: _context(site, drawn),
                   Link("find/", _("Find")), _places, label=_("list"))


def _places() -> Iterator[Place]:
    for one in asked():
        yield Place(one.title, " ".join(map(sentence, one.marks.values())), one.id)


def place(site: Site, calculator: str) -> str:
    """Where the page speaks of a calculator, relative to home; "" where it does not."""
    if URL not in site.pages:
        return ""
    return next((f"{URL}#{one.id}" for one in asked() if calculator in one.calculators), "")


def _context(site: Site, _drawn: OnePage) -> dict[str, Any]:
    found = marks.read(site.handbook.root)
    assert found is not None
    machines = [site.handbook.machines[name] for name in site.handbook.machines if name in found.machines]
    changed = [machine.title for machine in machines
               if marks.made_from(site.handbook.root, machine.id) != found.machines[machine.id].made_from]
    given = [{mark.id: mark for mark in found.machines[machine.id].marks} for machine in machines]
    groups = [Group(one, tuple(_row(words, [marks_of.get(id) for marks_of in given]) for id, words in one.marks.items()
                               if any(id in marks_of for marks_of in given))) for one in asked()]
    return {"found": found, "machines": machines, "changed": changed, "groups": [one for one in groups if one.rows], "command": marks.COMMAND,
            "count": q.write(found.count), "missed": sum(not mark.held for one in given for mark in one.values())}


def _row(says: str, given: list[marks.Shown | None]) -> Row:
    first = next(mark for mark in given if mark is not None)
    return Row(says, bound(first), tuple(None if mark is None else (figure(mark.value, mark.unit), mark.count, mark.held)
                                         for mark in given))


def bound(mark: marks.Shown) -> str:
    """The bounds of a mark in words; "" where it is only stated."""
    if mark.least is not None and mark.most is not None:
        return _("{least} to {most}").format(least=figure(mark.least, mark.unit), most=figure(mark.most, mark.unit))
    if mark.least is not None:
        return _("at least {figure}").format(figure=figure(mark.least, mark.unit))
    return "" if mark.most is None else _("at most {figure}").format(figure=figure(mark.most, mark.unit))


def figure(value: float, unit: str) -> str:
    """A mark's figure as it is said: shares in percent with the places that they need, the rest with their unit."""
    if unit == "share":
        percent = value * 100
        # near all and near none a tenth of a percent is much
        decimals = 0 if percent == round(percent) else 1 if 1 <= percent < 99.9 else 2
        return f"{q.write(percent, decimals=decimals)}\u00a0%"
    return f"{q.write(value)}\u00a0{q.pretty(unit)}"
