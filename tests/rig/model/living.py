"""How a technician lives a job: check after check, remedy after remedy, until the true cause is mended.

A policy says what comes next, from what was found and what was mended in vain: `("check", index)` or
`("mend", index of a cause)`. The minutes of a job are the minutes of its checks and of the remedies tried in vain; the
remedy of the true cause is the same for every policy and is not counted. A remedy in vain is known to be so.
"""

from collections.abc import Callable
from dataclasses import dataclass

from .jobs import Job, Symptom

Found = tuple[int | None, ...]
"""The result found for each check of a symptom, None where it has not been made."""

Policy = Callable[[Found, frozenset[int]], tuple[str, int]]
"""What comes next, from the results found and the causes mended in vain."""


@dataclass(frozen=True)
class Lived:
    """Minutes of a job, and the cause that was named first (by index)."""

    minutes: float
    named: int


def nothing(symptom: Symptom) -> Found:
    """Nothing found yet."""
    return (None,) * len(symptom.checks)


def joint(symptom: Symptom, found: Found, mended: frozenset[int] = frozenset()) -> list[float]:
    """Probability of each cause together with the results found; 0 for a cause that was mended in vain."""
    weights = [0.0 if cause in mended else share for cause, share in enumerate(symptom.shares)]
    for check, result in zip(symptom.checks, found, strict=True):
        if result is not None:
            weights = [weight * share for weight, share in zip(weights, check.likely[result], strict=True)]
    return weights


def live(job: Job, policy: Policy) -> Lived:
    """Follow the policy through a job."""
    symptom, found, mended, minutes, named = job.symptom, nothing(job.symptom), frozenset(), 0.0, None
    while True:
        kind, which = policy(found, mended)
        if kind == "check":
            minutes += symptom.checks[which].minutes
            found = (*found[:which], job.shows[which], *found[which + 1:])
            continue
        named = which if named is None else named
        if which in job.causes:
            return Lived(minutes, named)
        minutes += symptom.remedies[which]
        mended |= {which}


def expected(symptom: Symptom, policy: Policy) -> tuple[float, float]:
    """Expected minutes of the policy over every way a job can turn out, and how often the first cause named is true."""
    minutes = right = 0.0
    waiting = [(nothing(symptom), frozenset[int]())]
    while waiting:
        found, mended = waiting.pop()
        weights = joint(symptom, found, mended)
        chance = sum(weights)
        if chance == 0:
            continue
        kind, which = policy(found, mended)
        if kind == "check":
            minutes += chance * symptom.checks[which].minutes
            waiting += [((*found[:which], result, *found[which + 1:]), mended)
                        for result in range(len(symptom.checks[which].results))]
        else:
            minutes += (chance - weights[which]) * symptom.remedies[which]
            right += weights[which] if not mended else 0.0
            if len(mended) + 1 < len(symptom.causes):
                waiting.append((found, mended | {which}))
    return minutes, right
