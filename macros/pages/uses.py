"""Who uses what: the procedures of each part, tool, calculator, group and machine, found in one pass over the handbook."""

from collections import defaultdict
from collections.abc import Mapping

from macros.model import Handbook, Machine, Procedure


class Uses:
    """Procedures by what they use, and machines by the parts fitted, each in the content's order."""

    def __init__(self, handbook: Handbook):
        self.parts: Mapping[str, list[Procedure]] = defaultdict(list)
        self.tools: Mapping[str, list[Procedure]] = defaultdict(list)
        self.calculators: Mapping[str, list[Procedure]] = defaultdict(list)
        self.groups: Mapping[str, list[Procedure]] = defaultdict(list)
        self.machines: Mapping[str, list[Machine]] = defaultdict(list)
        self._order = {id: place for place, id in enumerate(handbook.procedures)}
        self._of_all: list[Procedure] = []
        self._of: Mapping[str, list[Procedure]] = defaultdict(list)
        for one in handbook.procedures.values():
            for part in {part for step in one.steps for part in step.parts}:
                self.parts[part].append(one)
            for tool in {*one.bring, *(tool for step in one.steps for tool in step.tools)}:
                self.tools[tool].append(one)
            for calculator in {step.calculator.id for step in one.steps if step.calculator}:
                self.calculators[calculator].append(one)
            self.groups[one.group].append(one)
            for machine in set(one.machines):
                self._of[machine].append(one)
            if not one.machines:
                self._of_all.append(one)
        for held in handbook.machines.values():
            for part in set(held.parts):
                self.machines[part].append(held)

    def on(self, machine: str) -> list[Procedure]:
        """The procedures for a machine: its own, and those for all machines."""
        return sorted([*self._of[machine], *self._of_all], key=lambda one: self._order[one.id])
