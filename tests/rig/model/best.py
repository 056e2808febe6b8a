"""The best that can be had on a symptom's table, and the habit that is beaten: two policies to hold the advice against.

Best means the fewest expected minutes of checks and remedies in vain, over every policy there is: at any moment any
check may be made or any remedy tried, a remedy in vain is a finding like another, and nothing forces anybody to be
certain. Found exactly, by dynamic programming over every set of results and every set of remedies in vain.
"""

from itertools import combinations

import numpy as np

from .jobs import Symptom
from .living import Found, Policy, joint

_SLACK = 1e-12
"""Minutes that an option must win by, so that the last bits decide nothing."""


class Best:
    """The policy with the fewest expected minutes for a symptom; called as a `living.Policy`.

    The causes still possible are the bits of a mask. ``_minutes[made]`` holds, for the checks made (a set of indices),
    an array with an axis of results for each of them in order, and a last axis of masks: the expected minutes onward
    times the chance to come there. Times the chance, what follows a check is a plain sum over its results.
    """

    def __init__(self, symptom: Symptom):
        self.symptom = symptom
        self._masks = np.arange(1 << len(symptom.causes))
        self._bits = np.array([(self._masks >> cause) & 1 for cause in range(len(symptom.causes))], float)
        self._sizes = self._bits.sum(axis=0)
        self._minutes: dict[tuple[int, ...], np.ndarray] = {}
        self._choice: dict[tuple[int, ...], np.ndarray] = {}
        everything = range(len(symptom.checks))
        for size in range(len(symptom.checks), -1, -1):
            for made in combinations(everything, size):
                self._solve(made)

    @property
    def minutes(self) -> float:
        """Expected minutes from the start."""
        return float(self._minutes[()][-1])

    def __call__(self, found: Found, mended: frozenset[int]) -> tuple[str, int]:
        made = tuple(check for check, result in enumerate(found) if result is not None)
        mask = int(self._masks[-1]) - sum(1 << cause for cause in mended)
        choice = int(self._choice[made][(*(result for result in found if result is not None), mask)])
        return ("check", choice) if choice >= 0 else ("mend", -1 - choice)

    def _solve(self, made: tuple[int, ...]) -> None:
        symptom = self.symptom
        weights = np.array(symptom.shares)
        for check in made:
            rows = np.array(symptom.checks[check].likely)
            weights = weights[..., None, :] * rows
        chance = weights @ self._bits
        best = np.full(chance.shape, np.inf)
        choice = np.zeros(chance.shape, np.int8)
        for check in range(len(symptom.checks)):
            if check not in made:
                wider = tuple(sorted((*made, check)))
                _take(best, choice, symptom.checks[check].minutes * chance
                      + self._minutes[wider].sum(axis=wider.index(check)), check)
        best[..., 0] = 0.0
        for size in range(1, len(symptom.causes) + 1):
            for cause in range(len(symptom.causes)):
                masks = self._masks[(self._sizes == size) & (self._bits[cause] == 1)]
                in_vain = chance[..., masks] - weights[..., cause, None]
                option = in_vain * symptom.remedies[cause] + best[..., masks & ~(1 << cause)]
                if size == 1:
                    option = np.zeros_like(option)  # one cause is left: nothing more is in vain
                before, chosen = best[..., masks], choice[..., masks]
                _take(before, chosen, option, -1 - cause)
                best[..., masks], choice[..., masks] = before, chosen
        self._minutes[made], self._choice[made] = best, choice


def _take(best: np.ndarray, choice: np.ndarray, option: np.ndarray, number: int) -> None:
    better = option < best - _SLACK
    best[better] = option[better]
    choice[better] = number


def habit(symptom: Symptom, plain: float = 0.95) -> Policy:
    """The written order: the checks as they stand until a cause is plain, then its remedy; in vain, on with the checks.

    Plain is what a person sees from the results: its probability reaches `plain`. With no check left the remedies are
    tried by minutes over probability, the cheapest chance first, which is the kindest to the habit.
    """
    def follow(found: Found, mended: frozenset[int]) -> tuple[str, int]:
        weights = joint(symptom, found, mended)
        top = max(range(len(weights)), key=lambda cause: weights[cause])
        if weights[top] >= plain * sum(weights) - _SLACK:
            return "mend", top
        left = [check for check, result in enumerate(found) if result is None]
        if left:
            return "check", left[0]
        return "mend", min((cause for cause in range(len(weights)) if weights[cause] > 0),
                           key=lambda cause: symptom.remedies[cause] / weights[cause])

    return follow
