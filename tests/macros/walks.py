"""Small handbooks drawn at random, and an oracle for them that follows every path by itself.

The oracle knows nothing of sets of states: it takes each choice at each step (go on, run the other
procedure, jump), carries one plain state along one path, and notes what the rules of the walk refuse on
it. A path takes each jump twice at most, which is enough to reach every state of handbooks this small.
"""

import dataclasses
import functools
import random

from macros import model
from macros.check import load_and_check
from macros.problems import At

from .contents import SMALL

MOST_JUMPS = 2
VALUES = {"key": ("in", "out"), "vacuum": ("running", "stopped")}
SAFE = {"key": "out", "vacuum": "stopped"}
RUN = {"key": "in", "vacuum": "running"}
LINE = {"starts": 9001, "first": 9002}

Note = tuple[str, str, int]
"""Rule, file (the procedure's id) and line."""


def handbook(procedures: dict[str, model.Procedure]) -> model.Handbook:
    """The small handbook of the tests with other procedures."""
    return dataclasses.replace(_small(), procedures=procedures)


@functools.cache
def _small() -> model.Handbook:
    made, problems = load_and_check(SMALL)
    assert made is not None and not problems
    return made


def procedure(
    name: str, items: list, first: tuple[str, ...] = (), starts: dict | None = None
) -> model.Procedure:
    """A procedure whose items stand in lines 1, 2, 3 ..., its links to others in lines of their own."""
    placed = tuple(
        dataclasses.replace(item, at=At(name, number), **_branch(item, name, number))
        for number, item in enumerate(items, 1)
    )
    return model.Procedure(
        title=name,
        group="find",
        achieves="x",
        minutes=1,
        done_when="y",
        first=first,
        starts=starts or {},
        id=name,
        items=placed,
        at=At(name, LINE["first"]),
    )


def _branch(item, name: str, number: int) -> dict:
    if not isinstance(item, model.Step) or item.if_not is None:
        return {}
    return {"if_not": dataclasses.replace(item.if_not, at=At(name, number))}


def step(id: str, **more) -> model.Step:
    branch = more.pop("if_not", None)
    return model.Step(id=id, do=id, text=id, if_not=model.Branch(**branch) if branch else None, **more)


# ---- the oracle ----


class Paths:
    """Every path through a handbook's procedures; `notes` are what the rules refuse on any of them."""

    def __init__(self, made: model.Handbook):
        self.made = made
        self.notes: set[Note] = set()

    def alone(self, name: str) -> set[tuple]:
        """Follow a procedure by itself; the states at its end."""
        one = self.made.procedures[name]
        start = {variable: one.starts.get(variable) for variable in VALUES}
        ends, notes = self.follow(name, start)
        self.notes |= notes | self._messages(one)
        return ends

    def follow(self, name: str, start: dict) -> tuple[set[tuple], set[Note]]:
        one = self.made.procedures[name]
        notes: set[Note] = set()
        same: dict[tuple[int, str], list[bool]] = {}
        states = [start]
        for other in one.first:
            states = [
                dict(zip(VALUES, end, strict=True))
                for state in states
                for end in self._run(other, state, name, LINE["first"], notes)
            ]
        ends: set[tuple] = set()
        work = [(0, tuple(state.values()), (), ()) for state in states]
        while work:
            number, values, read, jumps = work.pop()
            if number == len(one.items):
                ends.add(values)
                continue
            item, state = one.items[number], dict(zip(VALUES, values, strict=True))
            if isinstance(item, model.Placed):
                work.append((number + 1, values, (*read, number), jumps))
                continue
            if not isinstance(item, model.Step):
                work.append((number + 1, values, read, jumps))
                continue
            for variable, value in item.sets.items():
                same.setdefault((number, variable), []).append(state[variable] == value)
            state |= item.sets
            values = tuple(state.values())
            self._work(one, number, item, state, read, notes)
            work.append((number + 1, values, read, jumps))
            branch = item.if_not
            if branch is None:
                continue
            if branch.go and branch.back:
                work += [
                    (number + 1, end, read, jumps)
                    for end in self._run(branch.go, state, name, number + 1, notes)
                ]
            elif branch.go:
                self._starts(branch.go, state, name, number + 1, notes)
            if branch.to and jumps.count(number) < MOST_JUMPS:
                aim = next(
                    i
                    for i, other in enumerate(one.items)
                    if isinstance(other, model.Step) and other.id == branch.to
                )
                work.append((aim, values, read, (*jumps, number)))
        notes |= {("idle-set", name, number + 1) for (number, _variable), every in same.items() if all(every)}
        self._end(one, ends, notes)
        return ends, notes

    def _run(self, other: str, state: dict, name: str, line: int, notes: set[Note]) -> set[tuple]:
        self._starts(other, state, name, line, notes)
        ends, inner = self.follow(other, state)
        start = {variable: self.made.procedures[other].starts.get(variable) for variable in VALUES}
        _ends, by_itself = self.follow(other, start)
        if {note for note in inner if note[0] == "state-holds"} - by_itself:
            notes.add(("state-holds", name, line))
        return ends

    def _starts(self, other: str, state: dict, name: str, line: int, notes: set[Note]) -> None:
        if any(state[k] != v for k, v in self.made.procedures[other].starts.items()):
            notes.add(("starts", name, line))

    def _work(self, one, number: int, item, state: dict, read: tuple, notes: set[Note]) -> None:
        line = number + 1
        if any(state[k] != v for k, v in item.needs.items()):
            notes.add(("step-needs", one.id, line))
        if (
            state["vacuum"] == "running" and state["key"] != "in"
        ):  # what tests/macros/small says of a running vacuum
            notes.add(("state-holds", one.id, line))
        for zone in item.hands:
            if zone == "fan" and (state["key"] != "out" or state["vacuum"] != "stopped"):
                notes.add(("zone-state", one.id, line))
            if zone == "fan" and state["vacuum"] in ("running", None):
                notes.add(("running", one.id, line))
            message = {"fan": "turning-fan", "port": "pull"}[zone]
            if not any(one.items[i].message == message and self._holds(one, i, number) for i in read):
                notes.add(("message", one.id, line))

    @staticmethod
    def _holds(one, placed: int, number: int) -> bool:
        """Before the step, and with no heading between them unless no heading stands before the message."""

        def headings(a: int, b: int) -> int:
            return sum(isinstance(item, model.Heading) for item in one.items[a:b])

        return placed < number and (headings(placed, number) == 0 or headings(0, placed) == 0)

    def _messages(self, one) -> set[Note]:
        notes = set()
        for number, item in enumerate(one.items):
            if not isinstance(item, model.Placed):
                continue
            zone = {"turning-fan": "fan", "pull": "port"}[item.message]
            if not any(
                isinstance(later, model.Step) and zone in later.hands and self._holds(one, number, i)
                for i, later in enumerate(one.items)
            ):
                notes.add(("message-idle", one.id, number + 1))
            if any(
                isinstance(before, model.Placed)
                and before.message == item.message
                and self._holds(one, i, number)
                for i, before in enumerate(one.items)
            ):
                notes.add(("message-twice", one.id, number + 1))
        return notes

    def sets(self, name: str) -> set[str]:
        """The variables that a procedure sets, itself or by those that it runs."""
        one = self.made.procedures[name]
        others = [*one.first, *(s.if_not.go for s in one.steps if s.if_not and s.if_not.go and s.if_not.back)]
        return {variable for item in one.steps for variable in item.sets}.union(*map(self.sets, others))

    def _end(self, one, ends: set[tuple], notes: set[Note]) -> None:
        *before, last = one.steps
        notes |= {("end-state", one.id, early.at.line) for early in before if early.leaves}
        for number, variable in enumerate(VALUES):
            named = last.leaves.get(variable)
            touched = variable in one.starts or variable in self.sets(one.id)
            if touched and named is None or (touched or named) and {end[number] for end in ends} != {named}:
                notes.add(("end-state", one.id, last.at.line))


def expected(made: model.Handbook) -> set[Note]:
    """What the walk must refuse, found path by path; values that nothing needs among them."""
    paths = Paths(made)
    for name in made.procedures:
        before, paths.notes = paths.notes, set()
        paths.alone(name)
        if not paths.notes:
            paths.notes = _without_effect(made, name)
        paths.notes |= before
    return paths.notes


def _without_effect(made: model.Handbook, name: str) -> set[Note]:
    one, found = made.procedures[name], set()
    for number, item in enumerate(one.items):
        for variable in item.sets if isinstance(item, model.Step) else ():
            paths = Paths(
                dataclasses.replace(made, procedures={**made.procedures, name: lost(one, number, variable)})
            )
            paths.alone(name)
            if not paths.notes:
                found.add(("idle-set", name, number + 1))
    return found


def lost(one: model.Procedure, number: int, variable: str) -> model.Procedure:
    """A procedure whose item `number` no longer sets `variable`."""
    item = one.items[number]
    fewer = dataclasses.replace(item, sets={k: v for k, v in item.sets.items() if k != variable})
    return dataclasses.replace(one, items=(*one.items[:number], fewer, *one.items[number + 1 :]))


# ---- drawing handbooks ----


def some(rng: random.Random, most: int = 2) -> dict[str, str]:
    """A few variables with values."""
    names = rng.sample(list(VALUES), min(rng.randint(0, most), len(VALUES)))
    return {name: rng.choice(VALUES[name]) for name in names}


def drawn(seed: int) -> model.Handbook:
    """A handbook with a drawn procedure, one that it may run, and two plain ones; the same for a seed."""
    rng = random.Random(seed)
    made = {
        "safe": procedure("safe", [step("s", sets=SAFE, leaves=SAFE)]),
        "start": procedure("start", [step("s", sets=RUN, leaves=RUN)], starts=rng.choice(({}, SAFE))),
        "inner": _drawn(rng, "inner", ("safe", "start"), 2),
    }
    made["main"] = _drawn(rng, "main", ("safe", "start", "inner"), 5)
    return handbook(made)


def _drawn(rng: random.Random, name: str, others: tuple[str, ...], most: int) -> model.Procedure:
    number = rng.randint(1, most)
    items: list = []
    for i in range(number):
        if rng.random() < 0.25:
            items.append(model.Heading(title="A"))
        if rng.random() < 0.4:
            items.append(model.Placed(message=rng.choice(("turning-fan", "pull"))))
        more: dict = {"sets": some(rng) if rng.random() < 0.6 else {}}
        if rng.random() < 0.4:
            more["hands"] = (rng.choice(("fan", "port")),)
        if rng.random() < 0.2:
            more["needs"] = some(rng, 1)
        kind = rng.random()
        if kind < 0.15:
            more["if_not"] = {"go": rng.choice(others), "back": True}
        elif kind < 0.25:
            more["if_not"] = {"go": rng.choice(others)}
        elif kind < 0.4:
            more["if_not"] = {"to": f"s{rng.randrange(number)}"}
        if i == number - 1:
            more["leaves"] = rng.choice((SAFE, RUN, some(rng)))
        elif rng.random() < 0.03:
            more["leaves"] = some(rng)
        items.append(step(f"s{i}", **more))
    first = (rng.choice(others),) if rng.random() < 0.5 else ()
    return procedure(name, items, first, some(rng) if rng.random() < 0.3 else {})


def mended(made: model.Handbook, check, rounds: int = 60) -> model.Handbook | None:
    """A drawn handbook with what `check` refuses mended bit by bit; None when that does not end."""
    rng = random.Random(1)
    for _round in range(rounds):
        problems = check(made)
        if not problems:
            return made
        problem = problems[0]
        one = made.procedures[problem.file]
        made = dataclasses.replace(
            made, procedures={**made.procedures, one.id: _mend(made, one, problem, rng)}
        )
    return None


def _mend(made: model.Handbook, one: model.Procedure, problem, rng: random.Random) -> model.Procedure:
    items, number = list(one.items), problem.line - 1
    if problem.line == LINE["first"]:
        return dataclasses.replace(one, first=())
    item = items[number]
    if isinstance(item, model.Placed):
        del items[number]
    elif problem.rule == "message":
        message = {"fan": "turning-fan", "port": "pull"}[item.hands[0]]
        items.insert(number, model.Placed(message=message))
        if item.if_not is not None and item.if_not.to or rng.random() < 0.2:
            items[number + 1] = dataclasses.replace(item, hands=())
            del items[number]
    elif problem.rule in ("zone-state", "running"):
        items[number] = (
            dataclasses.replace(item, sets=SAFE)
            if rng.random() < 0.7
            else dataclasses.replace(item, hands=())
        )
    elif problem.rule == "state-holds":
        items[number] = dataclasses.replace(item, if_not=None, sets=SAFE if rng.random() < 0.5 else RUN)
    elif problem.rule == "starts":
        items[number] = dataclasses.replace(item, if_not=None)
    elif problem.rule == "step-needs":
        items[number] = dataclasses.replace(item, needs={})
    elif problem.rule == "idle-set":
        gone = rng.choice(sorted(item.sets))
        items[number] = dataclasses.replace(item, sets={k: v for k, v in item.sets.items() if k != gone})
    elif item.leaves and item.id != one.steps[-1].id:
        items[number] = dataclasses.replace(item, leaves={})
    else:
        ends = Paths(made).alone(one.id)
        agreed = {
            name: values.pop()
            for i, name in enumerate(VALUES)
            if len(values := {end[i] for end in ends}) == 1
        }
        differing = {name: SAFE[name] for name in VALUES if name not in agreed}
        items[number] = dataclasses.replace(
            item, leaves={k: v for k, v in agreed.items() if v} | differing, sets={**item.sets, **differing}
        )
    return procedure(one.id, items, one.first, one.starts)
