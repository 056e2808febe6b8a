"""Broken content: each kind of problem with its place, its words and what to do, on both parsers."""

import os
import random
import shutil
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import calculators
from macros import model
from macros.check import load_and_check
from macros.fields import declared
from macros.load import LOADERS, MOST_BYTES, parse
from macros.problems import Problem

from .broken import BROKEN, SAFE, SURVEY
from .contents import DEMO, SMALL, changed


def test_the_small_content_is_sound():
    for parser in LOADERS:
        handbook, problems = load_and_check(SMALL, parser)
        assert problems == [] and handbook.name == "Floor-scrubber handbook"


@pytest.mark.parametrize("parser", LOADERS)
@pytest.mark.parametrize("file, old, new, expected", BROKEN, ids=[f"{b[0]}:{b[2][:40]}" for b in BROKEN])
def test_broken_content(tmp_path, parser, file, old, new, expected):
    _handbook, problems = load_and_check(changed(tmp_path, file, old, new), parser)
    where = [(p.file.removeprefix("content/"), p.line, p.rule) for p in problems]
    # Nothing else is said: no problem drags others behind it, not even a file that cannot be read at all.
    wanted = [(f, line, rule) for f, line, rule, _words in expected]
    assert sorted(where) == sorted(wanted), [str(p) for p in problems]
    for _f, line, rule, words in expected:
        assert any(words.lower() in str(p).lower() for p in problems if (p.line, p.rule) == (line, rule)), [
            str(p) for p in problems
        ]
    for p in problems:
        assert p.column >= 1 and p.with_source(tmp_path).count("\n") in (0, 2)
        assert set(p.record()) == {"file", "line", "column", "rule", "found", "expected", "hint"}


def test_columns_point_at_the_word(tmp_path):
    content = changed(tmp_path, SURVEY, "hands: [port]", "hands: [port, prot]")
    (problem,) = [p for p in load_and_check(content)[1] if p.rule == "unknown-zone"]
    line = (content / SURVEY).read_text().splitlines()[problem.line - 1]
    assert line[problem.column - 1 :].startswith("prot")
    caret = problem.with_source(tmp_path).splitlines()
    assert caret[1][caret[2].index("^") :].startswith("prot")


def test_problems_of_all_files_come_at_once_in_file_order(tmp_path):
    content = changed(tmp_path, SURVEY, "minutes: 2", "minutes: two")
    for file, old, new in (
        ("handbook.yml", "edition: 1", "edition: one"),
        ("tools.yml", "title:", "titel:"),
        (SAFE, "group: find", "group: fnd"),
    ):
        path = content / file
        path.write_text(path.read_text().replace(old, new, 1))
    files = [p.file for p in load_and_check(content)[1]]
    assert files == [
        "content/handbook.yml",
        "content/tools.yml",
        "content/tools.yml",
        f"content/{SAFE}",
        f"content/{SURVEY}",
    ]


def test_missing_files_and_strangers(tmp_path):
    content = changed(tmp_path, SURVEY, "minutes: 2", "minutes: 2")
    (content / "tools.yml").rename(content / "tool.yml")
    found = {(p.file, p.rule) for p in load_and_check(content)[1]}
    assert ("content/tools.yml", "missing-file") in found and ("content/tool.yml", "stranger") in found
    shutil.rmtree(content / "machines")
    assert any(p.file == "content/machines/" for p in load_and_check(content)[1])
    assert load_and_check(tmp_path / "nowhere")[1][0].rule == "missing-file"


def test_a_link_that_leads_out_of_the_content_is_refused(tmp_path):
    content = changed(tmp_path, SURVEY, "minutes: 2", "minutes: 2")
    outside = tmp_path / "secret.yml"
    shutil.copy(content / SAFE, outside)
    os.symlink(outside, content / "procedures/copy.yml")
    problems = load_and_check(content)[1]
    assert [(p.file, p.rule) for p in problems] == [("content/procedures/copy.yml", "outside")]


def test_bytes_that_are_not_utf8_and_a_huge_file(tmp_path):
    content = changed(tmp_path, SURVEY, "minutes: 2", "minutes: 2")
    (content / "tools.yml").write_bytes(b"tools:\n  gauge: {title: \xff}\n")
    (problem,) = [p for p in load_and_check(content)[1] if p.rule == "encoding"]
    assert problem.line == 2
    (content / "tools.yml").write_bytes(b"#" * (MOST_BYTES + 1))
    assert any(p.rule == "file-size" for p in load_and_check(content)[1])


@pytest.mark.parametrize(
    "text", ["no", "yes", "1.10", "12:30", "010", "~", "null", "2026-11-25", "0x1F", "1e3"]
)
def test_scalars_stay_as_they_were_written(text):
    for parser in LOADERS:
        node, problems = parse(f"a: {text}\n", "x.yml", parser)
        assert not problems and node.plain() == {"a": text}


def test_deep_and_wide_yaml_is_refused():
    for text in ("[" * 5000, "a: " + "[" * 30 + "]" * 30, "- a\n" * 70000):
        for parser in LOADERS:
            _node, problems = parse(text, "x.yml", parser)
            assert problems and problems[0].rule in ("file-size", "syntax")


@settings(derandomize=True, max_examples=400, deadline=None)
@given(st.one_of(st.text(max_size=200), st.text(alphabet="abc:-[]{}\"'\n \t#&*!|>%@`0,?", max_size=120)))
def test_any_text_gives_nodes_or_problems(text):
    for parser in LOADERS:
        node, problems = parse(text, "x.yml", parser)
        assert node is not None or problems
        assert all(isinstance(p, Problem) and p.line >= 1 for p in problems)


@pytest.mark.parametrize("seed", range(60))
def test_damaged_demo_content_never_ends_in_a_traceback(tmp_path, seed):
    """Bytes of real content cut, doubled or replaced: problems, or sound content; never an exception."""
    rng = random.Random(seed)
    content = tmp_path / "content"
    shutil.copytree(DEMO if DEMO.is_dir() else SMALL, content)
    files = sorted(content.rglob("*.yml"))
    for path in rng.sample(files, 3):
        raw = bytearray(path.read_bytes())
        for _ in range(rng.randint(1, 6)):
            a, b = sorted(rng.choices(range(len(raw)), k=2))
            kind = rng.randrange(4)
            if kind == 0:
                del raw[a : min(b, a + 40)]
            elif kind == 1:
                raw[a:a] = raw[a : min(b, a + 60)]
            elif kind == 2:
                raw[a] = rng.randrange(256)
            else:
                raw[a:a] = rng.choice(
                    [b": ", b"\n- ", b"{", b"]", b"\t", b"&x ", b"*x", b"''", b"\n  ", b"!!int "]
                )
        path.write_bytes(bytes(raw))
    _handbook, problems = load_and_check(content)
    assert all(str(p) for p in problems)


def test_every_figure_that_a_calculator_takes_from_a_machine_is_known_to_the_model():
    for one in calculators():
        for field in one.fields:
            section, _dot, name = field.machine.partition(".")
            if section == "handbook":
                assert name in declared(model.HandbookHead), field.machine
            elif section:
                assert name in model.FIGURES.get(section, {}), f"{one.id}: {field.machine}"
