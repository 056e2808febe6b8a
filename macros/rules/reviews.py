"""Procedures are read through again in time: their dates are held against the edition's, never against a clock."""

import datetime

from macros.model import Handbook
from macros.problems import Problem
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems of procedures whose review is older than ``review_after`` months, or later than the edition."""
    if handbook.may_be("figures", "handbook.yml") or handbook.may_be("file", "handbook.yml"):
        return []
    problems = []
    for procedure in handbook.procedures.values():
        if "reviewed" not in procedure.places:
            continue
        at = procedure.place("reviewed")
        due = _later(procedure.reviewed, handbook.review_after)
        if procedure.reviewed > handbook.date:
            problems.append(Problem(at, "review", _("reviewed on {day}, after the edition of {edition}").format(
                day=procedure.reviewed, edition=handbook.date), _("a day before the edition's date"),
                _("mend the date here, or the edition's in handbook.yml")))
        elif handbook.review_after and due < handbook.date:
            problems.append(Problem(at, "review", _("the next review was due on {day}, before the edition of {edition}").format(
                day=due, edition=handbook.date), _("a review every {months} months").format(months=handbook.review_after),
                _("read it through beside a machine, then change the date")))
    return problems


def _later(day: datetime.date, months: int) -> datetime.date:
    """The same day some months later, or the last of that month."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if year > datetime.MAXYEAR:
        return datetime.date.max
    following = datetime.date(year + (month == 11), (month + 1) % 12 + 1, 1) if (year, month) < (datetime.MAXYEAR, 11) else None
    last = (following - datetime.timedelta(1)).day if following else 31
    return datetime.date(year, month + 1, min(day.day, last))
