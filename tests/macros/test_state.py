"""The walk through the machine's state: branches, jumps, loops, and a brute-force walk that must agree."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from macros import model
from macros.check import load_and_check
from macros.problems import At
from macros.rules import safety
from macros.state import walk

from .contents import SMALL


def handbook(**procedures):
    """The small handbook with other procedures; each is a list of items."""
    made, _problems = load_and_check(SMALL)
    made.procedures = {name.replace("_", "-"): procedure(name.replace("_", "-"), items)
                       for name, items in procedures.items()}
    return made


def procedure(name, items):
    first = items.pop(0) if items and isinstance(items[0], tuple) else ()
    return model.Procedure(title=name, group="find", achieves="x", minutes=1, done_when="y", first=first, id=name,
                           items=tuple(items), at=At(name))


def step(id, **more):
    branch = more.pop("if_not", None)
    return model.Step(id=id, do=id, text=id, if_not=model.Branch(**branch) if branch else None,
                      at=At("x", sum(map(ord, id))), **more)


def head():
    return model.Heading(title="A")


def message(name):
    return model.Placed(message=name)


def rules(made):
    return sorted(p.rule for p in safety.check(made))


SAFE = {"key": "out", "vacuum": "stopped"}
RUN = {"key": "in", "vacuum": "running"}


def test_unknown_at_the_start():
    made = handbook(a=[message("turning-fan"), step("s", hands=("fan",))])
    assert rules(made) == ["running", "zone-state", "zone-state"]


def test_starts_says_what_is_known():
    made = handbook(a=[message("turning-fan"), step("s", hands=("fan",), leaves=SAFE)])
    made.procedures["a"].starts = dict(SAFE)
    assert rules(made) == []


def test_what_another_procedure_leaves_is_known():
    made = handbook(safe=[step("s", sets=SAFE, leaves=SAFE)],
                    a=[("safe",), message("turning-fan"), step("s", hands=("fan",), leaves=SAFE)])
    assert rules(made) == []
    assert walk(made).at["a", "s"] == SAFE


def test_a_message_holds_within_its_part():
    made = handbook(safe=[step("s", sets=SAFE, leaves=SAFE)],
                    a=[("safe",), head(), message("turning-fan"), step("s", hands=("fan",)), head(),
                       step("t", hands=("fan",), leaves=SAFE)])
    (problem,) = safety.check(made)
    assert problem.rule == "message" and "stands in another part" in problem.found


def test_a_message_before_the_first_part_holds_in_all_of_them():
    made = handbook(safe=[step("s", sets=SAFE, leaves=SAFE)],
                    a=[("safe",), message("turning-fan"), head(), step("s", hands=("fan",)), head(),
                       step("t", hands=("fan",), leaves=SAFE)])
    assert rules(made) == []
    made.procedures["a"].items = (*made.procedures["a"].items[:-1], message("turning-fan"), made.procedures["a"].items[-1])
    assert rules(made) == ["message-twice"]


def test_a_jump_past_the_message_is_seen():
    made = handbook(safe=[step("s", sets=SAFE, leaves=SAFE)],
                    a=[("safe",), step("s", if_not={"to": "t"}), message("turning-fan"), step("between", hands=("fan",)),
                       step("t", hands=("fan",), leaves=SAFE)])
    assert rules(made) == ["message"]


def test_both_ways_of_a_branch_must_be_safe():
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        start=[step("s", sets=RUN, leaves=RUN)],
        a=[("safe",), step("s", if_not={"go": "start", "back": True}), message("turning-fan"),
           step("t", hands=("fan",), leaves=SAFE)])
    found = rules(made)
    assert "zone-state" in found and "running" in found and "end-state" in found
    assert walk(made).at["a", "t"] == {"key": None, "vacuum": None}
    made = handbook(
        safe=[step("s", sets=SAFE, leaves=SAFE)],
        a=[("safe",), step("s", if_not={"go": "safe", "back": True}), message("turning-fan"),
           step("t", hands=("fan",), leaves=SAFE)])
    assert rules(made) == []


def test_a_branch_out_needs_what_the_other_starts_with():
    made = handbook(safe=[step("s", sets=SAFE, leaves=SAFE)], run=[step("s", leaves=RUN)],
                    a=[("safe",), step("s", if_not={"go": "run"}, leaves=SAFE)])
    made.procedures["run"].starts = dict(RUN)
    assert rules(made) == ["starts", "starts"]


def test_a_loop_within_a_procedure_ends():
    made = handbook(safe=[step("s", sets=SAFE, leaves=SAFE)], a=[
        ("safe",), message("pull"), step("on", sets=RUN, hands=("port",)),
        step("off", sets=SAFE, if_not={"to": "on"}, leaves=SAFE)])
    assert rules(made) == []


def test_a_running_vacuum_needs_the_key():
    made = handbook(safe=[step("s", sets=SAFE, leaves=SAFE)],
                    a=[("safe",), step("s", sets={"vacuum": "running"}, leaves={"key": "out", "vacuum": "running"})])
    assert rules(made) == ["state-holds"]


@pytest.mark.parametrize("leaves, found", [
    ({}, ["end-state", "end-state"]), ({"key": "out"}, ["end-state"]), (SAFE, []),
    ({"key": "in", "vacuum": "stopped"}, ["end-state"])])
def test_the_end_is_named_whole(leaves, found):
    assert rules(handbook(safe=[step("s", sets=SAFE, leaves=leaves)])) == found


def test_what_is_set_already_is_idle_and_what_is_not_last_leaves_nothing():
    made = handbook(a=[step("s", sets=SAFE, leaves=SAFE), step("t", sets={"key": "out"}, leaves=SAFE)])
    assert rules(made) == ["end-state", "idle-set"]


# ---- against a walk that tries every path ----

VALUES = [("key", "in"), ("key", "out"), ("vacuum", "running"), ("vacuum", "stopped")]
STEP = st.tuples(st.lists(st.sampled_from(VALUES), max_size=2), st.sampled_from((None, "fan", "port")),
                 st.integers(-1, 4), st.booleans())


def brute(made, name):
    """Zones entered in a wrong state on some path, by following every choice at every step (jumps at most once)."""
    steps = made.procedures[name].steps
    jumps = [i for i, s in enumerate(steps) if s.if_not is not None]
    wrong = set()
    for taken in product((False, True), repeat=len(jumps)):
        todo = dict(zip(jumps, taken, strict=True))
        state, at, hops = {"key": None, "vacuum": None}, 0, 0
        while at < len(steps) and hops < 40:
            one, hops = steps[at], hops + 1
            state.update(one.sets)
            for zone in one.hands:
                needs = made.zones[zone].needs
                if any(state[k] != v for k, v in needs.items()):
                    wrong.add(one.id)
            if todo.pop(at, False):
                at = next(i for i, s in enumerate(steps) if s.id == one.if_not.to)
            else:
                at += 1
    return wrong


@settings(derandomize=True, max_examples=250, deadline=None)
@given(st.lists(STEP, min_size=1, max_size=5))
def test_the_walk_agrees_with_every_path(drawn):
    items = [message("turning-fan"), message("pull")]
    for number, (sets, zone, jump, _back) in enumerate(drawn):
        more = {"if_not": {"to": f"s{jump}"}} if number < jump < len(drawn) else {}
        items.append(step(f"s{number}", sets=dict(sets), hands=(zone,) if zone else (), **more))
    made = handbook(a=items)
    found = walk(made)
    places = {s.at: s.id for s in made.procedures["a"].steps}
    refused = {places[p.at] for p in found.problems if p.rule == "zone-state"}
    assert refused == brute(made, "a")
