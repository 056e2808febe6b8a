"""Broken content: each kind of problem with its place, its words and what to do, on both parsers."""

import ast
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
from macros.fields import KINDS, declared
from macros.load import LOADERS, MOST_BYTES, parse
from macros.problems import Problem

from .contents import DEMO, SMALL, changed

ROOT = Path(__file__).parents[2]
SURVEY, SAFE = "procedures/survey.yml", "procedures/make-safe.yml"

#: file, what is replaced, by what, and the problems: (file, line, rule, words that it must hold).
BROKEN = [
    (SURVEY, "hands: [fan]", "hands: [fann]",
     [(SURVEY, 11, "unknown-zone",
       '"fann" is not the id of a zone. Did you mean "fan"? They are listed in content/hazards.yml.')]),
    (SURVEY, "tools: [gauge]", "tools: [gage]", [(SURVEY, 11, "unknown-tool", 'Did you mean "gauge"?')]),
    (SURVEY, "figure: plate", "figure: plat", [(SURVEY, 11, "unknown-drawing", 'Did you mean "plate"?')]),
    (SURVEY, "figure: plate", "figure: ../../secret", [(SURVEY, 11, "type", "nothing outside the content is read")]),
    (SURVEY, "calculator: suction-drop", "calculator: suction", [(SURVEY, 14, "unknown-calculator", "suction-drop")]),
    (SURVEY, "calculator: suction-drop", "calculator: {id: suction-drop, with: {readings: 3}}",
     [(SURVEY, 14, "calculator-input", 'suction-drop refuses "3" for readings, with the machine m')]),
    (SURVEY, "calculator: suction-drop", "calculator: {id: suction-drop, with: [3]}",
     [(SURVEY, 14, "type", "a mapping of names to values")]),
    (SURVEY, "calculator: suction-drop", "calculator: {id: suction-drop, wiht: {}}",
     [(SURVEY, 14, "unknown-key", 'Did you mean "with"?')]),
    (SURVEY, "{go: make-safe}", "{go: make-saf}", [(SURVEY, 14, "unknown-procedure", 'Did you mean "make-safe"?')]),
    (SURVEY, "{go: make-safe}", "{to: d}", [(SURVEY, 14, "unknown-step", "There are: a, b, c.")]),
    (SURVEY, "done_when", "don_when", [(SURVEY, 1, "missing-key", 'The key "done_when" is missing'),
                                       (SURVEY, 6, "unknown-key", 'Did you mean "done_when"?')]),
    (SURVEY, "group: find", "group: fnd", [(SURVEY, 2, "unknown-group", 'Did you mean "find"?')]),
    (SURVEY, "minutes: 2", "minutes: 2\nmachines: [n]", [(SURVEY, 5, "unknown-machine", "There are: m.")]),
    (SAFE, "steps:", "steps:\n  - part: A\nnext:", [
        (SAFE, 7, "no-steps", "at least one step"), (SAFE, 10, "type", "Found a mapping. Expected the id of a procedure")]),
    (SURVEY, "minutes: 2", "minutes: two", [(SURVEY, 4, "type", "a whole number from 1 to 1000")]),
    (SURVEY, "minutes: 2", "minutes: 010\nminutes: 3", [(SURVEY, 5, "duplicate-key", "first in line 4")]),
    (SURVEY, "reviewed: 2026-11-01", "reviewed: 2026-13-01", [(SURVEY, 7, "type", "such as 2026-11-25")]),
    (SURVEY, "steps:", "step:", [(SURVEY, 1, "missing-key", 'The key "steps" is missing'),
                                 (SURVEY, 8, "unknown-key", 'Did you mean "steps"?')]),
    (SURVEY, "- message: pull", "- mesage: pull", [
        (SURVEY, 13, "unknown-key", 'Did you mean "message"?'),
        (SURVEY, 14, "message", '"pull" does not stand before this step. Hands in "tank port" need it')]),
    (SURVEY, "- message: pull", "- {message: pull, part: C}", [
        (SURVEY, 13, "item", "Part stands together with message"), (SURVEY, 14, "message", "pull")]),
    (SURVEY, "- message: pull", "- pull", [
        (SURVEY, 13, "type", 'Found "pull". Expected a step, or a mapping with part or message alone'),
        (SURVEY, 14, "message", "pull")]),
    (SURVEY, "{go: make-safe}", "{go: make-safe, to: c}", [(SURVEY, 14, "branch", "Both go and to are given")]),
    (SURVEY, "{go: make-safe}", "{to: c, back: true}", [(SURVEY, 14, "branch", "Back is given without go")]),
    (SURVEY, "{go: make-safe}", "{}", [(SURVEY, 14, "branch", "Nothing is said to do")]),
    (SURVEY, "achieves: Finds the leak.", 'achieves: "Finds\\u0007 the leak."', [(SURVEY, 3, "characters", "U+0007")]),
    (SURVEY, "- part: A", "- part: [A]", [(SURVEY, 9, "type", "Expected a text")]),
    (SURVEY, "{id: b,", "{id: a,", [(SURVEY, 14, "duplicate-id", "first in line 11")]),
    (SURVEY, "sets: {key: in, vacuum: running}", "sets: {kee: in, key: in, vacuum: running}",
     [(SURVEY, 14, "unknown-state", 'Did you mean "key"?')]),
    (SURVEY, "sets: {key: in, vacuum: running}", "sets: {key: inn, vacuum: running}",
     [(SURVEY, 14, "state-holds", "vacuum running"), (SURVEY, 14, "unknown-state", 'Did you mean "in"?')]),
    (SAFE, "minutes: 2", "minutes: 2\nfirst: [survey]", [
        (SURVEY, 5, "loop", "make-safe -> survey -> make-safe")]),
    ("handbook.yml", "edition: 1", "edition: 0", [("handbook.yml", 6, "type", "a whole number from 1")]),
    ("handbook.yml", "model: 1", "model: 9", [("handbook.yml", 1, "type", 'Found "9"')]),
    ("handbook.yml", "currency: EUR", "currency: euros", [("handbook.yml", 8, "type", "three capital letters")]),
    ("handbook.yml", 'labour_rate: "58.00"', "labour_rate: 58,00", [("handbook.yml", 9, "type", "decimal point")]),
    ("handbook.yml", "currency: EUR", "currency: EUR\nunits: {presure: kPa}",
     [("handbook.yml", 9, "unknown-unit", 'Did you mean "pressure"?')]),
    ("handbook.yml", "currency: EUR", "currency: EUR\nunits: {length: mn}",
     [("handbook.yml", 9, "unknown-unit", '"mn" is not a unit of length. Did you mean')]),
    ("handbook.yml", "tax_rate: 20", "tax_rate: no", [("handbook.yml", 10, "type", 'Found "no"')]),
    ("handbook.yml", "demo: true", "demo: yes", [("handbook.yml", 5, "type", "true or false")]),
    ("handbook.yml", "name: Floor", "? {a: b}\n: c\nname: Floor", [("handbook.yml", 2, "key", "keys are plain words")]),
    ("drawings/plate.svg", "<title id", "<script/><title id", [("drawings/plate.svg", 1, "drawing", "without script")]),
    ("handbook.yml", "name: Floor", "name: &a Floor", [("handbook.yml", 2, "alias", "An anchor (&a)")]),
    ("handbook.yml", "name: Floor", "name: !!str Floor", [("handbook.yml", 2, "tag", "A tag")]),
    ("handbook.yml", "first:", "language: qq\nfirst:", [("handbook.yml", 11, "unknown-language", "There are: en.")]),
    ("hazards.yml", "message: pull}", "message: pul}", [
        ("hazards.yml", 7, "unknown-message", 'Did you mean "pull"?')]),
    ("hazards.yml", "signs: [fan]", "signs: [M999]", [("hazards.yml", 9, "unknown-sign", 'Unknown sign "M999"')]),
    ("hazards.yml", "signal: warning", "signal: warnin", [("hazards.yml", 9, "type", 'Did you mean "warning"?')]),
    ("hazards.yml", "moving_parts: true}", "moving_parts: true, while_running: allowed}",
     [("hazards.yml", 6, "moving-parts", "never where parts move")]),
    ("machines/m.yml", "20 kPa", "200 kPa", [("machines/m.yml", 5, "type", "Expected pressure from 1 to 101 kPa, written such as 101 kPa")]),
    ("machines/m.yml", "20 kPa", "20", [("machines/m.yml", 5, "type", "with its unit")]),
    ("machines/m.yml", "edges: 4", "edges: 9", [("machines/m.yml", 3, "type", "a whole number from 1 to 8")]),
    ("machines/m.yml", "vacuum: {sealed", "vaccum: {sealed", [("machines/m.yml", 5, "unknown-key", 'Did you mean "vacuum"?')]),
    ("machines/m.yml", "squeegee: {width: 90 cm, edges: 4}", "squeegee: [90 cm]",
     [("machines/m.yml", 3, "type", "Found a list. Expected a mapping with width")]),
    ("machines/m.yml", "edges: 4", "edge: 4", [("machines/m.yml", 3, "unknown-key", 'Did you mean "edges"?')]),
    ("machines/m.yml", "parts: [rear-blade]", "parts: [rear-blad]", [("machines/m.yml", 4, "unknown-part", "rear-blade")]),
    ("parts.yml", 'price: "34.50"', "price: 34.50 EUR", [("parts.yml", 2, "type", "without the currency")]),
    ("parts.yml", "rear-blade:", "Rear Blade:", [("machines/m.yml", 4, "unknown-part", "rear-blade"),
                                                 ("parts.yml", 2, "id", "small letters, digits and hyphens")]),
    ("tools.yml", "tools:", "\ttools:", [("tools.yml", 1, "syntax", "spaces, not with tabs")]),
    ("tools.yml", "tools:", "tools: [", [("tools.yml", 3, "syntax", "YAML cannot be read here")]),
    ("tools.yml", "tools:\n  gauge: {title: vacuum gauge}\n", "", [("tools.yml", 1, "empty", "The file is empty")]),
    ("tools.yml", "tools:", "tools: {}\n---\ntools:", [("tools.yml", 2, "document", "A second document")]),
    ("symptoms.yml", "go: [survey]", "go: []", [("symptoms.yml", 8, "type", "a list, each item the id of a procedure")]),
    ("symptoms.yml", "low: 95}", "low: 90}", [("symptoms.yml", 19, "likely", "add up to 95 % with lid")]),
    ("symptoms.yml", "lid: {full", "lidd: {full", [("symptoms.yml", 19, "unknown-cause", 'Did you mean "lid"?')]),
    ("symptoms.yml", "low: 95}", "lo: 95}", [("symptoms.yml", 19, "unknown-result", 'Did you mean "low"?')]),
    ("symptoms.yml", "{full: 90, low: 10}", "{full: 15, low: 85}", [("symptoms.yml", 11, "told-apart", 'No check tells "lid leaks" from "hose split"')]),
    ("symptoms.yml", "else: {full: 90, low: 10}", "lid2: {full: 90, low: 10}",
     [("symptoms.yml", 19, "likely", "with hose"), ("symptoms.yml", 20, "unknown-cause", "lid2")]),
    ("glossary.yml", "also: [tank ports]", "also: [tank ports, Tank  Port]",
     [("glossary.yml", 2, "duplicate-word", 'The word "Tank  Port" stands twice, first in line 2')]),
    ("glossary.yml", "also: [tank ports]", "alos: [tank ports]", [("glossary.yml", 2, "unknown-key", 'Did you mean "also"?')]),
    ("glossary.yml", "words:", "word:", [("glossary.yml", 1, "missing-key", 'The key "words" is missing'),
                                         ("glossary.yml", 1, "unknown-key", 'Did you mean "words"?')]),
    ("symptoms.yml", "share: 3, mends: survey", "share: 3, mends: surve", [("symptoms.yml", 10, "unknown-procedure", 'Did you mean "survey"?')]),
]


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
    for f, line, rule, words in expected:
        assert any(words.lower() in str(p).lower() for p in problems if (p.line, p.rule) == (line, rule)), [str(p) for p in problems]
    for p in problems:
        assert p.column >= 1 and p.with_source(tmp_path).count("\n") in (0, 2)
        assert set(p.record()) == {"file", "line", "column", "rule", "found", "expected", "hint"}


def test_columns_point_at_the_word(tmp_path):
    content = changed(tmp_path, SURVEY, "hands: [port]", "hands: [port, prot]")
    (problem,) = [p for p in load_and_check(content)[1] if p.rule == "unknown-zone"]
    line = (content / SURVEY).read_text().splitlines()[problem.line - 1]
    assert line[problem.column - 1:].startswith("prot")
    caret = problem.with_source(tmp_path).splitlines()
    assert caret[1][caret[2].index("^"):].startswith("prot")


def test_problems_of_all_files_come_at_once_in_file_order(tmp_path):
    content = changed(tmp_path, SURVEY, "minutes: 2", "minutes: two")
    for file, old, new in (("handbook.yml", "edition: 1", "edition: one"), ("tools.yml", "title:", "titel:"),
                           (SAFE, "group: find", "group: fnd")):
        path = content / file
        path.write_text(path.read_text().replace(old, new, 1))
    files = [p.file for p in load_and_check(content)[1]]
    assert files == ["content/handbook.yml", "content/tools.yml", "content/tools.yml", f"content/{SAFE}", f"content/{SURVEY}"]


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


@pytest.mark.parametrize("text", ["no", "yes", "1.10", "12:30", "010", "~", "null", "2026-11-25", "0x1F", "1e3"])
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
    """Bytes of real content cut, doubled, swapped or replaced: problems, or sound content; never an exception."""
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
                del raw[a:min(b, a + 40)]
            elif kind == 1:
                raw[a:a] = raw[a:min(b, a + 60)]
            elif kind == 2:
                raw[a] = rng.randrange(256)
            else:
                raw[a:a] = rng.choice([b": ", b"\n- ", b"{", b"]", b"\t", b"&x ", b"*x", b"''", b"\n  ", b"!!int "])
        path.write_bytes(bytes(raw))
    _handbook, problems = load_and_check(content)
    assert all(str(p) for p in problems)


def test_each_rule_has_a_broken_sample():
    """Every rule that the sources name is broken by a sample here, or named by another test."""
    named = set()
    for path in [*ROOT.glob("macros/*.py"), *ROOT.glob("macros/rules/*.py")]:
        for call in (node for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Call)):
            name = getattr(call.func, "id", getattr(call.func, "attr", ""))
            place = {"Problem": 1, "refuse": 1, "_refuse": 1, "_say": 1, "_need": 3}.get(name)
            if place is not None and len(call.args) > place and isinstance(call.args[place], ast.Constant):
                named.add(call.args[place].value)
    named |= {f"unknown-{to}" for to in KINDS if to != "own"}
    samples = {rule for _file, _old, _new, problems in BROKEN for _f, _line, rule, _words in problems}
    tests = "".join(path.read_text() for path in Path(__file__).parent.rglob("test_*.py"))
    assert len(named) >= 40
    assert {rule for rule in named - samples if f'"{rule}"' not in tests} == set()


def test_every_figure_that_a_calculator_takes_from_a_machine_is_known_to_the_model():
    for one in calculators():
        for field in one.fields:
            section, _dot, name = field.machine.partition(".")
            if section == "handbook":
                assert name in declared(model.HandbookHead), field.machine
            elif section:
                assert name in model.FIGURES.get(section, {}), f"{one.id}: {field.machine}"
