"""The walk through the items of one procedure, and what it refuses. See `macros.state`."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from macros.model import Heading, Placed, Procedure, Step
from macros.problems import Place, Problem
from macros.state_here import Here, in_order
from macros.words import _

if TYPE_CHECKING:
    from macros.state import Walker

#: States beyond this number at one item are joined: a value that differs becomes unknown, which is the safe
#: side for hands, needs and ends. (A value whose own needs are not met may then go unsaid: it is not known.)
MOST_STATES = 64


class _Refused(Exception):
    """There is a problem, and no more is asked."""


class Steps:
    """The walk through one procedure from one entry, or from what the procedure says of its start.

    `onward` says for items and states where the walk goes on from there; a walk through the same procedure with but
    the item `changed` made another takes it over (see `passes`).
    """

    def __init__(self, walker: "Walker", procedure: Procedure, entry: Here | None = None,
                 onward: dict[tuple[int, Here], list[tuple[int, Here]]] | None = None, changed: int = -1):
        self.walker, self.procedure = walker, procedure
        self.onward, self._changed = {} if onward is None else onward, changed
        self.entry = entry or walker.start(procedure.starts)
        self.problems: list[Problem] = []
        self.reached: dict[str, set[Here]] = {}
        self.unheld: list[tuple[Step, str, str]] = []
        self._said: set[tuple[Place, str, str]] = set()
        self._same: dict[tuple[str, str], list[bool]] = {}
        self._relied_on: set[tuple[str, int, str]] = set()
        self._parts = self._part_numbers()
        self._messages = [item.message if isinstance(item, Placed) else "" for item in procedure.items]
        self._only_whether = False

    def _part_numbers(self) -> list[int]:
        """The number of each item's part; 0 before the first heading, or where there is none."""
        numbers, part = [], 0
        for item in self.procedure.items:
            part += isinstance(item, Heading)
            numbers.append(part)
        return numbers

    def in_force(self, placed: int, number: int) -> bool:
        """Whether a message placed at one item holds at another: before it, in its part or before all."""
        return placed < number and self._parts[placed] in (0, self._parts[number])

    def relies_on(self, step: Step, name: str) -> bool:
        """Whether this walk shows that it would not pass without a value set by a step: the value was needed where this step had set it
        last, and each time the step had changed it. Not every such value shows: some tell only in a walk without it (`passes`).
        """
        return (step.id, step.line, name) in self._relied_on and not any(self._same.get((step.id, name), ()))

    def _rely(self, here: Here, names: Iterable[str]) -> None:
        """Note which steps of this procedure have set values that are needed here."""
        for name in names:
            setter = here.setters[self.walker.index[name]] if name in self.walker.index else None
            if setter is not None and setter[0] == self.procedure.id:
                self._relied_on.add((*setter[1:], name))

    def passes(self) -> bool:
        """Whether a walk finds no problem of states; it ends with the first, and does not look where messages stand.

        What a walk without problems has found at the other items holds here too: only the item and the state, with the
        messages read, have a say in it. (Who set a value has none: nobody is told.)
        """
        self._only_whether = True
        try:
            self.walk()
        except _Refused:
            return False
        return not self.problems

    def walk(self) -> set[Here]:
        """Walk from the entry; returns the states at the end."""
        entries = {self.entry}
        for number, name in enumerate(self.procedure.first):
            entries = self._run(name, entries, self.procedure.place(f"first/{number}"))
        items = self.procedure.items
        at_item: list[set[Here]] = [set() for _item in range(len(items) + 1)]
        work = [(0, here) for here in reversed(in_order(entries))]
        while work:
            number, here = work.pop()
            there = at_item[number]
            if here not in there and len(there) >= MOST_STATES:
                here = self.walker.joined(there | {here})
            if here in there:
                continue
            there.add(here)
            if number < len(items):
                work += reversed(self._onward(number, here))
        if not self._only_whether:
            self._check_messages()
        self._check_same()
        self._check_end(at_item[-1])
        return at_item[-1]

    def _run(self, name: str, entries: set[Here], at: Place) -> set[Here]:
        """Run another procedure from each state, after checking what it needs at its start."""
        ends: set[Here] = set()
        for here in in_order(entries):
            self._starts(name, here, at)
            more, unheld = self.walker.after(name, here)
            for step, variable, needed in unheld:
                self._say(
                    at,
                    "state-holds",
                    _('in step {step} of {name}, run from here, it is "{state}" without "{needed}"').format(
                        step=step.id, name=name, state=self._value_says(variable, step, here), needed=needed),
                    _("a state that can be ({variable} in {step} of {name})").format(
                        variable=variable, step=step.id, name=name),
                    _("set it before this, or in the first words of that step"),
                )
            ends |= more
            if len(ends) > MOST_STATES:
                ends = {self.walker.joined(ends)}
        return ends

    def _value_says(self, variable: str, step: Step, here: Here) -> str:
        value = step.sets.get(variable, here.state[self.walker.index[variable]])
        return self.walker.says(variable, value)

    def _starts(self, name: str, here: Here, at: Place) -> None:
        other = self.walker.handbook.procedures.get(name)
        if other is not None:
            self._need(
                here,
                other.starts,
                at,
                "starts",
                _('the procedure {who} starts with "{needed}", but here it is "{state}" ({setter})'),
                name,
            )

    def _onward(self, number: int, here: Here) -> list[tuple[int, Here]]:
        """Where the walk goes on from an item: its number, and the state there."""
        if number == self._changed:
            return self._item(number, here)
        found = self.onward.get((number, here))
        if found is None:
            found = self.onward[number, here] = self._item(number, here)
        else:
            item = self.procedure.items[number]
            if isinstance(item, Step):
                self._note_same(item, here)
        return found

    def _item(self, number: int, here: Here) -> list[tuple[int, Here]]:
        item = self.procedure.items[number]
        if isinstance(item, Placed):
            return [(number + 1, Here(here.state, here.read | {number}, here.setters))]
        return self._step(number, item, here) if isinstance(item, Step) else [(number + 1, here)]

    def _step(self, number: int, step: Step, here: Here) -> list[tuple[int, Here]]:
        self._note_same(step, here)
        here = self.walker.put(here, step.sets, (self.procedure.id, step.id, step.line))
        self.reached.setdefault(step.id, set()).add(here)
        if step.needs:
            self._need(here, step.needs, step.place("needs"), "step-needs",
                       _('the step {who} needs "{needed}", but here it is "{state}" ({setter})'), step.id)
        self._hold(here, step)
        for place, name in enumerate(step.hands):
            self._hand(number, step, here, name, step.place(f"hands/{place}"))
        onward = [(number + 1, here)]
        branch = step.if_not
        if branch is not None and branch.go:
            if branch.back:
                onward += [(number + 1, end) for end in in_order(self._run(branch.go, {here}, branch.place("go")))]
            else:  # the reader leaves for the other procedure, which is walked by itself
                self._starts(branch.go, here, branch.place("go"))
        if branch is not None and branch.to:
            onward += [
                (i, here)
                for i, other in enumerate(self.procedure.items)
                if isinstance(other, Step) and other.id == branch.to
            ]
        return onward

    def _note_same(self, step: Step, here: Here) -> None:
        """Whether what a step sets is so already."""
        for name, value in step.sets.items():
            if name in self.walker.index:
                same = here.state[self.walker.index[name]] == value
                self._same.setdefault((step.id, name), []).append(same)

    # ---- what is refused ----

    def _say(self, at: Place, rule: str, found: str, expected: str, hint: str = "") -> None:
        """Add a problem, once for a place and what is expected there, whichever state shows it first."""
        if self._only_whether:
            raise _Refused
        key = (at, rule, found if rule == "end-state" else expected)
        if key not in self._said:
            self._said.add(key)
            self.problems.append(Problem(at, rule, found, expected, hint))

    def _last_set(self, here: Here, name: str) -> str:
        setter = here.setters[self.walker.index[name]]
        if setter is None or not setter[0]:
            return _("no step has set it")
        procedure, step, line = setter
        return _("last set by step {step} of {procedure}, line {line}").format(step=step, procedure=procedure, line=line)

    def _need(self, here: Here, needs: dict[str, str], at: Place, rule: str, sentence: str, who: str) -> None:
        """Refuse what `needs` lacks here; `sentence` has places for who, needed, state and setter."""
        if not self._only_whether:
            self._rely(here, needs)
        for name in self.walker.missing(here, needs):
            self._say(
                at,
                rule,
                sentence.format(
                    who=who,
                    needed=self.walker.says(name, needs[name]),
                    setter=self._last_set(here, name),
                    state=self.walker.says(name, here.state[self.walker.index[name]]),
                ),
                _("expected {name}: {value} before this").format(name=name, value=needs[name]),
                _("set it in an earlier step, or in the first words of this one"),
            )

    def _hold(self, here: Here, step: Step) -> None:
        """Values that need others, such as a running vacuum that needs the key in."""
        for name, index, values in self.walker.holding:
            held = values.get(here.state[index])
            if held is not None:
                self._need(
                    here,
                    held.needs,
                    step.at,
                    "state-holds",
                    _('"{who}" needs "{needed}", but here it is "{state}" ({setter})'),
                    held.says,
                )
                self.unheld += [
                    (step, name, self.walker.says(needed, held.needs[needed]))
                    for needed in self.walker.missing(here, held.needs)
                ]

    def _hand(self, number: int, step: Step, here: Here, name: str, at: Place) -> None:
        zone = self.walker.zones.get(name)
        if zone is None:
            return
        self._need(
            here,
            zone.needs,
            at,
            "zone-state",
            _('hands in "{who}" need "{needed}", but here it is "{state}" ({setter})'),
            zone.title,
        )
        if self.walker.runs and zone.while_running != "allowed":
            states = self.walker.running
            if all(here.state[self.walker.index[n]] in (value, None) for n, value in states.items()):
                words = ", ".join(self.walker.says(n, value) for n, value in states.items())
                last = next((self._last_set(here, n) for n in states), "")
                self._say(
                    at,
                    "running",
                    _('hands in "{zone}" while it may be that "{state}" ({setter})').format(
                        zone=zone.title, state=words, setter=last
                    ),
                    _("hands only in zones that allow it then ({zone})").format(zone=name),
                    _("stop it before this step"),
                )
        if zone.message in self.walker.messages and not any(
            self._messages[placed] == zone.message and self.in_force(placed, number) for placed in here.read
        ):
            self._say(
                at,
                "message",
                self._message_found(number, zone.message),
                _('hands in "{zone}" need it before the step, in the same part').format(zone=zone.title),
                _('put "- message: {message}" before the step').format(message=zone.message),
            )

    def _message_found(self, number: int, message: str) -> str:
        """Where the message stands instead of before the step."""
        items = self.procedure.items
        placed = [i for i, other in enumerate(self._messages) if other == message]
        over = next((i for i in placed if self.in_force(i, number)), None)
        if over is not None:
            return _('the message "{message}" in line {line} can be jumped over').format(
                message=message, line=items[over].line)
        after = next((i for i in placed if i > number and self._parts[i] == self._parts[number]), None)
        if after is not None:
            return _('the message "{message}" stands after its step, in line {line}').format(
                message=message, line=items[after].line)
        if placed:
            return _(
                'the message "{message}" stands in another part, in line {line}, and not before this step'
            ).format(message=message, line=items[placed[0]].line)
        return _('the message "{message}" does not stand before this step').format(message=message)

    def _check_messages(self) -> None:
        """A message that no step needs where it holds, or that holds there already, is decoration."""
        items = self.procedure.items
        for number, message in enumerate(self._messages):
            if not message or message not in self.walker.messages:
                continue
            item = items[number]
            if any(other == message and self.in_force(i, number) for i, other in enumerate(self._messages[:number])):
                self._say(
                    item.at,
                    "message-twice",
                    _('the message "{message}" is in force here already').format(message=message),
                    _("each message once in a part"),
                    _("take this one out"),
                )
            needed = any(
                isinstance(later, Step)
                and self.in_force(number, i)
                and any(self._may_need(z, message) for z in later.hands)
                for i, later in enumerate(items[number + 1:], number + 1)
            )
            if not needed:
                self._say(
                    item.at,
                    "message-idle",
                    _('no step after it in this part needs the message "{message}"').format(message=message),
                    _("a message stands before the step that it is about"),
                    _("name the zone in the step's hands, or take the message out"),
                )

    def _may_need(self, zone: str, message: str) -> bool:
        """Whether hands in a zone need the message; a name that is unknown, refused elsewhere, may."""
        known = self.walker.zones.get(zone)
        return known is None or known.message == message or known.message not in self.walker.messages

    def _check_same(self) -> None:
        steps = {step.id: step for step in self.procedure.steps}
        for (step_id, name), same in self._same.items():
            if all(same):
                step = steps[step_id]
                self._say(
                    step.place(f"sets/{name}"),
                    "idle-set",
                    _('"{state}" already, before this step').format(state=self.walker.says(name, step.sets[name])),
                    _("sets changes something ({name} in {step})").format(name=name, step=step_id),
                    _("take it out of sets, and out of the words of the step"),
                )

    def _check_end(self, ends: set[Here]) -> None:
        steps = self.procedure.steps
        if not steps:
            return
        last = steps[-1]
        for step in steps[:-1]:
            if step.leaves:
                self._say(
                    step.place("leaves"),
                    "end-state",
                    _("the step {step} is not the last").format(step=step.id),
                    _("only the last step has leaves"),
                    _("move it to the last step"),
                )
        touched = self.walker.touched(self.procedure)
        for name, i in self.walker.index.items():
            named = last.leaves.get(name)
            for here in in_order(ends) if named is not None or name in touched else ():
                if named is None or here.state[i] != named:
                    self._not_named(last.place("leaves"), name, named, here)
                elif not self._only_whether:
                    self._rely(here, (name,))

    def _not_named(self, at: Place, name: str, named: str | None, here: Here) -> None:
        state, setter = self.walker.says(name, here.state[self.walker.index[name]]), self._last_set(here, name)
        if named is None:
            found = _('the procedure ends with "{state}" ({setter}), and leaves does not name it').format(
                state=state, setter=setter
            )
        else:
            found = _('the procedure ends with "{state}" ({setter}), and leaves says "{named}"').format(
                state=state, setter=setter, named=self.walker.says(name, named)
            )
        self._say(
            at,
            "end-state",
            found,
            _("the last step names the state that the machine is left in ({name})").format(name=name),
            _("write it into leaves, or set it back"),
        )
