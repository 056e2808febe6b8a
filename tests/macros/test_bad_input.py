"""Whatever stands in a content folder: problems with places, never an exception."""

import os
import random
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from macros import folder, model
from macros.check import load_and_check
from macros.fields import declared
from macros.load import LOADERS, load
from macros.problems import At, Problem

from .contents import SMALL, changed

ROOT = Path(__file__).parents[2]

#: Words that mean something in the content, so that drawn trees reach beyond the first refusal.
CLASSES = [
    *folder.FILES.values(),
    model.MachineHead,
    model.ProcedureHead,
    model.Step,
    model.Zone,
    model.Message,
    model.StateVariable,
    model.StateValue,
    model.Branch,
    model.Use,
    model.Group,
    model.Part,
    model.Symptom,
]
KEYS = sorted(
    {key for cls in CLASSES for key in declared(cls)}
    | set(model.FIGURES)
    | {"steps", "part", "message", "with"}
    | {"key", "vacuum", "fan", "port", "gauge", "pull", "rear-blade", "m"}
)
SCALARS = st.one_of(
    st.sampled_from(
        [
            "in",
            "out",
            "running",
            "fan",
            "make-safe",
            "survey",
            "true",
            "no",
            "010",
            "20 kPa",
            "2026-11-25",
            "~",
            "../x",
            "suction-drop",
            "",
            "1e999",
            "EUR",
            "34.50",
            "١٢",
            "\u202e",
            "<b>",
            "%s {0}",
        ]
    ),
    st.integers(-5, 10**12).map(str),
    st.text(max_size=12),
)
TREES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(st.one_of(st.sampled_from(KEYS), st.text(max_size=6)), inner, max_size=6),
    ),
    max_leaves=25,
)


def sane(problems: list[Problem], content: Path) -> None:
    """Each problem names a place that can be gone to, and prints."""
    for problem in problems:
        assert problem.line >= 1 and problem.column >= 1 and problem.rule
        assert str(problem).startswith(f"{problem.file}:{problem.line}:{problem.column}: ")
        str(problem).encode("utf-8")
        problem.with_source(content.parent).encode("utf-8")
        path = content.parent / problem.file
        if path.is_file() and problem.rule not in ("encoding", "file-size"):
            assert problem.line <= path.read_bytes().decode("utf-8", "replace").count("\n") + 2


@pytest.fixture(scope="module")
def scratch(tmp_path_factory) -> Path:
    """A copy of the small content that a test may write over, file by file, and put back."""
    content = tmp_path_factory.mktemp("scratch") / "content"
    shutil.copytree(SMALL, content)
    return content


FILES = st.sampled_from(
    [*folder.FILES, "machines/m.yml", "procedures/survey.yml", "procedures/make-safe.yml"]
)


@settings(
    derandomize=True,
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(file=FILES, tree=TREES, parser=st.sampled_from(sorted(LOADERS)))
def test_any_tree_in_any_file(scratch, file, tree, parser):
    _write_and_check(
        scratch, file, yaml.safe_dump(tree, allow_unicode=True).encode("utf-8", "replace"), parser
    )


@settings(
    derandomize=True,
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(file=FILES, raw=st.binary(max_size=80), parser=st.sampled_from(sorted(LOADERS)))
def test_any_bytes_in_any_file(scratch, file, raw, parser):
    _write_and_check(scratch, file, raw, parser)


@settings(
    derandomize=True,
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(data=st.data(), file=FILES, tree=TREES)
def test_any_tree_in_the_place_of_a_value(scratch, data, file, tree):
    """One value somewhere in a sound file becomes something else."""
    whole = yaml.load((SMALL / file).read_text(), Loader=yaml.BaseLoader)
    places = list(_places(whole))
    holder, key = data.draw(st.sampled_from(places))
    holder[key] = tree
    _write_and_check(
        scratch,
        file,
        yaml.safe_dump(whole, allow_unicode=True, sort_keys=False).encode("utf-8", "replace"),
        "fast",
    )


def _places(tree):
    for key, value in tree.items() if isinstance(tree, dict) else enumerate(tree):
        yield tree, key
        if isinstance(value, dict | list):
            yield from _places(value)


def _write_and_check(content: Path, file: str, raw: bytes, parser: str) -> None:
    try:
        (content / file).write_bytes(raw)
        handbook, problems = load_and_check(content, parser)
        sane(problems, content)
        assert handbook is not None or problems
    finally:
        shutil.copy(SMALL / file, content / file)


# ---- what is in the folder besides plain files ----


@pytest.fixture
def content(tmp_path) -> Path:
    return changed(tmp_path, "handbook.yml", "model: 2", "model: 2")


def places(content: Path) -> list[tuple[str, str]]:
    problems = load_and_check(content)[1]
    sane(problems, content)
    return [(problem.file, problem.rule) for problem in problems]


def test_a_folder_with_the_name_of_a_file(content):
    (content / "procedures/odd.yml").mkdir()
    (content / "parts.yml").unlink()
    (content / "parts.yml").mkdir()
    (content / "drawings/odd.svg").mkdir()
    assert places(content) == [("content/parts.yml", "file"), ("content/procedures/odd.yml", "file")]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_not_waited_for(content):
    os.mkfifo(content / "procedures/pipe.yml")
    assert places(content) == [("content/procedures/pipe.yml", "file")]


def test_names_of_files_that_are_no_ids_or_cannot_be_printed(content):
    for name in ("Survey 2.yml", "a\nb.yml", "ü.yml"):
        shutil.copy(SMALL / "procedures/make-safe.yml", content / "procedures" / name)
    assert sorted(places(content)) == [
        ("content/procedures/Survey 2.yml", "file-name"),
        ("content/procedures/a\\nb.yml", "file-name"),
        ("content/procedures/ü.yml", "file-name"),
    ]


def test_a_file_name_in_bytes_that_are_no_text(content):
    name = os.path.join(os.fsencode(content / "procedures"), b"x\xff.yml")
    try:
        with open(name, "wb") as file:
            file.write((SMALL / "procedures/make-safe.yml").read_bytes())
    except OSError:
        pytest.fail("the file system refuses the name: run this test where it does not")
    assert places(content) == [("content/procedures/x\\udcff.yml", "file-name")]


@pytest.mark.parametrize(
    "link, aim",
    [
        ("procedures/copy.yml", "../../secret.yml"),
        ("drawings/secret.svg", "../../secret.yml"),
        ("lost.png", "gone.png"),
        ("guides", "../outside"),
        ("picture.png", "/etc/hostname"),
        ("ring", "ring"),
        ("hazards.yml", "../secret.yml"),
    ],
)
def test_links_that_lead_out_are_refused(content, link, aim):
    (content.parent / "outside").mkdir()
    (content.parent / "secret.yml").write_text("secret: 1")
    (content / link).unlink(missing_ok=True)
    os.symlink(aim, content / link)
    assert places(content) == [(f"content/{link}", "outside")]


def test_a_link_inside_the_content_is_followed(content):
    os.symlink("plate.svg", content / "drawings/same.svg")
    handbook, problems = load_and_check(content)
    assert [p.rule for p in problems] == ["unused-drawing"]  # it is read, though no page shows it
    assert set(handbook.drawings) == {"plate", "same"}


@pytest.mark.parametrize(
    "prose, column, rule",
    [
        ("See [it](../../../secret.txt).", 10, "outside"),
        ("See [it](/../../secret.txt).", 10, "outside"),
        ("See ![it](missing.png).", 11, "missing-file"),
        ("[it]: ../%2e%2e/secret.txt", 7, "outside"),
        ("[it](../procedures/surveys/)", 6, "unknown-procedure"),
        ("[it](../procedures/survey/#step-reed)", 6, "unknown-step"),
        ("[it](../seen/midle/)", 6, "unknown-symptom"),
        ("[it](../guides/rough-floors/)", 6, "unknown-guide"),
        ("[it](../glosary/)", 6, "missing-file"),
        ("[it](../calculators/edge/#x)", 6, "unknown-calculator"),
        ('<img alt="x" src="../../x.png">', 19, "outside"),
        ("![it](https://example.org/x.png)", 7, "outside"),
        ("[it](\0.md)", None, "missing-file"),
    ],
)
def test_links_in_prose(content, prose, column, rule):
    (content / "guides").mkdir()
    (content / "guides/floor.md").write_text(f"# Floor\n\n{prose}\n")
    (problem,) = load_and_check(content)[1]
    assert (problem.file, problem.line, problem.rule) == ("content/guides/floor.md", 3, rule)
    assert column is None or problem.column == column


@pytest.mark.parametrize(
    "prose",
    [
        "[a](#part)",
        "[a](other.md#x)",
        "![a](../drawings/plate.svg)",
        "[a](https://example.org)",
        "[a](mailto:a@example.org)",
        "[a](../procedures/survey/)",
    ],
)
def test_links_in_prose_that_are_right(content, prose):
    (content / "guides").mkdir()
    (content / "guides/other.md").write_text("# Other\n")
    (content / "guides/floor.md").write_text(f"# Floor\n\nSee {prose}.\n")
    assert load_and_check(content)[1] == []


@pytest.mark.parametrize("where", ["nowhere", "handbook.yml", "x\0y"])
def test_what_is_no_folder_of_content(content, where):
    handbook, problems = load_and_check(content / where)
    assert handbook is None and [p.rule for p in problems] in (["missing-file"], ["file"])


def test_a_broken_hazards_file_hides_nothing_of_the_other_files(content):
    (content / "hazards.yml").write_text("state: [\n")
    path = content / "procedures/survey.yml"
    path.write_text(path.read_text().replace("tools: [gauge]", "tools: [gage]"))
    handbook, problems = load_and_check(content)
    assert handbook is None
    assert [(p.file, p.rule) for p in problems] == [
        ("content/hazards.yml", "syntax"),
        ("content/procedures/survey.yml", "unknown-tool"),
    ]


@pytest.mark.parametrize(
    "file", [*folder.FILES, "machines/m.yml", "procedures/make-safe.yml", "procedures/survey.yml"]
)
@pytest.mark.parametrize("parser", sorted(LOADERS))
def test_a_file_that_cannot_be_read_drags_no_other_problem_behind_it(content, file, parser):
    (content / file).write_text("a: b: c\n")
    assert [(p.file, p.rule) for p in load_and_check(content, parser)[1]] == [(f"content/{file}", "syntax")]


def test_the_two_parsers_read_alike(content):
    for path in sorted((ROOT / "content").rglob("*.yml")) or sorted(SMALL.rglob("*.yml")):
        fast, plain = load(path, "x", "fast"), load(path, "x", "plain")
        assert fast == plain and fast[0] is not None, path


def test_from_the_command_line_problems_are_lines_and_the_status_is_1(content):
    path = content / "procedures/survey.yml"
    path.write_text(path.read_text().replace("hands: [port]", "hands: [prot]"))
    done = subprocess.run(
        [sys.executable, "-m", "macros.check", str(content)], cwd=ROOT, capture_output=True, text=True
    )
    lines = done.stdout.splitlines()
    assert done.returncode == 1 and done.stderr == ""
    assert (
        lines[0].startswith("content/procedures/survey.yml:14:")
        and "^" in lines[2]
        and lines[-1] == "1 problems"
    )
    done = subprocess.run(
        [sys.executable, "-m", "macros.check", str(SMALL)], cwd=ROOT, capture_output=True, text=True
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "0 problems\n", "")


def test_places_of_a_generated_problem_are_its_own():
    assert Problem(At("f", 2, 3), "r", "found it", "expected that", "do this").record() == {
        "file": "f",
        "line": 2,
        "column": 3,
        "rule": "r",
        "found": "found it",
        "expected": "expected that",
        "hint": "do this",
    }


@pytest.mark.parametrize("seed", range(25))
def test_lines_of_real_content_swapped_doubled_and_lost(tmp_path, seed):
    """Whole lines of the handbook's own content moved about: often right as YAML, and wrong as content."""
    rng = random.Random(seed)
    source = ROOT / "content" if (ROOT / "content").is_dir() else SMALL
    content = tmp_path / "content"
    shutil.copytree(source, content)
    for path in rng.sample(sorted(content.rglob("*.yml")), 3):
        lines = path.read_text(encoding="utf-8").splitlines()
        for _time in range(rng.randint(1, 4)):
            a, b = rng.randrange(len(lines)), rng.randrange(len(lines))
            kind = rng.randrange(4)
            if kind == 0:
                lines[a], lines[b] = lines[b], lines[a]
            elif kind == 1:
                lines.insert(b, lines[a])
            elif kind == 2 and len(lines) > 2:
                del lines[a]
            else:
                lines[a] = lines[a].replace(rng.choice("abcdeinorst:,"), rng.choice("abcdeinorst:,"))
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    for parser in LOADERS:
        sane(load_and_check(content, parser)[1], content)
