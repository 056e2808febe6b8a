"""The walk through the machine's state: branches, jumps, loops, messages, ends, and what is said of each."""

import dataclasses

import pytest

from macros import model
from macros.check import load_and_check
from macros.problems import At
from macros.rules import loops, safety
from macros.state import MOST_DEEP, walk
from macros.state_steps import Steps

from .contents import SMALL
from .walks import RUN, SAFE


def handbook(**procedures):
    """The small handbook with other procedures; each is a list of items."""
    made, _problems = load_and_check(SMALL)
    made.procedures = {
        name.replace("_", "-"): procedure(name.replace("_", "-"), items) for name, items in procedures.items()
    }
    return made


def procedure(name, items):
    first = items.pop(0) if items and isinstance(items[0], tuple) else ()
    return model.Procedure(
        title=name,
        group="find",
        achieves="x",
        minutes=1,
        done_when="y",
        first=first,
        id=name,
        items=tuple(items),
        at=At(name),
    )


def step(id, **more):
    branch = more.pop("if_not", None)
    at = At("x", sum(map(ord, id)))
    return model.Step(
        id=id, do=id, text=id, if_not=model.Branch(**branch, at=at) if branch else None, at=at, **more
    )


def head():
    return model.Heading(title="A")


def message(name):
    return model.Placed(message=name)


def rules(made):
    return sorted(p.rule for p in safety.check(made))


def test_unknown_at_the_start():
    made = handbook(a=[message("turning-fan"), step("s", hands=("fan",))])
    assert rules(made) == ["running", "zone-state", "zone-state"]


def test_starts_says_what_is_known():
    made = handbook(a=[message("turning-fan"), step("s", hands=("fan",), leaves=SAFE)])
    made.procedures["a"].starts = dict(SAFE)
    assert rules(made) == []


def test_what_another_procedure_leaves_is_known():
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        a=[("safe",), message("turning-fan"), step("s", hands=("fan",), leaves=SAFE)],
    )
    assert rules(made) == []
    assert walk(made).at["a", "s"] == SAFE


def test_a_message_holds_within_its_part():
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        a=[
            ("safe",),
            head(),
            message("turning-fan"),
            step("s", hands=("fan",)),
            head(),
            step("t", hands=("fan",), leaves=SAFE),
        ],
    )
    (problem,) = safety.check(made)
    assert problem.rule == "message" and "stands in another part" in problem.found


def test_a_message_before_the_first_part_holds_in_all_of_them():
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        a=[
            ("safe",),
            message("turning-fan"),
            head(),
            step("s", hands=("fan",)),
            head(),
            step("t", hands=("fan",), leaves=SAFE),
        ],
    )
    assert rules(made) == []
    *before, last = made.procedures["a"].items
    made.procedures["a"] = dataclasses.replace(made.procedures["a"], items=(*before, message("turning-fan"), last))
    assert rules(made) == ["message-twice"]


def test_a_jump_past_the_message_is_seen():
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        a=[
            ("safe",),
            step("s", if_not={"to": "t"}),
            message("turning-fan"),
            step("between", hands=("fan",)),
            step("t", hands=("fan",), leaves=SAFE),
        ],
    )
    assert rules(made) == ["message"]


def test_both_ways_of_a_branch_must_be_safe():
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        start=[step("s", sets=RUN, leaves=RUN)],
        a=[
            ("safe",),
            step("s", if_not={"go": "start", "back": True}),
            message("turning-fan"),
            step("t", hands=("fan",), leaves=SAFE),
        ],
    )
    found = rules(made)
    assert "zone-state" in found and "running" in found and "end-state" in found
    assert walk(made).at["a", "t"] == {"key": None, "vacuum": None}
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        a=[
            ("safe",),
            step("s", if_not={"go": "safe", "back": True}),
            message("turning-fan"),
            step("t", hands=("fan",), leaves=SAFE),
        ],
    )
    assert rules(made) == []


def test_a_branch_out_needs_what_the_other_starts_with():
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        run=[step("s", leaves=RUN)],
        a=[("safe",), step("s", if_not={"go": "run"}, leaves=SAFE)],
    )
    made.procedures["run"].starts = dict(RUN)
    assert rules(made) == ["starts", "starts"]


def test_a_loop_within_a_procedure_ends():
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        a=[
            ("safe",),
            message("pull"),
            step("on", sets=RUN, hands=("port",)),
            step("off", sets=SAFE, if_not={"to": "on"}, leaves=SAFE),
        ],
    )
    assert rules(made) == []


def test_a_running_vacuum_needs_the_key():
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        a=[("safe",), step("s", sets={"vacuum": "running"}, leaves={"key": "out", "vacuum": "running"})],
    )
    assert rules(made) == ["state-holds"]


@pytest.mark.parametrize(
    "leaves, found",
    [
        ({}, ["end-state", "end-state"]),
        ({"key": "out"}, ["end-state"]),
        (SAFE, []),
        ({"key": "in", "vacuum": "stopped"}, ["end-state"]),
    ],
)
def test_the_end_is_named_whole(leaves, found):
    assert rules(handbook(safe=[step("s", sets=SAFE, leaves=leaves)])) == found


def test_what_is_set_already_is_idle_and_what_is_not_last_leaves_nothing():
    made = handbook(a=[step("s", sets=SAFE, leaves=SAFE), step("t", sets={"key": "out"}, leaves=SAFE)])
    assert rules(made) == ["end-state", "idle-set"]


def test_a_message_read_before_a_jump_back_holds():
    items = [
        ("safe",),
        head(),
        message("turning-fan"),
        step("s", hands=("fan",)),
        head(),
        step("t", if_not={"to": "s"}, leaves=SAFE),
    ]
    assert rules(handbook(safe=[step("s", sets=SAFE, leaves=SAFE)], a=items)) == []


def test_a_message_that_can_be_jumped_over_is_said_to_be():
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        a=[
            ("safe",),
            step("s", if_not={"to": "t"}),
            message("turning-fan"),
            step("t", hands=("fan",), leaves=SAFE),
        ],
    )
    (problem,) = safety.check(made)
    assert "can be jumped over" in problem.found


def test_the_step_that_set_a_state_last_is_named_with_its_procedure_and_line():
    made = handbook(
        safe=[step("stop", sets=SAFE, leaves=SAFE)],
        a=[("safe",), message("turning-fan"), step("s", hands=("fan",), sets=RUN, leaves=RUN)],
    )
    found = {p.found for p in safety.check(made) if p.rule == "zone-state"}
    who = f"(last set by step s of a, line {sum(map(ord, 's'))})"
    assert found == {
        f'hands in "fan chamber" need "key out", but here it is "key in" {who}',
        f'hands in "fan chamber" need "vacuum stopped", but here it is "vacuum running" {who}',
    }


def test_who_set_a_state_is_told_apart_for_each_way_into_a_procedure():
    """Two procedures come into a third in the same state, and leave it in one: each is told its own step."""
    made = handbook(
        out=[step("s", sets={"key": "out"}, leaves={"key": "out"})],
        a=[step("of-a", sets=RUN, if_not={"go": "out", "back": True}, leaves=SAFE)],
        b=[step("of-b", sets=RUN, if_not={"go": "out", "back": True}, leaves=SAFE)],
    )
    found = [
        p.found.split("step ")[1].split(",")[0]
        for p in safety.check(made)
        if p.rule == "end-state" and '"vacuum running"' in p.found
    ]
    assert found == ["of-a of a", "of-b of b"]


def test_what_only_one_way_of_running_a_procedure_makes_wrong_is_said_at_the_link():
    made = handbook(
        out=[step("take-out", sets={"key": "out"}, leaves={"key": "out"})],
        a=[step("on", sets=RUN, if_not={"go": "out", "back": True}), step("off", sets=SAFE, leaves=SAFE)],
    )
    assert rules(made) == ["state-holds"]
    (problem,) = safety.check(made)
    assert 'in step take-out of out, run from here, it is "vacuum running" without "key in"' == problem.found


def test_a_setting_that_nothing_needs_is_refused():
    made = handbook(
        a=[step("on", sets={"key": "in"}), step("off", sets={"key": "out"}, leaves={"key": "out"})]
    )
    (problem,) = safety.check(made)
    assert problem.rule == "idle-set" and problem.found == 'nothing needs "key in" before it is set again'
    made = handbook(
        a=[
            step("on", sets={"key": "in"}, needs={"key": "in"}),
            step("off", sets={"key": "out"}, leaves={"key": "out"}),
        ]
    )
    assert rules(made) == []


def test_procedures_that_run_each_other_are_not_walked():
    """The loop itself is refused by its own rule, spelled out; nothing is made up about the state in it."""
    made = handbook(
        a=[("b",), message("turning-fan"), step("s", hands=("fan",))],
        b=[("a",), step("s")],
        c=[("b",), step("s")],
        safe=[step("s", sets=SAFE, leaves=SAFE)],
    )
    assert safety.check(made) == []
    (problem,) = loops.check(made)
    assert "a -> b -> a" in problem.found
    assert walk(made).at["c", "s"] == {"key": None, "vacuum": None}
    assert walk(made).at["safe", "s"] == SAFE


def test_a_loop_through_a_branch_that_comes_back_is_spelled_out():
    made = handbook(
        a=[step("s", if_not={"go": "b", "back": True})],
        b=[step("s", if_not={"go": "c", "back": True})],
        c=[("a",), step("s")],
    )
    (problem,) = loops.check(made)
    assert "a -> b -> c -> a" in problem.found
    made = handbook(a=[step("s", if_not={"go": "b"})], b=[step("s", if_not={"go": "a"})])
    assert loops.check(made) == [] and rules(made) == []  # leaving for one another is no loop


def test_procedures_that_run_each_other_too_deep_are_refused():
    chain = {f"p{i}": [(f"p{i + 1}",), step("s")] for i in range(300)} | {"p300": [step("s")]}
    made = handbook(**chain)
    (problem,) = loops.check(made)
    assert problem.found == f"procedures run each other {MOST_DEEP + 1} deep from here"
    assert safety.check(made) == []


def test_many_branches_do_not_blow_up(monkeypatch):
    """Twenty branches, each leaving a variable of its own in another state: 3 to the 20th paths, joined."""
    made = handbook(
        **{f"b{i}": [step("s", sets={f"v{i}": "on"}, leaves={f"v{i}": "on"})] for i in range(20)},
        a=[
            *(step(f"s{i}", if_not={"go": f"b{i}", "back": True}) for i in range(20)),
            message("turning-fan"),
            step("t", hands=("fan",)),
        ],
    )
    values = {name: model.StateValue(says=name) for name in ("on", "off")}
    for i in range(20):
        made.hazards.state[f"v{i}"] = model.StateVariable(title=f"v{i}", values=values)
    calls = 0
    real = Steps._step

    def counted(*given):
        nonlocal calls
        calls += 1
        return real(*given)

    monkeypatch.setattr(Steps, "_step", counted)
    assert {"zone-state", "running", "end-state"} <= set(rules(made))
    assert calls < 60_000


def test_procedures_first_that_end_in_many_ways_are_joined():
    """Ten procedures first, each ending in two ways: 2 to the 10th states, none of them taken for certain."""
    names = [f"v{i}" for i in range(10)]
    made = handbook(
        **{f"on-{n}": [step("s", sets={n: "on"}, leaves={n: "on"})] for n in names},
        **{f"may-{n}": [step("s", if_not={"go": f"on-{n}", "back": True}, leaves={n: "on"})] for n in names},
        a=[tuple(f"may-{n}" for n in names), step("s", leaves=dict.fromkeys(names, "on"))],
    )
    for name in names:
        made.hazards.state[name] = model.StateVariable(
            title=name, values={value: model.StateValue(says=f"{name} {value}") for value in ("on", "off")}
        )
    unknown = {
        p.expected.split("(")[1].rstrip(")")
        for p in walk(made).problems
        if p.at.file == "x" and p.rule == "end-state"
    }
    assert unknown == set(names)
    assert {name for name, value in walk(made).at["a", "s"].items() if value is None} >= set(names)
