"""The order of checks examined: jobs with hidden causes, lived as the page of a symptom leads through them.

Each machine shows every symptom of the content once. The advice is asked for as the page asks for it: the symptom's
table as the handbook fills it, the results found, what was looked at twice, what was mended in vain. Minutes are those
of checks and of remedies tried in vain. The best order and the written order live the same jobs.

A cause is called certain by the outcome `found` alone, and the advice gives that only where the deciding results were
looked at twice. Who mends what is only likely saves these looks: so the minutes are lived, in one go. Whether the
advice is ever confidently wrong is lived in another: every further look that it asks for is taken.
"""

import random
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

from calculators import calculate
from macros.check import load_and_check
from macros.faults import faults

from ..mark import Mark, share
from ..model import jobs
from ..model.best import Best, habit
from ..model.jobs import Job, Symptom
from ..model.living import Found, Policy, live, nothing
from ..model.machine import Machine

EXCESS = 0.05
SAVED = 0.30
RIGHT = 0.95
WRONG = 0.02


class Advice:
    """The advice for one symptom, each answer asked for once; called as a `living.Policy`."""

    def __init__(self, symptom: Symptom, table: dict[str, Any]):
        self.symptom, self._table = symptom, table
        self._words = [[cell["result"] for cell in check["likely"] if cell["cause"] == symptom.causes[0]]
                       for check in table["checks"]]
        self._answers: dict[tuple, dict[str, Any]] = {}

    def ask(self, found: Found, mended: frozenset[int] = frozenset(),
            again: frozenset[int] = frozenset()) -> dict[str, Any]:
        """The answer after these results; `again` are the checks whose results were seen twice."""
        key = (found, mended, again)
        if key not in self._answers:
            self._answers[key] = calculate("fault-order", {
                "symptom": self.symptom.id, "faults": self._table,
                "found": [{"check": self.symptom.checks[check].id, "result": self._words[check][result],
                           "again": check in again} for check, result in enumerate(found) if result is not None],
                "mended": [{"cause": self.symptom.causes[cause]} for cause in sorted(mended)]})
        return self._answers[key]

    def __call__(self, found: Found, mended: frozenset[int]) -> tuple[str, int]:
        answer = self.ask(found, mended)
        if answer["outcome"] == "check-next":
            return "check", self.check(answer["tables"]["checks"][0])
        return "mend", self.cause(answer)

    def check(self, row: dict[str, Any]) -> int:
        """The index of the check that a row of an answer names."""
        return next(number for number, check in enumerate(self.symptom.checks) if check.id == row["check"])

    def cause(self, answer: dict[str, Any]) -> int:
        """The index of the cause that an answer has mended first."""
        return self.symptom.causes.index(answer["tables"]["remedies"][0]["cause"])


@cache
def _policies(content: Path) -> list[tuple[Symptom, Advice, Policy, Policy]]:
    """For each symptom: the advice, the best order, the written order."""
    handbook, _problems = load_and_check(content)
    return [(symptom, Advice(symptom, faults(handbook.symptoms[symptom.id])), Best(symptom), habit(symptom))
            for symptom in jobs.read(content)]


def examine(machine: Machine, count: int, seed: int, shuffled: bool = False) -> list[Mark]:
    """The marks of the order of checks, over `count` machines with every symptom once."""
    rng = random.Random(seed)
    policies = _policies(machine.content)
    drawn = jobs.draw([symptom for symptom, *_rest in policies], count, rng.randrange(1 << 30))
    advice = {symptom.id: own for symptom, own, *_rest in policies}
    slips = [(job, _slip(job, advice[job.symptom.id], rng)) for job in drawn]
    return [*_one_cause(drawn, policies, rng, shuffled),
            *_certain("one", [(job, job.shows) for job in drawn], advice, rng, shuffled),
            *_certain("two", [(two, two.shows) for two in (jobs.with_second(job, rng) for job in drawn)],
                      advice, rng, shuffled),
            *_certain("slip", slips, advice, rng, shuffled), _without_a_second_look(slips, advice)]


def _one_cause(drawn: Sequence[Job], policies, rng: random.Random, shuffled: bool) -> list[Mark]:
    minutes = {"advice": 0.0, "best": 0.0, "habit": 0.0}
    right = contradictions = 0
    others = _others(drawn, rng) if shuffled else drawn
    by_symptom = {symptom.id: (own, best, written) for symptom, own, best, written in policies}
    for job, other in zip(drawn, others, strict=True):
        own, best, written = by_symptom[job.symptom.id]
        lived = live(Job(job.symptom, job.causes, other.shows), own)
        minutes["advice"] += lived.minutes
        minutes["best"] += live(job, best).minutes
        minutes["habit"] += live(job, written).minutes
        right += lived.named in job.causes
        contradictions += _looked(own, other.shows)[1]["outcome"] == "contradiction"
    number = len(drawn)
    return [Mark("order-minutes", minutes["advice"] / minutes["best"] - 1, number, most=EXCESS),
            Mark("order-saved", 1 - minutes["advice"] / minutes["habit"], number, least=SAVED),
            share("order-right", right, number, least=RIGHT),
            share("order-contradiction", contradictions, number),
            Mark("order-mean", minutes["advice"] / number, number, unit="min"),
            Mark("order-mean-best", minutes["best"] / number, number, unit="min"),
            Mark("order-mean-written", minutes["habit"] / number, number, unit="min")]


def _looked(own: Advice, shows: Sequence[int]) -> tuple[list[int], dict[str, Any]]:
    """The checks that the advice asks for before its first remedy, and its answer then."""
    found, made = nothing(own.symptom), []
    while (answer := own.ask(found))["outcome"] == "check-next":
        check = own.check(answer["tables"]["checks"][0])
        made.append(check)
        found = (*found[:check], shows[check], *found[check + 1:])
    return made, answer


def _certain(name: str, cases: Sequence[tuple[Job, Sequence[int]]], advice: dict[str, Advice], rng: random.Random,
             shuffled: bool) -> list[Mark]:
    """How often a cause was called certain, rightly and wrongly; a case is a job and what is written down at first.

    A second look shows what the check truly shows. What is never called certain is open: likely, or no check is left.
    With one cause the advice is held to nothing here (what it is held to then is `order-right`), beyond it to being
    confidently wrong in no more than `WRONG`.
    """
    jobs_shown = [job for job, _written in cases]
    others = _others(jobs_shown, rng) if shuffled else jobs_shown
    right = wrong = 0
    minutes = 0.0
    for (job, written), other in zip(cases, others, strict=True):
        own = advice[job.symptom.id]
        shows, first = (other.shows, other.shows) if shuffled else (job.shows, written)
        outcome, named, spent = _follow(own, shows, first)
        minutes += spent
        if outcome == "found":
            right += named in job.causes
            wrong += named not in job.causes
    number = len(cases)
    return [share(f"order-{name}-certain", right, number),
            share(f"order-{name}-open", number - right - wrong, number),
            share(f"order-{name}-wrong", wrong, number, most=None if name == "one" else WRONG),
            Mark(f"order-{name}-minutes", minutes / number, number, unit="min")]


def _follow(own: Advice, shows: Sequence[int], written: Sequence[int]) -> tuple[str, int | None, float]:
    """Every look that the advice asks for, once and again: its outcome, the cause named, the minutes of the looks."""
    found, again, minutes = nothing(own.symptom), frozenset[int](), 0.0
    while True:
        answer = own.ask(found, again=again)
        outcome = answer["outcome"]
        look_again = answer["tables"].get("again", [])
        if outcome == "check-next":
            check = own.check(answer["tables"]["checks"][0])
            found = (*found[:check], written[check], *found[check + 1:])
        elif look_again:
            check = own.check(look_again[0])
            found, again = (*found[:check], shows[check], *found[check + 1:]), again | {check}
        else:
            return outcome, None if outcome == "contradiction" else own.cause(answer), minutes
        minutes += own.symptom.checks[check].minutes


def _slip(job: Job, own: Advice, rng: random.Random) -> tuple[int, ...]:
    """What is written down when one of the results that the advice asks for, drawn evenly, is written down wrongly."""
    made, _answer = _looked(own, job.shows)
    if not made:
        return job.shows
    slipped = made[int(rng.random() * len(made))]
    wrong = jobs.other_result(job.symptom.checks[slipped], job.shows[slipped], rng)
    return (*job.shows[:slipped], wrong, *job.shows[slipped + 1:])


def _without_a_second_look(cases: Sequence[tuple[Job, Sequence[int]]], advice: dict[str, Advice]) -> Mark:
    """How often the first remedy is the right one all the same, when nobody looks twice at what was written down."""
    right = 0
    for job, written in cases:
        _made, answer = _looked(advice[job.symptom.id], written)
        right += answer["outcome"] != "contradiction" and advice[job.symptom.id].cause(answer) in job.causes
    return share("order-slip-unchecked", right, len(cases))


def _others(drawn: Sequence[Job], rng: random.Random) -> list[Job]:
    """For each job, another of the same symptom, whose results are handed over in its stead."""
    others = list(drawn)
    for symptom in dict.fromkeys(job.symptom.id for job in drawn):  # in a fixed order: seeds repeat
        places = [place for place, job in enumerate(drawn) if job.symptom.id == symptom]
        mixed = places[:]
        rng.shuffle(mixed)
        for place, other in zip(places, mixed, strict=True):
            others[place] = drawn[other]
    return others
