"""A problem as a line that CI services turn into an annotation: what would end the line is escaped."""

import re
from urllib.parse import unquote

import pytest

from macros import cli
from macros.check import load_and_check
from macros.console import Stop
from macros.problems import At, Problem

from .contents import changed

_COMMAND = re.compile(r"::error file=([^,:]*),line=(\d+),col=(\d+),title=([^,:]*)::([^\r\n]*)")


def test_what_would_end_a_command_is_escaped_and_can_be_read_back(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    problem = Problem(At("content/a,b:c 100%.yml", 3, 7), "x:y", "found 5 %, a::b\r\nand more", "expected\nless")
    file, line, column, title, says = _COMMAND.fullmatch(problem.annotation(tmp_path)).groups()
    assert (unquote(file), line, column, unquote(title)) == ("content/a,b:c 100%.yml", "3", "7", "x:y")
    assert unquote(says) == "Found 5 %, a::b\r\nand more. Expected\nless." and "a::b" in says


def test_every_problem_is_a_line_of_its_own_and_names_the_file_from_here(tmp_path, monkeypatch, capsys):
    content = changed(tmp_path, "tools.yml", "title:", "titel:")
    (content / "handbook.yml").write_text((content / "handbook.yml").read_text().replace("edition: 1", "edition: one"))
    monkeypatch.chdir(content)
    assert cli.run(cli.parse(["check", "--content", str(content), "--annotations"])) == 1
    lines = capsys.readouterr().out.splitlines()
    found = [_COMMAND.fullmatch(line).groups() for line in lines]
    assert [(file, int(line), int(column), rule) for file, line, column, rule, _says in found] == [
        (p.file.removeprefix("content/"), p.line, p.column, p.rule)
        for p in load_and_check(content)[1]]
    assert [file for file, *_rest in found] == ["handbook.yml", "tools.yml", "tools.yml"]


def test_two_forms_at_once_are_wrong_use(tmp_path):
    with pytest.raises(Stop, match="--json"):
        cli.parse(["check", "--annotations", "--json"])
