"""Each kind of problem has a name, a page of the author's guide with an example, and a sample that raises exactly it."""

import ast

import pytest

from macros import cli, kinds
from macros.check import load_and_check
from macros.console import ROOT, Stop
from macros.fields import KINDS

from . import problem_guide
from .broken import BROKEN, FILES, SURVEY
from .contents import changed, with_files

#: Where a call that makes a problem has its kind, by the name of what is called.
PLACES = {"Problem": 1, "refuse": 1, "_refuse": 1, "_say": 1, "_need": 3, "_idle": 2}


def named() -> set[str]:
    """The kinds that the program's sources name."""
    found = {f"unknown-{to}" for to in KINDS if to != "own"}
    for path in ROOT.glob("macros/**/*.py"):
        for call in (node for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Call)):
            place = PLACES.get(getattr(call.func, "id", getattr(call.func, "attr", "")))
            if place is not None and len(call.args) > place and isinstance(call.args[place], ast.Constant):
                found.add(call.args[place].value)
    return found


def test_the_guide_has_every_kind_that_there_is_and_no_other():
    assert len(kinds.names()) == len(set(kinds.names()))
    assert named() == set(kinds.names())


def test_each_kind_has_a_sample_that_raises_exactly_it():
    alone = {next(iter(raised)) for _file, _old, _new, problems in BROKEN
             if len(raised := {rule for _f, _line, rule, _words in problems}) == 1}
    assert alone | {kind for kind, *_rest in FILES} == set(kinds.names())


@pytest.mark.parametrize("kind, done, files, place, words", FILES, ids=[f"{one[0]}:{one[1]}" for one in FILES])
def test_files_that_are_refused(tmp_path, kind, done, files, place, words):
    (problem,) = load_and_check(with_files(tmp_path, files))[1]
    assert (problem.rule, problem.file.removeprefix("content/"), problem.line) == (kind, *place)
    assert words in str(problem), f"{done}: {problem}"


def test_the_guide_is_current():
    found = {path.name: path.read_text("utf-8") for path in kinds.GUIDE.iterdir()}
    assert found == problem_guide.guide(), "run python -m tests.macros.problem_guide"


def test_check_names_the_kinds_and_explains_one(tmp_path, capsys):
    content = changed(tmp_path, SURVEY, "hands: [fan]", "hands: [fann]")
    assert cli.run(cli.parse(["check", "--content", str(content)])) == 1
    assert "check --explain KIND; here: unknown-zone" in capsys.readouterr().err
    assert cli.run(cli.parse(["check", "--explain", "unknown-zone"])) == 0
    said = capsys.readouterr().out
    assert '"fann" is not the id of a zone' in said and "hazards.yml" in said and "#" not in said
    for kind in kinds.names():
        assert "```" in kinds.explained(kind)
    with pytest.raises(Stop, match='Did you mean "unknown-zone"'):
        cli.run(cli.parse(["check", "--explain", "unknown-zon"]))
