"""What is new since an edition: found in its file or in the folder's history, told with before and after, safety
first."""

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from macros import cli
from macros.check import load_and_check
from macros.console import Stop
from macros.editions import changes, history, listing, summary
from macros.pages.site import Site
from tests.macros.pages.conftest import DEMO
from tests.macros.pages.dom import parse

from .contents import SMALL, put

SURVEY = "procedures/survey.yml"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    shutil.copytree(SMALL, tmp_path / "content")
    return tmp_path / "content"


def run(content: Path, *arguments: str) -> int:
    return cli.run(cli.parse([*arguments, "--content", str(content)]))


def now(content: Path) -> dict:
    handbook, problems = load_and_check(content)
    assert problems == [], [str(one) for one in problems]
    return summary.of(handbook)


def told(old: dict, content: Path) -> list[tuple]:
    """Every change as (kind, id, how, rows as (what, was, now), the same of what is inside)."""
    def plain(one: changes.Change) -> tuple:
        return one.kind, one.id, one.how, [(row.what, row.was, row.now) for row in one.rows], [plain(each)
                                                                                               for each in one.inside]

    return [plain(one) for one in changes.between(old, now(content))]


def test_nothing_changed_is_nothing_new(content):
    assert told(now(content), content) == []


@pytest.mark.parametrize("file, old, new, expected", [
    (SURVEY, "minutes: 2", "minutes: 3", ("procedures", "survey", "changed", [("Minutes", "2", "3")], [])),
    (SURVEY, "Read the gauge.,", "Read the gauge twice.,", ("procedures", "survey", "changed", [], [
        ("steps", "b", "changed",
         [("How", "Start the vacuum. Read the gauge.", "Start the vacuum. Read the gauge twice.")], [])])),
    (SURVEY, "{id: c, do: Stop,", "{id: c, do: Stop, tools: [gauge],", ("procedures", "survey", "changed", [], [
        ("steps", "c", "changed", [("Tools", "", "vacuum gauge")], [])])),
    (SURVEY, "calculator: suction-drop, ", "", ("procedures", "survey", "changed", [], [
        ("steps", "b", "changed", [("Calculator", "Where between motor and floor is the vacuum lost?", "")], [])])),
    ("machines/m.yml", "90 cm, edges: 4", "85 cm, edges: 4",
     ("machines", "m", "changed", [("Squeegee: width", "90 cm", "85 cm")], [])),
    ("machines/m.yml", "vacuum: 19 kPa", "vacuum: 18 kPa",
     ("machines", "m", "changed", [("Vacuum: readings when well, motor inlet", "19 kPa", "18 kPa")], [])),
    ("hazards.yml", "Keep the palm flat.", "Keep your palm flat.",
     ("messages", "pull", "changed", [("How to avoid it", "Keep the palm flat.", "Keep your palm flat.")], [])),
    ("hazards.yml", "needs: {key: out, vacuum: stopped}, message: turning-fan",
     "needs: {key: out}, message: turning-fan",
     ("zones", "fan", "changed", [("What it needs", "key out; vacuum stopped", "key out")], [])),
    ("symptoms.yml", "means: The middle is lifted.", "means: The middle is up.",
     ("symptoms", "middle", "changed", [("What it means", "The middle is lifted.", "The middle is up.")], [])),
    ("parts.yml", "NQ-1001", "NQ-1002", ("parts", "rear-blade", "changed", [("Number", "NQ-1001", "NQ-1002")], [])),
    ("parts.yml", "34.50", "35.50", ("parts", "rear-blade", "changed", [("Price", "", "another price")], [])),
    ("parts.yml", "price:", "shelf: A1, unit: piece, price:",
     ("parts", "rear-blade", "changed", [("Sold as", "", "piece"), ("Kept at", "", "A1")], [])),
    ("tools.yml", "title: vacuum gauge", "title: vacuum gauge to 40 kPa",
     ("tools", "gauge", "changed", [("Title", "vacuum gauge", "vacuum gauge to 40 kPa")], [])),
    ("glossary.yml", "Where the hose is pushed on.", "Where the hose goes.",
     ("words", "port", "changed", [("About it", "Where the hose is pushed on.", "Where the hose goes.")], [])),
    ("handbook.yml", "tax_rate: 20", "tax_rate: 21",
     ("handbook", "handbook", "changed", [("Labour, call-out and tax", "", "other rates")], [])),
    ("handbook.yml", "Local codes first.", "The maker first.",
     ("handbook", "handbook", "changed", [("Above all", "Local codes first.", "The maker first.")], [])),
    ("drawings/plate.svg", 'class="bold"', 'class="thin"',
     ("symptoms", "middle", "changed", [("Drawing", "", "drawn anew")], [])),
])
def test_a_change_is_told_with_before_and_after(content, file, old, new, expected):
    before = now(content)
    put(content, file, old, new)
    found = told(before, content)
    assert expected in found
    assert len(found) == 1 or file.startswith(("drawings/", "tools"))


@pytest.mark.parametrize("old", ["cost: \"19.87\"", "reviewed: 2026-11-01"])
def test_what_no_reader_of_it_is_told(content, old):
    """A cost is told to nobody; that a procedure was read through again is no news."""
    before, file = now(content), "parts.yml" if "cost" in old else SURVEY
    put(content, file, old, old.replace("19.87", "18.87").replace("11-01", "11-02"))
    assert told(before, content) == []


def test_what_a_summary_of_an_earlier_program_does_not_hold_is_not_compared(content):
    before = now(content)
    for kind in summary.LATER:
        del before[kind]
    del before["parts"]["rear-blade"]["price"], before["symptoms"]["middle"]["counts"]
    for step in before["procedures"]["survey"]["steps"].values():
        del step["sets"]
    assert told(before, content) == []
    file = content / "editions" / "1.json"
    file.parent.mkdir()
    file.write_text(summary.text(before), "utf-8")
    assert summary.read(file) == before
    file.write_text(summary.text({**before, "words": []}), "utf-8")
    with pytest.raises(summary.Unreadable):
        summary.read(file)


def test_who_may_not_read_a_value_is_not_told_how_it_was(content):
    before = now(content)
    put(content, "parts.yml", "price:", "shelf: A1, price:")
    put(content, SURVEY, "minutes: 2", "minutes: 3")
    [change] = changes.between(before, now(content), unread=("shelf",))
    assert change.id == "survey"


def test_steps_come_go_and_change_places(content):
    before = now(content)
    step = "  - {id: z, do: Look, text: Look at the machine.}\n"
    put(content, SURVEY, "  - part: B\n", f"{step}  - part: B\n")
    assert told(before, content) == [("procedures", "survey", "changed", [], [
        ("steps", "z", "added", [("How", "", "Look at the machine.")], [])])]
    with_step = now(content)
    assert [one.title for one in changes.between(with_step, before)[0].inside] == ["Look"]
    put(content, SURVEY, step, "")
    put(content, SURVEY, "  - part: A\n", f"{step}  - part: A\n")
    [(_kind, _id, _how, _rows, inside)] = told(with_step, content)
    assert ("steps", "", "changed", [("Order", "Open; Look; Read; Stop", "Look; Open; Read; Stop")], []) in inside


def test_what_came_and_what_went(content):
    before = now(content)
    run(content, "new", "procedure", "look", "--title", "Look")
    run(content, "new", "part", "lid-hook", "--machine", "m")
    found = {(kind, id, how) for kind, id, how, _rows, _inside in told(before, content)}
    assert found == {("procedures", "look", "added"), ("parts", "lid-hook", "added"), ("machines", "m", "changed")}
    gone = {(one.kind, one.id, one.how): one.url for one in changes.between(now(content), before)}
    assert gone == {("procedures", "look", "gone"): "", ("parts", "lid-hook", "gone"): "",
                    ("machines", "m", "changed"): "machines/m/"}


def test_what_touches_safety_stands_first(content):
    before = now(content)
    put(content, "hazards.yml", "Keep the palm flat.", "Keep your palm flat.")
    put(content, SURVEY, "minutes: 2", "minutes: 3")
    put(content, "machines/m.yml", "parts: [rear-blade]", "parts: [rear-blade]\nsays: It is blue.")
    assert [title for title, _held in changes.groups(changes.between(before, now(content)))] == [
        "For your safety", "Procedures", "Figures and parts of machines"]
    before = now(content)
    put(content, SURVEY, ", hands: [port]", ", hands: [port, port]")
    assert [title for title, _held in changes.groups(changes.between(before, now(content)))] == ["For your safety"]


def test_an_edition_is_kept_and_never_with_money(content, capsys):
    assert run(content, "edition") == 0
    file = content / "editions" / "1.json"
    text = file.read_text("utf-8")
    assert str(file) in capsys.readouterr().out and json.loads(text)["edition"] == 1
    assert "34.5" not in text and "19.87" not in text and "58" not in text
    assert run(content, "edition") == 0 and "kept already" in capsys.readouterr().err
    assert file.read_text("utf-8") == text
    put(content, "handbook.yml", "edition: 1", "edition: 2")
    put(content, SURVEY, "minutes: 2", "minutes: 3")
    assert run(content, "diff", "1") == 0
    said = capsys.readouterr().out
    assert "New since edition 1 of 2026-11-25" in said and "    Minutes\n      - 2\n      + 3\n" in said
    assert run(content, "diff", "1", "--json") == 0
    [change] = json.loads(capsys.readouterr().out)
    assert (change["id"], change["how"], change["safety"], change["rows"][0]["was"]) == ("survey", "changed", False,
                                                                                         "2")
    with pytest.raises(Stop, match="edition 3 is still to come"):
        run(content, "edition", "3")


def git(content: Path, *arguments: str) -> None:
    names = ("-c", "user.name=A", "-c", "user.email=a@example.org", "-c", "commit.gpgsign=false")
    subprocess.run(["git", "-C", str(content), *names, *arguments], check=True, capture_output=True)


def test_an_edition_is_found_in_the_history_of_the_folder(content, capsys):
    with pytest.raises(Stop, match="Edition 7 is not known"):
        history.find(content, 7)
    put(content, "handbook.yml", "model: 2", "model: 1")  # as it was written then
    put(content, "handbook.yml", "above_all:", "first:")
    git(content, "init", "-q")
    git(content, "add", ".")
    git(content, "commit", "-qm", "begun")
    put(content, SURVEY, "minutes: 2", "minutes: 4")
    git(content, "commit", "-qam", "the last of edition 1")
    put(content, "handbook.yml", "edition: 1", "edition: 2")
    git(content, "commit", "-qam", "edition 2")
    put(content, SURVEY, "minutes: 4", "minutes: 5")
    git(content, "commit", "-qam", "on with it")
    run(content, "renew", "--yes")
    capsys.readouterr()
    assert run(content, "diff", "1") == 0
    said = capsys.readouterr().out
    assert "(commit " in said and "      - 4\n      + 5\n" in said
    assert run(content, "edition", "1") == 0
    assert summary.read(content / "editions" / "1.json")["procedures"]["survey"]["minutes"] == 4
    assert told(summary.before(load_and_check(content)[0]), content) == [
        ("procedures", "survey", "changed", [("Minutes", "4", "5")], [])]
    with pytest.raises(Stop, match="Edition 9 is not known"):
        run(content, "diff", "9")


def test_a_page_that_moved_leads_on_and_one_that_is_gone_says_so(content):
    run(content, "edition")
    put(content, "handbook.yml", "edition: 1", "edition: 2")
    (content / SURVEY).rename(content / "procedures/look.yml")
    put(content, "symptoms.yml", "go: [survey]", "go: [look]")
    put(content, "synonyms.yml", "survey:", "look:")
    text = (content / "symptoms.yml").read_text("utf-8")
    (content / "symptoms.yml").write_text(text.replace("mends: survey", "mends: look").replace("go: survey",
                                                                                               "go: look"), "utf-8")
    assert [p.rule for p in load_and_check(content)[1]] == ["gone-page"]
    for entry, title, link in (("{page: procedures/survey, to: procedures/look}", "This page has moved",
                                "../../procedures/look/"),
                               ("{page: procedures/survey}", "This page was taken out", "../../")):
        before = (content / "handbook.yml").read_text("utf-8")
        put(content, "handbook.yml", "above_all:", f"moved: [{entry}]\nabove_all:")
        handbook, problems = load_and_check(content)
        assert problems == []
        site = Site(handbook)
        tree = parse(site.render(site.pages["procedures/survey/"]))
        assert tree.tags("h1")[0].text == title and link in [one.get("href") for one in tree.tags("a")]
        (content / "handbook.yml").write_text(before, "utf-8")


def test_the_demos_page_tells_what_diff_tells():
    handbook, problems = load_and_check(DEMO)
    assert problems == []
    site = Site(handbook)
    found = changes.between(summary.before(handbook), summary.of(handbook))
    assert found and any(one.safety for one in found)
    tree = parse(site.render(site.pages["new/"]))
    assert tree.tags("h2")[0].text == "For your safety"
    for change in found:
        assert change.title in tree.text
        for row in (row for one in (change, *change.inside) for row in one.rows):
            for tag, words in (("del", row.was), ("ins", row.now)):
                assert not words or " ".join(words.split()) in [" ".join(one.text.split()) for one in tree.tags(tag)]
    assert len(tree.tags("article")) == len(found)
    assert list(listing.diff(DEMO, handbook.edition - 1, False))[2] == "For your safety"


def test_a_first_edition_has_no_such_page(content):
    handbook, _problems = load_and_check(content)
    assert "new/" not in Site(handbook).pages
