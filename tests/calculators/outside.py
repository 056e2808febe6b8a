"""What each calculator's outputs are held against: noted by the tests as they run, printed when they end.

A test that compares with something outside the project says so with `held`; the list of calculator,
output, oracle, range and number of cases is made from these notes alone.
"""

from dataclasses import dataclass, field


@dataclass
class Held:
    """One output held against one oracle: how many cases, and the range of each input that was varied."""

    cases: int = 0
    ranges: dict[str, tuple[float, float]] = field(default_factory=dict)

    def add(self, inputs: dict[str, float]) -> None:
        """Count one case."""
        self.cases += 1
        for name, value in inputs.items():
            low, high = self.ranges.get(name, (value, value))
            self.ranges[name] = (min(low, value), max(high, value))


NOTES: dict[tuple[str, str, str], Held] = {}


def held(calculator: str, outputs: str, oracle: str, **inputs: float) -> None:
    """Note one case: the calculator's `outputs` (words parted by spaces) are compared with `oracle` at `inputs`."""
    for output in outputs.split():
        NOTES.setdefault((calculator, output, oracle), Held()).add(inputs)


def lines() -> list[str]:
    """The list, a line for each calculator, output and oracle."""
    made = []
    for (calculator, output, oracle), note in sorted(NOTES.items()):
        ranges = ", ".join(f"{name} {low:.4g} to {high:.4g}" if low != high else f"{name} {low:.4g}"
                           for name, (low, high) in note.ranges.items())
        made.append(f"{calculator} | {output} | {oracle} | {ranges or 'as published'} | {note.cases}")
    return made


def without(calculators: dict[str, list[str]]) -> list[str]:
    """Outputs (calculator -> names) of the calculators noted that nothing outside was held against."""
    known = {(calculator, output) for calculator, output, _oracle in NOTES}
    tried = {calculator for calculator, _output in known}
    return [f"{calculator}: {output}" for calculator, outputs in calculators.items() if calculator in tried
            for output in outputs if (calculator, output) not in known]
