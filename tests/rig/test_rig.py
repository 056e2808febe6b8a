"""The rig stands apart from what it judges, and what the handbook says of it is what it gives today."""

import ast
import json
from pathlib import Path

import pytest

from macros import marks
from macros.console import ROOT
from macros.pages.trust_words import titles
from tests.bench import rig
from tests.rig.examine import examinations
from tests.rig.mark import Mark, share
from tests.rig.model.machine import load_all

MODEL = ROOT / "tests" / "rig" / "model"
CONTENT = ROOT / "content"
OURS = {"calculators", "macros"}


@pytest.mark.parametrize("path", sorted(MODEL.glob("*.py")), ids=lambda path: path.name)
def test_the_model_shares_no_code_with_what_it_judges(path: Path):
    named = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            named |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0 or node.level == 1, "relative imports stay in the folder"
            named.add(node.module or "")
    roots = {name.split(".")[0] for name in named}
    assert not roots & OURS
    assert all(name.startswith("tests.rig.model") for name in named if name.split(".")[0] == "tests")


def test_every_machine_of_the_demo_was_examined_as_it_is():
    found = marks.read(CONTENT)
    assert found is not None
    assert set(found.machines) == {machine.id for machine in load_all(CONTENT)}
    assert (found.seed, found.count) == (rig.SEED, rig.CASES)
    for machine, given in found.machines.items():
        assert given.made_from == marks.made_from(CONTENT, machine), f"changed since: run {marks.COMMAND}"


def test_the_marks_kept_are_those_of_today():
    """Oracle: the sample kept beside the whole run, examined again. Where it differs: handbook.py bench rig."""
    kept = json.loads((CONTENT / marks.FILE).read_text("utf-8"))["sample"]
    assert kept == {machine: rig.plain(given) for machine, given in rig.examined(CONTENT, rig.SAMPLE).items()}


def test_every_mark_is_said_on_the_page_and_every_bound_reached():
    found = marks.read(CONTENT)
    assert found is not None
    given = {mark.id for one in found.machines.values() for mark in one.marks}
    assert given == set(titles())
    missed = [f"{machine}: {mark.id}" for machine, one in found.machines.items() for mark in one.marks if not mark.held]
    assert missed == []


def test_there_are_examinations():
    assert examinations()


@pytest.mark.parametrize("mark, held", [
    (share("a", 97, 100, least=0.97), True), (share("a", 96, 100, least=0.97), False),
    (share("a", 1, 100, most=0.01), True), (share("a", 2, 100, most=0.01), False),
    (Mark("a", 0.9, 1, 0.85, 0.95), True), (Mark("a", 0.96, 1, 0.85, 0.95), False), (Mark("a", 4, 1, unit="mm"), True)])
def test_a_mark_is_held_to_its_bounds(mark: Mark, held: bool):
    assert mark.held is held


@pytest.mark.parametrize("given", [{"value": float("nan"), "count": 1}, {"value": 1, "count": 0}, {"value": 1, "count": 1, "unit": "m"}])
def test_what_is_no_figure_is_no_mark(given):
    with pytest.raises(ValueError, match="a:"):
        Mark("a", **given)
