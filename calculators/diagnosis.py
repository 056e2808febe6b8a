"""One cause at a time: posterior over causes, and the order of checks that costs the fewest minutes.

A table has causes with weights, and checks with minutes and ``P(result | cause)``. Results of different
checks are taken as independent once the cause is given. With ``w`` the weights and ``r`` the results found,
``P(cause | r)`` is proportional to ``w * product of P(r_i | cause)`` (Bayes).

The search minimises the expected minutes until the true cause is mended: the minutes of checks, and of remedies
tried in vain. It stops checking where no check saves more minutes than it takes; the remedies are then tried by minutes
over probability. A remedy in vain costs `besides` on top of its minutes (a part fitted for nothing, a second
drive): without it the search would sooner try than know. With `certain_only` nothing is mended before one
cause stands out (probability >= `enough`), and nothing is checked after it.

What is planned after a remedy in vain is the next remedy; but whoever asks again with that remedy ruled out is
told the best from there, which may be a check. Exact in this sense while the tree is small (every distinct set of
results is looked at once); beyond `MOST_STATES` one step of look-ahead over a rule: the check with the most
information for its minutes. With checks that each find their own cause for certain this is the rule of Kalagnanam
and Henrion: minutes over probability, smallest first, the last cause left unchecked.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

#: The most distinct states looked at for an exact answer; a browser on a slow tablet does this in seconds.
MOST_STATES = 6000
#: Probabilities closer than this are the same: decisions must not hang on the last bits.
TINY = 1e-9


@dataclass(frozen=True)
class Check:
    """A check: minutes it takes and, for each result, its probability under each cause."""

    minutes: float
    likely: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Table:
    """Weights of the causes, minutes of each remedy, the checks in their written order.

    `besides` is what a remedy in vain costs on top of its minutes, in minutes.
    """

    weights: tuple[float, ...]
    remedies: tuple[float, ...]
    checks: tuple[Check, ...]
    enough: float = 0.95
    besides: float = 0.0
    certain_only: bool = False


class Way(NamedTuple):
    """What is expected of going on in some way: what it costs (it decides), and the minutes alone."""

    cost: float
    minutes: float


class TooLarge(Exception):
    """The exact search met more states than it may look at."""


def normal(weights: Sequence[float]) -> tuple[float, ...] | None:
    """Weights brought to a sum of 1; None where they are all zero."""
    total = math.fsum(weights)
    return tuple(w / total for w in weights) if total > 0 else None


def after(p: Sequence[float], likely: Sequence[float]) -> tuple[float, tuple[float, ...] | None]:
    """Probability of a result, and the posterior once it is found (None when it cannot happen)."""
    joint = [a * b for a, b in zip(p, likely, strict=True)]
    total = math.fsum(joint)
    return (total, tuple(j / total for j in joint)) if total > 0 else (0.0, None)


def tells(p: Sequence[float], check: Check) -> bool:
    """Whether some result of the check is more likely under one possible cause than under another."""
    alive = [i for i, x in enumerate(p) if x > TINY]
    return any(max(row[i] for i in alive) - min(row[i] for i in alive) > TINY for row in check.likely)


def remedy_order(p: Sequence[float], remedies: Sequence[float]) -> list[int]:
    """Causes still possible, in the order of minutes over probability: the order with the fewest minutes in vain."""
    return sorted((i for i, x in enumerate(p) if x > TINY), key=lambda i: (remedies[i] / p[i], i))


def in_vain(p: Sequence[float], remedies: Sequence[float], order: Sequence[int] | None = None) -> float:
    """Expected minutes of remedies tried in vain, in the order given, or in that of minutes over probability."""
    spent = lost = 0.0
    for i in remedy_order(p, remedies) if order is None else order:
        lost += p[i] * spent
        spent += remedies[i]
    return lost


def information(p: Sequence[float], check: Check) -> float:
    """Expected drop of the entropy (nats) that the check brings."""
    def entropy(q: Sequence[float]) -> float:
        return -math.fsum(x * math.log(x) for x in q if x > 0)

    left = 0.0
    for row in check.likely:
        chance, q = after(p, row)
        if q is not None:
            left += chance * entropy(q)
    return entropy(p) - left


class Search:
    """What is expected from a posterior with some checks left; exact or by look-ahead."""

    def __init__(self, table: Table):
        self.table = table
        self._dear = tuple(minutes + table.besides for minutes in table.remedies)
        self._exact: dict = {}
        self._rule: dict = {}

    def remedies(self, p: Sequence[float]) -> list[int]:
        """The causes still possible in the order in which their remedies are best tried."""
        return remedy_order(p, self._dear)

    def mend(self, p: Sequence[float]) -> Way:
        """What is expected when no more is checked."""
        order = self.remedies(p)
        return Way(in_vain(p, self._dear, order), in_vain(p, self.table.remedies, order))

    def telling(self, p: Sequence[float], left: frozenset[int]) -> list[int]:
        """The checks of `left` that can change anything, in their written order."""
        return [c for c in sorted(left) if tells(p, self.table.checks[c])]

    def certain(self, p: Sequence[float]) -> bool:
        """Whether one cause stands out."""
        return max(p) >= self.table.enough - TINY

    def values(self, p: tuple[float, ...], left: frozenset[int]) -> tuple[dict[int, Way], bool]:
        """What is expected when each telling check of `left` comes next, and whether that is exact."""
        useful = self.telling(p, left)
        try:
            self._exact = {}
            return {c: self._through(p, left, c, self._best) for c in useful}, True
        except TooLarge:
            return {c: self._through(p, left, c, self._by_rule) for c in useful}, False

    def next(self, p: tuple[float, ...], left: frozenset[int]) -> tuple[dict[int, Way], bool]:
        """As `values`, but empty where it is time to mend."""
        if self.table.certain_only and self.certain(p):
            return {}, True
        values, exact = self.values(p, left)
        if values and not self.table.certain_only:
            least = min(way.cost for way in values.values())
            if round(least, 9) >= round(self.mend(p).cost, 9):
                return {}, exact
        return values, exact

    def _through(self, p, left, c, onward, limit: float = math.inf) -> Way:
        """Check `c` next; given up as soon as it costs `limit` or more."""
        check, rest = self.table.checks[c], left - {c}
        cost = minutes = check.minutes
        for row in check.likely:
            if cost >= limit:
                break
            chance, q = after(p, row)
            if q is not None and chance > TINY:
                way = onward(q, rest)
                cost += chance * way.cost
                minutes += chance * way.minutes
        return Way(cost, minutes)

    def _stops(self, p, telling: list[int], mend: Way) -> bool:
        """Whether it is plainly time to mend: no check can tell or repay its minutes, or nothing need be told."""
        if self.table.certain_only:
            return not telling or self.certain(p)
        return not telling or mend.cost <= min(self.table.checks[c].minutes for c in telling)

    def _best(self, p, left) -> Way:
        key = (left, tuple(round(x, 12) for x in p))
        if key not in self._exact:
            if len(self._exact) >= MOST_STATES:
                raise TooLarge
            telling, best = self.telling(p, left), self.mend(p)
            self._exact[key] = best
            if not self._stops(p, telling, best):
                if self.table.certain_only:
                    best = Way(math.inf, math.inf)
                for c in telling:
                    way = self._through(p, left, c, self._best, best.cost)
                    if way.cost < best.cost - TINY:
                        best = way
                self._exact[key] = best
        return self._exact[key]

    def _by_rule(self, p, left) -> Way:
        key = (left, tuple(round(x, 12) for x in p))
        if key not in self._rule:
            telling, mend = self.telling(p, left), self.mend(p)
            if self._stops(p, telling, mend):
                self._rule[key] = mend
            else:
                way = self._through(p, left, self.by_information(p, left), self._by_rule)
                self._rule[key] = way if self.table.certain_only else min(way, mend)
        return self._rule[key]

    def by_information(self, p, left) -> int:
        """The telling check with the most information for its minutes; the earlier one of equals."""
        return max((c for c in sorted(left) if tells(p, self.table.checks[c])),
                   key=lambda c: (round(information(p, self.table.checks[c])
                                        / max(self.table.checks[c].minutes, TINY), 9), -c))

    def by_habit(self, p: tuple[float, ...], left: Sequence[int]) -> float:
        """Expected minutes when the checks are made as they are written until one cause stands out."""
        known: dict = {}

        def onward(q, start: int) -> float:
            if self.certain(q) or start == len(left):
                return self.mend(q).minutes
            key = (start, tuple(round(x, 12) for x in q))
            if key not in known:
                check = self.table.checks[left[start]]
                total = check.minutes
                for row in check.likely:
                    chance, r = after(q, row)
                    if r is not None and chance > TINY:
                        total += chance * onward(r, start + 1)
                known[key] = total
            return known[key]

        return onward(p, 0)


def choose(values: dict[int, Way]) -> list[int]:
    """The checks of `values` from the one that costs least to the most; the earlier one of equals."""
    return sorted(values, key=lambda c: (round(values[c].cost, 9), c))


def ratio_order(probabilities: Sequence[float], minutes: Sequence[float]) -> tuple[list[int], float]:
    """Checks that each find their own cause for certain, all made: the order and its expected minutes.

    Smallest minutes over probability first (Kalagnanam and Henrion 1990); returns indices and minutes.
    """
    order = sorted(range(len(minutes)), key=lambda i: (minutes[i] / probabilities[i], i))
    spent, expected = 0.0, 0.0
    for i in order:
        spent += minutes[i]
        expected += probabilities[i] * spent
    return order, expected
