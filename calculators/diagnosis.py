"""One cause at a time: posterior over causes, and the order of checks that costs the fewest minutes.

A table has causes with weights, and checks with minutes and ``P(result | cause)``. Results of different
checks are taken as independent once the cause is given. With ``w`` the weights and ``r`` the results found,
``P(cause | r)`` is proportional to ``w * product of P(r_i | cause)`` (Bayes).

The search minimises the expected minutes until one cause stands out (probability >= `enough`). Where no
check is left that can tell the causes apart, the likeliest remedies are tried in turn and the minutes of
those tried in vain are added. Exact while the tree is small (every distinct set of results is looked at
once); beyond `MOST_STATES` one step of look-ahead over a rule: the check with the most information for
its minutes. With checks that each find their own cause for certain this is the rule of Kalagnanam and
Henrion: minutes over probability, smallest first, the last cause left unchecked.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

#: The most distinct states looked at for an exact answer; a browser on a slow tablet does this in seconds.
MOST_STATES = 4000
#: Probabilities closer than this are the same: decisions must not hang on the last bits.
TINY = 1e-9


@dataclass(frozen=True)
class Check:
    """A check: minutes it takes and, for each result, its probability under each cause."""

    minutes: float
    likely: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Table:
    """Weights of the causes, minutes of each remedy, the checks in their written order."""

    weights: tuple[float, ...]
    remedies: tuple[float, ...]
    checks: tuple[Check, ...]
    enough: float = 0.95


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


def in_vain(p: Sequence[float], remedies: Sequence[float]) -> float:
    """Expected minutes of remedies tried in vain, tried in the order of minutes over probability."""
    order = sorted((i for i, x in enumerate(p) if x > TINY), key=lambda i: (remedies[i] / p[i], i))
    spent = lost = 0.0
    for i in order:
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
    """Expected minutes from a posterior with some checks left; exact or by look-ahead."""

    def __init__(self, table: Table):
        self.table = table
        self._exact: dict = {}
        self._rule: dict = {}

    def values(self, p: tuple[float, ...], left: frozenset[int]) -> tuple[dict[int, float], bool]:
        """Expected minutes when each telling check of `left` comes next, and whether they are exact."""
        useful = [c for c in sorted(left) if tells(p, self.table.checks[c])]
        try:
            self._exact = {}
            return {c: self._through(p, left, c, self._best) for c in useful}, True
        except TooLarge:
            return {c: self._through(p, left, c, self._by_rule) for c in useful}, False

    def _through(self, p, left, c, onward) -> float:
        check, rest = self.table.checks[c], left - {c}
        minutes = check.minutes
        for row in check.likely:
            chance, q = after(p, row)
            if q is not None and chance > TINY:
                minutes += chance * onward(q, rest)
        return minutes

    def _ended(self, p, left) -> float | None:
        if max(p) >= self.table.enough - TINY:
            return 0.0
        if not any(tells(p, self.table.checks[c]) for c in left):
            return in_vain(p, self.table.remedies)
        return None

    def _best(self, p, left) -> float:
        key = (left, tuple(round(x, 12) for x in p))
        if key not in self._exact:
            if len(self._exact) >= MOST_STATES:
                raise TooLarge
            ended = self._ended(p, left)
            self._exact[key] = ended
            if ended is None:
                self._exact[key] = min(self._through(p, left, c, self._best)
                                       for c in sorted(left) if tells(p, self.table.checks[c]))
        return self._exact[key]

    def _by_rule(self, p, left) -> float:
        key = (left, tuple(round(x, 12) for x in p))
        if key not in self._rule:
            ended = self._ended(p, left)
            self._rule[key] = ended if ended is not None else self._through(
                p, left, self.by_information(p, left), self._by_rule)
        return self._rule[key]

    def by_information(self, p, left) -> int:
        """The telling check with the most information for its minutes; the earlier one of equals."""
        return max((c for c in sorted(left) if tells(p, self.table.checks[c])),
                   key=lambda c: (round(information(p, self.table.checks[c])
                                        / max(self.table.checks[c].minutes, TINY), 9), -c))

    def by_habit(self, p: tuple[float, ...], left: Sequence[int]) -> float:
        """Expected minutes when the checks are made in their written order until one cause stands out."""
        known: dict = {}

        def onward(q, start: int) -> float:
            if max(q) >= self.table.enough - TINY:
                return 0.0
            if start == len(left):
                return in_vain(q, self.table.remedies)
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


def choose(values: dict[int, float]) -> list[int]:
    """The checks of `values` from the fewest expected minutes to the most; the earlier one of equals."""
    return sorted(values, key=lambda c: (round(values[c], 9), c))


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
