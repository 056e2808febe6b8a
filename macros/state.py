"""The machine's state through the steps: what a procedure does to it, and whether hands are safe in it.

A procedure is walked item by item with every state that can reach the item: the procedures it runs
first, its branches into other procedures, its jumps. At the start nothing is known of the machine
unless `starts` says so. A state is a tuple of values in the order of the state variables, None for
unknown; with it travel the messages read so far and where each value was last set.
"""

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass, field

from macros.kept import Piece
from macros.model import Handbook, Procedure, Step
from macros.problems import Problem
from macros.state_here import Here, Setter, State, in_order
from macros.state_steps import Steps
from macros.words import _

#: Procedures may run each other this deep; deeper ones are refused (see `macros.rules.loops`).
MOST_DEEP = 40


@dataclass
class Walk:
    """What the walk found: problems, and the state in which each step is worked."""

    problems: list[Problem] = field(default_factory=list)
    at: dict[tuple[str, str], dict[str, str | None]] = field(default_factory=dict)


def walk(handbook: Handbook) -> Walk:
    """Walk every procedure of the handbook.

    A procedure that runs itself, one that is missing or one that could not be read is not walked: what it
    leaves behind is not known, and that is a problem of its own. Its steps are in no known state.
    """
    found = Walk()
    for procedure, piece in zip(handbook.procedures.values(), pieces(handbook), strict=True):
        problems, at = piece.found()
        found.problems += problems
        for step, values in at.items():
            found.at[procedure.id, step] = values
    return found


def pieces(handbook: Handbook) -> Iterator[Piece]:
    """The walk through each procedure."""
    walker = Walker(handbook)
    for procedure in handbook.procedures.values():
        yield Piece("walk", (*_rests_on(handbook, procedure), handbook.hazards),
                    lambda one=procedure: _walked(walker, one))


def _walked(walker: "Walker", procedure: Procedure) -> tuple[list[Problem], dict[str, dict[str, str | None]]]:
    """The problems of one procedure, and the state at each of its steps."""
    if procedure.id not in walker.depths:
        return [], {step.id: walker.joined_words(set()) for step in procedure.steps}
    one = walker.alone(procedure.id)
    return (one.problems or without_effect(walker, procedure),
            {step.id: walker.joined_words(one.reached.get(step.id, set())) for step in procedure.steps})


def _rests_on(handbook: Handbook, procedure: Procedure) -> list[Procedure | None]:
    """The procedure, all that it runs, and where each of them sends its reader: nothing else has a say in its walk."""
    found = {procedure.id: procedure}
    waiting = [procedure]
    while waiting:
        one = waiting.pop()
        for name, _at in one.runs() if one is not None else ():
            if name not in found:
                found[name] = handbook.procedures.get(name)
                waiting.append(found[name])
    sent = {step.if_not.go for one in found.values() if one is not None for step in one.steps if step.if_not is not None}
    return [*found.values(), *(handbook.procedures.get(name) for name in sorted(sent - found.keys()))]


def depths(handbook: Handbook) -> dict[str, int]:
    """How deep each procedure runs others; without those that loop, lack one they run, or have no step."""
    runs = {
        name: {to for to, _at in procedure.runs()}
        for name, procedure in handbook.procedures.items()
        if procedure.steps
    }
    run_by: dict[str, list[str]] = {}
    for name, targets in runs.items():
        for target in targets:
            run_by.setdefault(target, []).append(name)
    waiting = {name: len(targets) for name, targets in runs.items()}
    found: dict[str, int] = {}
    ready = [name for name, number in waiting.items() if not number]
    while ready:
        name = ready.pop()
        found[name] = max((found[target] + 1 for target in runs[name]), default=0)
        for user in run_by.get(name, ()):
            waiting[user] -= 1
            if not waiting[user]:
                ready.append(user)
    return found


def without_effect(walker: "Walker", procedure: Procedure) -> list[Problem]:
    """Values set that nothing depends on: without them all would pass just the same.

    Where the procedure's own walk does not show that it relies on one, that one is taken out and the procedure, which has no other
    problem, is walked again, so that no setting can be lost unseen.
    """
    problems = []
    walked = walker.alone(procedure.id)
    for number, item in enumerate(procedure.items):
        if not isinstance(item, Step):
            continue
        for name in item.sets:
            if name not in walker.index or walked.relies_on(item, name):
                continue
            fewer = dataclasses.replace(item, sets={k: v for k, v in item.sets.items() if k != name})
            items = (*procedure.items[:number], fewer, *procedure.items[number + 1 :])
            if Steps(walker, dataclasses.replace(procedure, items=items), onward=walked.onward, changed=number).passes():
                problems.append(
                    Problem(
                        item.place(f"sets/{name}"),
                        "idle-set",
                        _('nothing needs "{state}" before it is set again').format(
                            state=walker.says(name, item.sets[name])
                        ),
                        _("what a step sets is needed by something, or is left at the end"),
                        _("write it into needs of the step that needs it, or take it out of sets"),
                    )
                )
    return problems


class Walker:
    """What all procedures share: the variables, and what a procedure leaves behind."""

    def __init__(self, handbook: Handbook):
        self.handbook = handbook
        self.zones, self.messages = handbook.zones, handbook.messages
        self.variables = list(handbook.state)
        self.index = {name: i for i, name in enumerate(self.variables)}
        self.depths = {name: depth for name, depth in depths(handbook).items() if depth <= MOST_DEEP}
        #: Variables whose values may need others: (name, its place in a state, value -> what is said of it).
        self.holding = [(name, self.index[name], values) for name, variable in handbook.state.items()
                        for values in [{value: held for value, held in variable.values.items() if held is not None and held.needs}]
                        if values]
        running = handbook.running
        self.running = {} if running is None else {n: value for n, value in running.state.items() if n in self.index}
        self.runs = running is not None
        self._alone: dict[str, Steps] = {}
        self._set_by: dict[str, set[str]] = {}
        self._run: dict[tuple[str, State], tuple[Steps, set[Here]]] = {}

    def alone(self, name: str) -> Steps:
        """The walk through a procedure by itself, from what it says of its start."""
        if name not in self._alone:
            self._alone[name] = Steps(self, self.handbook.procedures[name])
            self._alone[name].walk()
        return self._alone[name]

    def after(self, name: str, here: Here) -> tuple[set[Here], list[tuple[Step, str, str]]]:
        """The states that a procedure run from `here` leaves, and what only this run of it makes wrong.

        The latter are values whose own needs are not met in a state that the procedure met on this run
        alone: (step, variable, variable needed).
        """
        key = (name, here.state)
        if key not in self._run:
            handed_in = tuple(("", "", i) for i in range(len(self.variables)))
            steps = Steps(self, self.handbook.procedures[name], Here(here.state, frozenset(), handed_in))
            self._run[key] = (steps, steps.walk())
        steps, ends = self._run[key]
        here_ends = {
            Here(end.state, here.read, tuple(self._handed(here, setter) for setter in end.setters))
            for end in in_order(ends)
        }
        known = {(step.id, name, needed) for step, name, needed in self.alone(name).unheld}
        return here_ends, [
            (step, variable, needed)
            for step, variable, needed in steps.unheld
            if (step.id, variable, needed) not in known
        ]

    def touched(self, procedure: Procedure) -> set[str]:
        """The variables that a procedure speaks of at its start or sets, itself or by those that it runs."""
        return set(procedure.starts) | self._sets(procedure)

    def _sets(self, procedure: Procedure) -> set[str]:
        found = set().union(*(step.sets for step in procedure.steps))
        for name, _at in procedure.runs():
            if name not in self._set_by:
                self._set_by[name] = self._sets(self.handbook.procedures[name])
            found |= self._set_by[name]
        return found

    @staticmethod
    def _handed(here: Here, setter: Setter | None) -> Setter | None:
        """Who set a value: where it came in with the machine, whoever had set it before."""
        return here.setters[setter[2]] if setter is not None and not setter[0] else setter

    def start(self, known: dict[str, str]) -> Here:
        """The state at the start of a procedure: what it says, and nothing else."""
        state = tuple(known.get(name) for name in self.variables)
        return Here(state, frozenset(), tuple([None] * len(self.variables)))

    def put(self, here: Here, sets: dict[str, str], setter: Setter) -> Here:
        """`here` with values set by a step."""
        state, setters = list(here.state), list(here.setters)
        for name, value in sets.items():
            if name in self.index:
                state[self.index[name]] = value
                setters[self.index[name]] = setter
        return Here(tuple(state), here.read, tuple(setters))

    def missing(self, here: Here, needs: dict[str, str]) -> list[str]:
        """Names of the needed variables that do not have their value."""
        return [
            name
            for name, value in needs.items()
            if name in self.index and here.state[self.index[name]] != value
        ]

    def says(self, name: str, value: str | None) -> str:
        """A value in the content's words: "key out"; the variable is unknown without a value."""
        variable = self.handbook.state[name]
        if value is None:
            return _("{variable} unknown").format(variable=variable.title)
        held = variable.values.get(value)
        return held.says if held else f"{variable.title} {value}"

    def joined_words(self, heres: set[Here]) -> dict[str, str | None]:
        """The state all of `heres` share; None where they differ or it is unknown."""
        states = [here.state for here in heres]
        if len(states) == 1:
            return dict(zip(self.variables, states[0], strict=True))
        return {
            name: states[0][i] if states and len({s[i] for s in states}) == 1 else None
            for name, i in self.index.items()
        }

    def joined(self, heres: set[Here]) -> Here:
        """One state that stands for all of `heres`: what differs is unknown, which is the safe side."""
        words = self.joined_words(heres)
        read = frozenset.intersection(*(here.read for here in heres))
        return Here(tuple(words[name] for name in self.variables), read, in_order(heres)[0].setters)
