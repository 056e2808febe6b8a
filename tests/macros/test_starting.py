"""`new handbook`: a folder of one's own that passes check without a word, teaches, and looks like the company's."""

import datetime
import re
from pathlib import Path

import pytest

from macros import cli, colour, starting
from macros.check import load_and_check
from macros.console import ROOT, Stop
from macros.load import load
from macros.pages.files import manifest, stylesheet
from macros.pages.site import Site


def made(folder: Path, **more: object) -> Path:
    starting.make(starting.Wanted(folder, **more), lambda _question, proposal: proposal)
    return folder


def test_it_is_whole_and_passes_check_with_no_word_said(tmp_path, capsys):
    folder = tmp_path / "deep" / "own"
    given = ["--title", 'The "Quay" book: floors', "--company", "Quay & sons (invented)", "--accent", "#0b5c4a"]
    assert cli.run(cli.parse(["new", "handbook", str(folder), *given])) == 0
    capsys.readouterr()
    handbook, problems = load_and_check(folder)
    assert problems == [] and handbook.allowed == ()
    assert (handbook.name, handbook.company) == ('The "Quay" book: floors', "Quay & sons (invented)")
    assert len(handbook.machines) == 1 and len(handbook.procedures) == 3 and "make-safe" in handbook.procedures
    assert handbook.demo and "invented" in handbook.scenario
    assert handbook.date <= datetime.date.today()
    assert cli.check(folder) == 0
    assert re.search(r"Procedures: 3; machines: 1", capsys.readouterr().err)
    readme = (folder / "README.md").read_text("utf-8")
    assert handbook.name in readme and f"--content {folder}" in readme


def test_every_file_teaches_and_names_its_schema(tmp_path):
    for path in made(tmp_path / "own").rglob("*.yml"):
        lines = path.read_text("utf-8").splitlines()
        assert lines[0].startswith("# yaml-language-server: $schema=")
        assert (path.parent / lines[0].partition("=")[2]).resolve().is_file()
        assert path.name == "turn-blade.yml" or lines[1].startswith("# "), path
        assert load(path, path.name)[1] == []
        assert "{" + "name}" not in path.read_text("utf-8")


def test_nothing_of_the_demo_and_no_placeholder_is_left(tmp_path):
    folder = made(tmp_path / "own")
    text = "".join(path.read_text("utf-8") for path in folder.rglob("*") if path.suffix in (".yml", ".md"))
    assert not re.search(r"Northquay|Saltmarsh|NQ-|\{(?:name|company|date|light|dark|folder)\}", text)


def test_the_pages_have_its_colour_and_its_mark(tmp_path):
    handbook, _problems = load_and_check(made(tmp_path / "own", accent="#0B5C4A"))
    css = stylesheet(ROOT / "site_overrides" / "look", handbook)
    assert css.count("--accent: #0B5C4A;") == 1 and css.count(f"--accent: {handbook.accent.dark};") == 2
    assert colour.lacks(handbook.accent.dark, "dark") is None
    assert '"look/icon.svg"' in manifest(handbook) and "icon-512" not in manifest(handbook)
    assert Site(handbook).icons == {"own": True, "icon-180.png": False, "icon-512.png": False}
    (handbook.root / "mark-512.png").write_bytes(b"pixels")
    assert manifest(handbook).count("icon-512.png") == 2


@pytest.mark.parametrize("scheme", colour.SCHEMES)
def test_the_programs_own_colours_pass_their_own_rule(scheme):
    accent = colour.grounds(scheme)["accent"]
    assert colour.lacks(accent, scheme) is None and colour.readable(accent, scheme) == accent


@pytest.mark.parametrize("given", [f"#{red:02X}{green:02X}{blue:02X}" for red in (0, 90, 255) for green in (0, 90, 255)
                                   for blue in (0, 90, 255)])
def test_the_colour_that_is_proposed_can_be_read_in_both_schemes(given):
    for scheme in colour.SCHEMES:
        better = colour.readable(given, scheme)
        assert colour.lacks(better, scheme) is None
        assert colour.contrast(colour.on(better, scheme), better) >= colour.WORDS
        assert colour.contrast(colour.grounds(scheme)["ink"], colour.tint(better, scheme)) >= colour.WORDS


@pytest.mark.parametrize("wanted, says", [
    ({"accent": "#FFD500"}, "stands out from #F7F5F0 by 1.3 to 1"),
    ({"accent": "green"}, "is not a colour"),
    ({"name": "A\x07"}, "Nothing was written, since check would say"),
])
def test_what_cannot_be_made_leaves_nothing_behind(tmp_path, wanted, says):
    with pytest.raises(Stop, match=re.escape(says)):
        made(tmp_path / "own", **wanted)
    assert list(tmp_path.iterdir()) == []


def test_who_gives_no_colour_is_told_and_asked_again_with_one_that_can_be_read(tmp_path):
    asked = []

    def ask(question: str, proposal: str) -> str:
        asked.append((question, proposal))
        return ["A", "B", "violet", "#D0D0D0", proposal][len(asked) - 1]

    starting.make(starting.Wanted(tmp_path / "own"), ask)
    assert '"VIOLET" is not a colour' in asked[3][0] and "could not be read" in asked[4][0]
    assert f'light: "{asked[4][1]}"' in (tmp_path / "own" / "handbook.yml").read_text("utf-8")


def test_a_folder_with_something_in_it_and_the_programs_own_are_left_alone(tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(Stop, match="is not empty"):
        made(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]
    with pytest.raises(Stop, match="inside the program's own folder"):
        made(ROOT / "own")
    assert not (ROOT / "own").exists()
