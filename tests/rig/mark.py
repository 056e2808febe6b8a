"""A mark: what the rig found of the advice, how often, and the bound that it is held to."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

UNITS = ("share", "mm", "h", "min")
"""What a mark's value is: a share of 1, millimetres, hours or minutes."""


@dataclass(frozen=True)
class Mark:
    """One figure of the examination of one machine.

    ``value`` and ``count`` are the figure and the number of cases that it was made from; ``least`` and ``most``
    are its bounds, None where there is none. A mark without bounds is stated, not held.
    """

    id: str
    value: float
    count: int
    least: float | None = None
    most: float | None = None
    unit: str = "share"

    def __post_init__(self) -> None:
        if self.unit not in UNITS:
            raise ValueError(f"{self.id}: unit {self.unit!r}; it is one of {', '.join(UNITS)}")
        if self.count < 1 or not math.isfinite(self.value):
            raise ValueError(f"{self.id}: {self.value} of {self.count} cases is no figure")

    @property
    def bound(self) -> bool:
        """Whether the mark is held to anything."""
        return self.least is not None or self.most is not None

    @property
    def held(self) -> bool:
        """Whether the figure is within its bounds."""
        return (self.least is None or self.value >= self.least) and (self.most is None or self.value <= self.most)


def share(id: str, times: int, count: int, least: float | None = None, most: float | None = None) -> Mark:
    """A mark that is `times` of `count`."""
    return Mark(id, times / count, count, least, most)


def table(marks: Sequence[Mark]) -> str:
    """The marks as lines of text, for a terminal."""
    return "\n".join(_line(mark) for mark in marks)


def _line(mark: Mark) -> str:
    bounds = [f"{word} {_figure(limit, mark.unit)}"
              for word, limit in (("at least", mark.least), ("at most", mark.most)) if limit is not None]
    state = ("reached" if mark.held else "NOT REACHED") if mark.bound else "stated"
    return f"{mark.id:<34} {_figure(mark.value, mark.unit):>12} of {mark.count:<6} {state:<12} {', '.join(bounds)}".rstrip()


def _figure(value: float, unit: str) -> str:
    return f"{value * 100:.2f} %" if unit == "share" else f"{value:.4g} {unit}"
