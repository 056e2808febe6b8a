"""The machine's state through the steps: what a procedure does to it, and whether hands are safe in it.

A procedure is walked item by item with every state that can reach the item: the procedures it runs
first, its branches into other procedures, its jumps. At the start nothing is known of the machine
unless `starts` says so. A state is a tuple of values in the order of the state variables, None for
unknown; with it travel the messages read in the present part and where each value was last set.
"""

from dataclasses import dataclass, field

from macros.model import Handbook, Placed, Procedure, Step
from macros.problems import At, Problem
from macros.words import _

#: States beyond this number at one item are joined: a value that differs becomes unknown, which is the safe side.
MOST_STATES = 400

State = tuple[str | None, ...]
Setter = tuple[str, str, int]  # procedure, step, line


@dataclass(frozen=True)
class Here:
    """A state with the messages read in this part, and who last set each value (not part of what is compared)."""

    state: State
    read: frozenset[str] = frozenset()
    setters: tuple[Setter | None, ...] = field(default=(), compare=False)


def in_order(heres: "set[Here]") -> list[Here]:
    """States in an order that stays, so that the same content gives the same words."""
    return sorted(heres, key=lambda here: ([str(value) for value in here.state], sorted(here.read)))


@dataclass
class Walk:
    """What the walk found: problems, and the state in which each step is worked."""

    problems: list[Problem] = field(default_factory=list)
    at: dict[tuple[str, str], dict[str, str | None]] = field(default_factory=dict)


def walk(handbook: Handbook) -> Walk:
    """Walk every procedure of the handbook. Loops of procedures are another rule's business."""
    walker = _Walker(handbook)
    found = Walk()
    for procedure in handbook.procedures.values():
        one = _Procedure(walker, procedure)
        one.walk()
        found.problems += one.problems
        for step in procedure.steps:
            found.at[procedure.id, step.id] = walker.joined_words(one.reached.get(step.id, set()))
    return found


class _Walker:
    """What all procedures share: the variables, and what a procedure leaves behind."""

    def __init__(self, handbook: Handbook):
        self.handbook = handbook
        self.variables = list(handbook.state)
        self.index = {name: i for i, name in enumerate(self.variables)}
        self._ends: dict[tuple[str, State], set[Here]] = {}
        self._inside: list[str] = []

    def start(self, known: dict[str, str]) -> Here:
        state: list[str | None] = [None] * len(self.variables)
        for name, value in known.items():
            if name in self.index:
                state[self.index[name]] = value
        return Here(tuple(state), frozenset(), tuple([None] * len(self.variables)))

    def put(self, here: Here, sets: dict[str, str], setter: Setter) -> Here:
        state, setters = list(here.state), list(here.setters)
        for name, value in sets.items():
            if name in self.index:
                state[self.index[name]] = value
                setters[self.index[name]] = setter
        return Here(tuple(state), here.read, tuple(setters))

    def missing(self, here: Here, needs: dict[str, str]) -> list[str]:
        """Names of the needed variables that do not have their value."""
        return [name for name, value in needs.items()
                if name in self.index and here.state[self.index[name]] != value]

    def after(self, name: str, here: Here) -> set[Here]:
        """The states that a procedure run from `here` leaves; problems inside it are its own."""
        procedure = self.handbook.procedures.get(name)
        if procedure is None or name in self._inside:
            return {here}
        key = (name, here.state)
        if key not in self._ends:
            self._inside.append(name)
            one = _Procedure(self, procedure, Here(here.state, frozenset(), here.setters))
            self._ends[key] = one.walk()
            self._inside.pop()
        return {Here(end.state, here.read, end.setters) for end in self._ends[key]}

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
        return {name: states[0][i] if states and len({s[i] for s in states}) == 1 else None
                for name, i in self.index.items()}


class _Procedure:
    """The walk through one procedure."""

    def __init__(self, walker: _Walker, procedure: Procedure, entry: Here | None = None):
        self.walker, self.procedure = walker, procedure
        self.entry = entry or walker.start(procedure.starts)
        self.problems: list[Problem] = []
        self.reached: dict[str, set[Here]] = {}
        self._said: set[tuple] = set()
        self._redundant: dict[tuple[str, str], list[bool]] = {}

    def walk(self) -> set[Here]:
        """Walk from the entry; returns the states at the end."""
        entries = {self.entry}
        for number, name in enumerate(self.procedure.first):
            entries = self._run(name, entries, self.procedure.place(f"first/{number}"))
        items = self.procedure.items
        at_item: list[set[Here]] = [set() for _item in items]
        ends: set[Here] = set()
        work = [(0, here) for here in in_order(entries)]
        while work:
            number, here = work.pop()
            if number >= len(items):
                ends.add(here)
                continue
            if here in at_item[number]:
                continue
            if len(at_item[number]) >= MOST_STATES:
                here = self._join(at_item[number] | {here})
                if here in at_item[number]:
                    continue
            at_item[number].add(here)
            work += self._item(number, here)
        self._check_messages(items)
        self._check_idle_sets()
        self._check_end(ends)
        return ends

    def _join(self, heres: set[Here]) -> Here:
        words = self.walker.joined_words(heres)
        read = frozenset.intersection(*(here.read for here in heres))
        return Here(tuple(words[name] for name in self.walker.variables), read, in_order(heres)[0].setters)

    def _run(self, name: str, entries: set[Here], at: At) -> set[Here]:
        """Run another procedure from each state, after checking what it needs at its start."""
        other = self.walker.handbook.procedures.get(name)
        ends: set[Here] = set()
        for here in in_order(entries):
            if other is not None:
                self._need(here, other.starts, at, "starts", _("the procedure {name} starts with").format(name=name))
            ends |= self.walker.after(name, here)
        return ends

    def _item(self, number: int, here: Here) -> list[tuple[int, Here]]:
        item = self.procedure.items[number]
        if isinstance(item, Placed):
            return [(number + 1, Here(here.state, here.read | {item.message}, here.setters))]
        if not isinstance(item, Step):  # a heading: what was read belongs to the part before
            return [(number + 1, Here(here.state, frozenset(), here.setters))]
        return self._step(number, item, here)

    def _step(self, number: int, step: Step, here: Here) -> list[tuple[int, Here]]:
        for name, value in step.sets.items():
            if name in self.walker.index:
                same = here.state[self.walker.index[name]] == value
                self._redundant.setdefault((step.id, name), []).append(same)
        here = self.walker.put(here, step.sets, (self.procedure.id, step.id, step.at.line))
        self.reached.setdefault(step.id, set()).add(here)
        self._need(here, step.needs, step.place("needs"), "step-needs",
                   _("the step {step} needs").format(step=step.id))
        self._hold(here, step)
        for place, name in enumerate(step.hands):
            self._hand(number, step, here, name, step.place(f"hands/{place}"))
        onward = [(number + 1, here)]
        branch = step.if_not
        if branch is not None and branch.go:
            ends = self._run(branch.go, {here}, branch.place("go"))
            if branch.back:
                onward += [(number + 1, end) for end in in_order(ends)]
        if branch is not None and branch.to:
            onward += [(i, here) for i, other in enumerate(self.procedure.items)
                       if isinstance(other, Step) and other.id == branch.to]
        return onward

    # ---- what is refused ----

    def _say(self, at: At, rule: str, found: str, expected: str, hint: str = "") -> None:
        key = (at, rule, found if rule == "end-state" else expected)
        if key not in self._said:
            self._said.add(key)
            self.problems.append(Problem(at, rule, found, expected, hint))

    def _last_set(self, here: Here, name: str) -> str:
        setter = here.setters[self.walker.index[name]]
        if setter is None:
            return _("no step has set it")
        procedure, step, line = setter
        return _("last set by step {step} of {procedure}, line {line}").format(
            step=step, procedure=procedure, line=line)

    def _need(self, here: Here, needs: dict[str, str], at: At, rule: str, who: str) -> None:
        for name in self.walker.missing(here, needs):
            value = here.state[self.walker.index[name]]
            self._say(at, rule, _("{who} {needed}, but here it is {state} ({setter})").format(
                who=who, needed=f'"{self.walker.says(name, needs[name])}"',
                state=f'"{self.walker.says(name, value)}"', setter=self._last_set(here, name)),
                _("expected {name}: {value} before this").format(name=name, value=needs[name]),
                _("set it in an earlier step, or in the first words of this one"))

    def _hold(self, here: Here, step: Step) -> None:
        """Values that need others, such as a running vacuum that needs the key in."""
        for name, index in self.walker.index.items():
            value = here.state[index]
            held = self.walker.handbook.state[name].values.get(value) if value is not None else None
            if held is not None and held.needs:
                self._need(here, held.needs, step.at, "state-holds",
                           _("{state} needs").format(state=f'"{held.says}"'))

    def _hand(self, number: int, step: Step, here: Here, name: str, at: At) -> None:
        zone = self.walker.handbook.zones.get(name)
        if zone is None:
            return
        self._need(here, zone.needs, at, "zone-state", _("hands in {zone} need").format(zone=f'"{zone.title}"'))
        running = self.walker.handbook.running
        if running is not None and zone.while_running != "allowed":
            may_run = all(here.state[self.walker.index[n]] in (value, None)
                          for n, value in running.state.items() if n in self.walker.index)
            if may_run:
                words = ", ".join(self.walker.says(n, v) for n, v in running.state.items() if n in self.walker.index)
                last = next((self._last_set(here, n) for n in running.state if n in self.walker.index), "")
                self._say(at, "running", _('hands in "{zone}" while it may be that {state} ({setter})').format(
                    zone=zone.title, state=f'"{words}"', setter=last),
                    _("hands only in zones that allow it then ({zone})").format(zone=name),
                    _("stop it before this step"))
        if zone.message and zone.message not in here.read:
            later = self._later(number, zone.message)
            found = _('the message "{message}" stands after its step, in line {line}').format(
                message=zone.message, line=later) if later else _(
                'the message "{message}" does not stand before this step').format(message=zone.message)
            self._say(at, "message", found, _('hands in "{zone}" need it before the step, in the same part').format(
                zone=zone.title), _('put "- message: {message}" before the step').format(message=zone.message))

    def _later(self, number: int, message: str) -> int | None:
        for item in self.procedure.items[number + 1:]:
            if isinstance(item, Placed) and item.message == message:
                return item.at.line
            if not isinstance(item, Step | Placed):
                return None
        return None

    def _check_messages(self, items) -> None:
        """A message that no step after it in its part needs, or that stands there already, is decoration."""
        zones = self.walker.handbook.zones
        for number, item in enumerate(items):
            if not isinstance(item, Placed):
                continue
            needed = False
            for later in items[number + 1:]:
                if not isinstance(later, Step | Placed):
                    break
                if isinstance(later, Placed) and later.message == item.message:
                    self._say(later.at, "message-twice", _('the message "{message}" stands twice in this part').format(
                        message=item.message), _("each message once in a part"), _("take this one out"))
                if isinstance(later, Step) and any(
                        z in zones and zones[z].message == item.message for z in later.hands):
                    needed = True
                    break
            if not needed:
                self._say(item.at, "message-idle", _('no step after it in this part needs the message "{message}"').format(
                    message=item.message), _("a message stands before the step that it is about"),
                    _("name the zone in the step's hands, or take the message out"))

    def _check_idle_sets(self) -> None:
        steps = {step.id: step for step in self.procedure.steps}
        for (step_id, name), same in self._redundant.items():
            if all(same):
                step = steps[step_id]
                self._say(step.place(f"sets/{name}"), "idle-set", _("{state} already, before this step").format(
                    state=f'"{self.walker.says(name, step.sets[name])}"'),
                    _("sets changes something ({name} in {step})").format(name=name, step=step_id),
                    _("take it out of sets, and out of the words of the step"))

    def _check_end(self, ends: set[Here]) -> None:
        steps = self.procedure.steps
        if not steps:
            return
        last = steps[-1]
        for step in steps[:-1]:
            if step.leaves:
                self._say(step.place("leaves"), "end-state", _("the step {step} is not the last").format(step=step.id),
                          _("only the last step has leaves"), _("move it to the last step"))
        touched = {name for name, i in self.walker.index.items()
                   if any(here.state[i] is not None for here in ends)} | set(self.procedure.starts)
        at = last.place("leaves")
        for name in self.walker.variables:
            i = self.walker.index[name]
            values = {here.state[i] for here in ends}
            named = last.leaves.get(name)
            if name not in touched and named is None:
                continue
            for value in sorted(values, key=str):
                if value != named:
                    here = next(h for h in in_order(ends) if h.state[i] == value)
                    self._say(at, "end-state", _("the procedure ends with {state} ({setter}), and leaves {named}").format(
                        state=f'"{self.walker.says(name, value)}"', setter=self._last_set(here, name),
                        named=_('says "{state}"').format(state=self.walker.says(name, named)) if named
                        else _("does not name it")),
                        _("the last step names the state that the machine is left in ({name})").format(name=name),
                        _("write it into leaves, or set it back"))
