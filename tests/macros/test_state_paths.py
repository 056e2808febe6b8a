"""The walk through the machine's state against an oracle that follows every path of drawn handbooks."""

import dataclasses
from collections import Counter

import pytest

from macros import model, state, state_steps
from macros.rules import safety

from .walks import VALUES, drawn, expected, lost, mended


@pytest.mark.parametrize("block", range(10))
def test_the_walk_agrees_with_every_path(block):
    """Branches out and back, jumps both ways, procedures first, messages, ends: the same, line by line."""
    for seed in range(block * 100, block * 100 + 100):
        made = drawn(seed)
        assert {(p.rule, p.file, p.line) for p in safety.check(made)} == expected(made), seed


def test_drawn_handbooks_reach_every_rule_of_the_walk():
    seen = Counter(rule for seed in range(200) for rule, _file, _line in expected(drawn(seed)))
    assert set(seen) == {
        "zone-state",
        "running",
        "message",
        "message-idle",
        "message-twice",
        "step-needs",
        "state-holds",
        "starts",
        "end-state",
        "idle-set",
    }
    assert min(seen.values()) >= 20


@pytest.mark.parametrize("cap", (1, 2, 3, state_steps.MOST_STATES))
def test_a_setting_that_the_walk_relies_on_is_none_that_could_be_taken_out(monkeypatch, cap):
    """What is found without a second walk is what a second walk finds, with states joined and not."""
    shown = idle = 0
    relies_on = state_steps.Steps.relies_on

    def counted(steps, step, name):
        nonlocal shown
        found = relies_on(steps, step, name)
        shown += found
        return found

    monkeypatch.setattr(state_steps, "MOST_STATES", cap)
    for seed in range(300):
        # Settings are looked at where there is no other problem.
        made = mended(drawn(seed), lambda one: [p for p in safety.check(one) if p.rule != "idle-set"])
        found: list[list] = []
        for answer in (counted, lambda *_of: False) if made is not None else ():
            with monkeypatch.context() as patch:
                patch.setattr(state_steps.Steps, "relies_on", answer)
                walker = state.Walker(made)
                found.append([(p.file, p.line, p.found) for one in made.procedures.values()
                              if one.id in walker.depths and not walker.alone(one.id).problems
                              for p in state.without_effect(walker, one)])
        assert found[:1] == found[1:], seed
        idle += len(found and found[0])
    assert shown > 100 and idle > 10


@pytest.mark.parametrize("cap", (1, 2, 3))
def test_joining_states_hides_no_hand_in_danger(monkeypatch, cap):
    """Joined, a state is less known: what is refused of hands, messages, needs and ends stays refused."""
    for seed in range(300):
        made = drawn(seed)
        whole = {(p.rule, p.file, p.line) for p in safety.check(made)}
        with monkeypatch.context() as patch:
            patch.setattr(state_steps, "MOST_STATES", cap)
            joined = {(p.rule, p.file, p.line) for p in safety.check(drawn(seed))}  # drawn anew: nothing is kept of it
        assert {note for note in whole - joined if note[0] != "state-holds"} == set(), seed


@pytest.mark.parametrize("cap", (1, 2, state_steps.MOST_STATES))
def test_a_walk_that_takes_over_what_another_found_finds_the_same(monkeypatch, cap):
    """Each step of a procedure without a problem made another, in several ways: walked from what was found, and from nothing."""
    monkeypatch.setattr(state_steps, "MOST_STATES", cap)
    seen = Counter()
    for seed in range(400):
        walker = state.Walker(drawn(seed))
        for id in walker.depths:
            whole = walker.alone(id)
            for number, item in enumerate([] if whole.problems else whole.procedure.items):
                for other in _others(item) if isinstance(item, model.Step) else ():
                    items = (*whole.procedure.items[:number], other, *whole.procedure.items[number + 1:])
                    one = dataclasses.replace(whole.procedure, items=items)
                    taking = state_steps.Steps(walker, one, onward=whole.onward, changed=number)
                    walking = state_steps.Steps(walker, one)
                    passed = taking.passes()
                    assert passed == walking.passes(), (seed, id, number)
                    assert not passed or taking._same == walking._same
                    seen[passed] += 1
    assert min(seen[True], seen[False]) > 200


def _others(item: model.Step):
    """A step with each value that it sets taken out or made another, and with nothing that asks for a state."""
    for name, value in item.sets.items():
        rest = {key: held for key, held in item.sets.items() if key != name}
        yield dataclasses.replace(item, sets=rest)
        yield dataclasses.replace(item, sets={**rest, name: next(v for v in VALUES[name] if v != value)})
    yield dataclasses.replace(item, needs={}, hands=())


def test_whatever_is_taken_from_a_sound_handbook_is_refused():
    """In handbooks without a problem no single setting and no message is decoration."""
    tried = Counter()
    for seed in range(300):
        made = mended(drawn(seed), safety.check)
        if made is None:
            continue
        assert expected(made) == set()
        for name, number, item in [
            (n, i, x) for n in ("inner", "main") for i, x in enumerate(made.procedures[n].items)
        ]:
            one = made.procedures[name]
            less = [lost(one, number, variable) for variable in getattr(item, "sets", ())]
            if isinstance(item, model.Placed):
                less.append(dataclasses.replace(one, items=one.items[:number] + one.items[number + 1 :]))
            for other in less:
                tried[type(item).__name__] += 1
                assert safety.check(dataclasses.replace(made, procedures={**made.procedures, name: other})), (
                    seed,
                    name,
                    number,
                )
    assert tried["Step"] >= 400 and tried["Placed"] >= 150
