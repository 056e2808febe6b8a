"""The page of the rig's marks says what marks.json holds, and nothing else; a file that is none is a problem."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from macros import marks
from macros.check import load_and_check
from macros.pages.site import Site
from macros.pages.trust import bound, figure
from macros.pages.trust_words import titles
from tests.macros.pages.conftest import SMALL
from tests.macros.pages.dom import parse

REACHED = {"id": "suction-segment", "value": 0.98345, "count": 200, "least": 0.97, "most": None, "unit": "share"}
MISSED = {"id": "suction-wrong", "value": 0.0125, "count": 200, "least": None, "most": 0.01, "unit": "share"}


def content(folder: Path, machines: dict[str, Any] | str) -> Path:
    """A copy of the small content with a marks.json of these machines, or of this text."""
    made = folder / "content"
    shutil.copytree(SMALL, made)
    text = machines if isinstance(machines, str) else json.dumps({"seed": 7, "count": 200, "machines": machines})
    (made / marks.FILE).write_text(text, "utf-8")
    return made


def machine_of(folder: Path) -> str:
    return sorted(path.stem for path in (folder / "machines").glob("*.yml"))[0]


def test_the_page_says_the_figures_the_bounds_and_what_is_missed(tmp_path: Path):
    machine = machine_of(SMALL)
    folder = content(tmp_path, {machine: {"made_from": marks.made_from(SMALL, machine), "marks": [REACHED, MISSED]}})
    handbook, problems = load_and_check(folder)
    assert problems == [] and handbook is not None
    site = Site(handbook)
    page = parse(site.render(site.pages["trust/"]))
    cells = [[cell.text.replace("\u00a0", " ") for cell in row.tags("td")] for row in page.tags("tr")][1:]
    said = {row[0]: row[1:] for row in cells}
    words = titles()
    assert said == {words["suction-segment"]: ["98.3 %", "at least 97 %"], words["suction-wrong"]: ["1.3 %: missed", "at most 1 %"]}
    assert "miss the bound set for them: 1" in page.text and "have changed since" not in page.text
    assert "Seed 7" in page.text and marks.COMMAND in page.text


@pytest.mark.parametrize("old, new, changed", [("sealed: 20 kPa", "sealed: 21 kPa", True), ("title: ", "# a remark\ntitle: New ", False)])
def test_changed_figures_are_said_and_changed_words_are_not(tmp_path: Path, old: str, new: str, changed: bool):
    machine = machine_of(SMALL)
    folder = content(tmp_path, {machine: {"made_from": marks.made_from(SMALL, machine), "marks": [REACHED]}})
    path = folder / "machines" / f"{machine}.yml"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    handbook, problems = load_and_check(folder)
    assert problems == [] and handbook is not None
    site = Site(handbook)
    assert ("have changed since" in parse(site.render(site.pages["trust/"])).text) is changed


def test_without_marks_there_is_no_page():
    handbook, _problems = load_and_check(SMALL)
    site = Site(handbook)
    assert "trust/" not in site.pages
    assert "trust/" not in site.render(site.pages["calculators/suction-drop/"])


@pytest.mark.parametrize("text", ["", "[]", "{}", "nonsense", '{"seed": 1, "count": 2, "machines": {"x": {}}}', "[" * 5000,
                                  '{"seed": 1, "count": 2, "machines": {"x": {"made_from": "", "marks": [{"id": "a"}]}}}',
                                  json.dumps({"seed": 1, "count": 2, "machines": {"x": {"made_from": "", "marks": [
                                      REACHED | {"value": "97 %"}]}}})])
def test_a_file_that_holds_no_marks_is_a_problem(tmp_path: Path, text: str):
    _handbook, problems = load_and_check(content(tmp_path, text))
    (problem,) = problems
    assert problem.rule == "marks" and problem.file == "content/marks.json" and marks.COMMAND in str(problem)


def test_unknown_machines_and_marks_are_problems(tmp_path: Path):
    machine = machine_of(SMALL)
    folder = content(tmp_path, {"no-machine": {"made_from": "", "marks": []},
                                machine: {"made_from": "", "marks": [REACHED | {"id": "luck"}]}})
    assert sorted((p.rule, p.found.split('"')[1]) for p in load_and_check(folder)[1]) == [
        ("marks", "luck"), ("unknown-machine", "no-machine")]


@pytest.mark.parametrize("value, unit, said", [(0.97, "share", "97 %"), (0.98345, "share", "98.3 %"), (0.0008, "share", "0.08 %"), (0.9995, "share", "99.95 %"),
                                               (1, "share", "100 %"), (0, "share", "0 %"), (3.456, "mm", "3.46 mm")])
def test_figures_as_they_are_said(value: float, unit: str, said: str):
    assert figure(value, unit) == said.replace(" ", "\u00a0")


@pytest.mark.parametrize("least, most, said", [(0.85, 0.95, "85 % to 95 %"), (None, None, ""), (None, 0.02, "at most 2 %")])
def test_bounds_as_they_are_said(least: float | None, most: float | None, said: str):
    assert bound(marks.Shown("x", 0.9, 10, least, most, "share")) == said.replace(" %", "\u00a0%")
