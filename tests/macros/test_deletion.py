"""A procedure that can hurt does not build: take any safety away from the demo, and check must refuse.

One at a time, every step that sets the machine's state, every single variable of what it sets, and every
safety message is taken out of every procedure of the demo.
"""

import dataclasses
import sys
from collections import Counter

import pytest

from macros.check import load_and_check
from macros.model import Handbook, Placed, Procedure, Step
from macros.rules import safety
from macros.state import Walker

from .contents import DEMO


@pytest.fixture(scope="module")
def demo() -> Handbook:
    handbook, problems = load_and_check(DEMO)
    assert problems == []
    return handbook


def without(handbook: Handbook, procedure: Procedure, items: list) -> list:
    """Problems of the handbook when one procedure has other items."""
    changed = dataclasses.replace(procedure, items=tuple(items))
    less = dataclasses.replace(handbook, procedures={**handbook.procedures, procedure.id: changed})
    # What the walk of this procedure refuses, check refuses; the whole is asked only where that is silent.
    return Walker(less).alone(procedure.id).problems or safety.check(less)


def deletions(procedure: Procedure):
    """Kind, what is taken away, and the items that are left."""
    items = list(procedure.items)
    for number, item in enumerate(items):
        rest = items[:number] + items[number + 1 :]
        if isinstance(item, Placed):
            yield "message", f"{procedure.id}: {item.message}, line {item.line}", rest
        elif isinstance(item, Step) and item.sets:
            if item.leaves:  # the last step: what it sets goes, and the step before becomes the last
                kept = [i for i in rest if isinstance(i, Step)][-1:]
                rest = [
                    dataclasses.replace(i, leaves=item.leaves) if kept and i is kept[0] else i for i in rest
                ]
            yield "step", f"{procedure.id}: {item.id}", rest
            for name in item.sets:
                fewer = dataclasses.replace(item, sets={k: v for k, v in item.sets.items() if k != name})
                yield (
                    "variable",
                    f"{procedure.id}: {item.id}: {name}",
                    [*items[:number], fewer, *items[number + 1 :]],
                )


def test_the_demo_is_sound(demo):
    assert safety.check(demo) == []
    assert len(demo.procedures) >= 15 and len(demo.machines) == 2


def test_whatever_safety_is_taken_away_is_refused(demo, capsys):
    tried, survivors = Counter(), []
    for procedure in demo.procedures.values():
        for kind, what, items in deletions(procedure):
            tried[kind] += 1
            if not without(demo, procedure, items):
                survivors.append(f"{kind} {what}")
    with capsys.disabled():
        print(
            f"\ndeletion: {tried['step']} state-setting steps, {tried['variable']} single variables and "
            f"{tried['message']} messages taken away one at a time; {len(survivors)} not refused",
            file=sys.stderr,
        )
    assert survivors == []
    assert tried["step"] >= 20 and tried["message"] >= 15


def test_a_message_moved_behind_its_step_is_refused(demo):
    moved = 0
    for procedure in demo.procedures.values():
        items = list(procedure.items)
        for number, item in enumerate(items):
            if not isinstance(item, Placed):
                continue
            end = next(
                (i for i in range(number + 1, len(items)) if not isinstance(items[i], Step | Placed)),
                len(items),
            )
            moved += 1
            problems = without(
                demo, procedure, [*items[:number], *items[number + 1 : end], item, *items[end:]]
            )
            assert any(p.rule == "message" and "stands after its step" in p.found for p in problems), (
                procedure.id,
                item,
            )
    assert moved >= 15
