"""What the benchmarks hand back: lines of measured figures beside a peer's, and contenders measured in turns."""

import statistics
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

Figures = Mapping[str, float]
"""What one turn measured: name -> figure, in the unit of the line that it goes to."""


@dataclass(frozen=True)
class Goal:
    """
    What a line is to reach: a ratio to the peer, or a figure of its own, of at most `most`. `always`: in every turn, where
    for others the median counts.
    """

    most: float
    ratio: bool = True
    always: bool = False

    def held(self, line: "Line") -> bool:
        """Whether it is reached. A line without a peer's figures cannot reach a ratio."""
        found = line.ratio if self.ratio else (max if self.always else statistics.median)(line.ours)
        return found is not None and found <= self.most


@dataclass(frozen=True)
class Line:
    """One line of the table: `what` was measured at which `pace`, in `unit`, of ours and of the `peer`, turn by turn."""

    bench: str
    what: str
    unit: str
    ours: Sequence[float]
    pace: str = "plain"
    peer: str = ""
    theirs: Sequence[float] = ()
    goal: Goal | None = None
    note: str = ""

    @property
    def ratio(self) -> float | None:
        """Median of ours over the median of the peer's; None without a peer, or where the peer's is nothing."""
        if not self.theirs or not statistics.median(self.theirs):
            return None
        return statistics.median(self.ours) / statistics.median(self.theirs)

    @property
    def held(self) -> bool | None:
        """Whether its goal is reached; None where it has none."""
        return self.goal.held(self) if self.goal else None


OFTEN = 3
"""So many times as many turns are taken where two turns of one side differ by more than the sides do."""


def in_turns(contenders: Mapping[str, Callable[[], Figures]], turns: int) -> dict[str, list[Figures]]:
    """Let each contender measure `turns` times, one after the other, each first as often as last."""
    names = list(contenders)
    found: dict[str, list[Figures]] = {name: [] for name in names}
    for turn in range(turns):
        for name in names if turn % 2 == 0 else reversed(names):
            found[name].append(contenders[name]())
    return found


def column(turns: Sequence[Figures], name: str) -> list[float]:
    """One figure of every turn that measured it."""
    return [one[name] for one in turns if name in one]
