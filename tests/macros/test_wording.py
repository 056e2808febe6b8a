"""What the rules of judgement say, and what they must not say; how each is switched off with a reason."""

import datetime
import random

import pytest

from macros import cli, english
from macros.allowing import JUDGEMENT
from macros.check import load_and_check
from macros.rules import writing
from macros.rules.reviews import _later

from .broken import BROKEN
from .contents import DEMO, changed

SURVEY = "procedures/survey.yml"
V = english.VERBS


def test_sentences_and_words():
    assert english.sentences("Stop. Wait 0.5 s, e.g. here.  Go on?") == ["Stop.", "Wait 0.5 s, e.g. here.", "Go on?"]
    assert len(english.words("Wait 10 s at 20 kPa, then a hand's-width (M10x1.25).")) == 8


@pytest.mark.parametrize("sentence, good", [
    ("Pull the plug apart.", True), ("Do not reach in.", True), ("Never reach in.", True),
    ("Slowly let it down.", True),
    ("If it leaks, renew it.", True), ("To get more bend, turn it in.", True), ("Then drain it.", True),
    ("First front lower, then rear lower: turn the blade about.", True), ("Do the same.", True), ("", True),
    ("The lid is open.", False), ("If it leaks, the seal is worn.", False), ("You must pull the plug.", False),
    ("Pulling the plug helps.", False),
])
def test_an_instruction_begins_with_its_verb(sentence, good):
    assert english.begins_with_verb(sentence, V) == good


@pytest.mark.parametrize("sentence, number, after", [
    ("Wipe lip and rim.", 1, False), ("Open the lid and prop it.", 2, False),
    ("Look for pins, crust and wire.", 1, False),
    ("Undo both, slide it out and lay it down.", 3, False), ("Wait, then read the gauge.", 2, True),
    ("Open it a little, then all the way.", 1, False), ("Stop, and then read it.", 2, True),
])
def test_instructions_are_counted(sentence, number, after):
    assert english.instructions(sentence, V) == (number, after)


@pytest.mark.parametrize("sentence, late", [
    ("Renew it if it leaks.", True), ("Take the signs away when it is dry.", True), ("Stop unless it pulls.", True),
    ("Ask when it was charged last.", False), ("Name the day when it can be done.", False),
    ("If it leaks, renew it.", False),
    ("Say what happens if it is left.", False), ("The seal leaks when it is hard.", False),
])
def test_a_condition_stands_first(sentence, late):
    assert english.condition_late(sentence, V) == late


def test_the_author_adds_to_the_words(tmp_path):
    content = changed(tmp_path, SURVEY, "do: Open,", "do: Burp the lid,")
    assert [p.rule for p in load_and_check(content)[1]] == ["verb-first"]
    (content / "words.yml").write_text("verbs: [burp]\ninstead: [{word: lid, say: cover}]\n")
    found = load_and_check(content)[1]
    assert {p.rule for p in found} == {"word-choice"} and 'Say "cover"' in str(found[0])


def test_another_language_than_english_is_not_judged_by_english(tmp_path):
    content = changed(tmp_path, "handbook.yml", "above_all:", "language: qq\nabove_all:")
    path = content / SURVEY
    path.write_text(path.read_text().replace("do: Open,", "do: The lid,"))
    assert [p.rule for p in load_and_check(content)[1]] == ["unknown-language"]


def test_a_review_is_due_by_the_edition_and_not_by_a_clock(tmp_path):
    content = changed(tmp_path, "handbook.yml", "above_all:", "review_after: 1\nabove_all:")
    assert load_and_check(content)[1] == []  # 1 November and a month is after the edition of 25 November
    path = content / SURVEY
    path.write_text(path.read_text().replace("2026-11-01", "2026-10-24"))
    assert [(p.file, p.rule) for p in load_and_check(content)[1]] == [(f"content/{SURVEY}", "review")]
    path.write_text(path.read_text().replace("2026-10-24", "2026-10-25"))
    assert load_and_check(content)[1] == []


@pytest.mark.parametrize("day, months, later", [
    ("2026-01-31", 1, "2026-02-28"), ("2024-01-31", 1, "2024-02-29"), ("2026-11-30", 1, "2026-12-30"),
    ("2026-12-31", 2, "2027-02-28"), ("2026-06-15", 12, "2027-06-15"), ("9999-06-15", 12, "9999-12-31"),
])
def test_months_later(day, months, later):
    assert _later(datetime.date.fromisoformat(day), months) == datetime.date.fromisoformat(later)


def test_a_rule_is_off_for_one_place_and_its_reason_is_listed(tmp_path, capsys):
    content = changed(tmp_path, SURVEY, "do: Open,", "do: The lid,")
    path = content / SURVEY
    text = path.read_text()
    for where, left in (("a", []), ("b", ["allow", "verb-first"])):
        path.write_text(text + f"allow:\n  - {{rule: verb-first, at: {where}, because: the maker says it so}}\n")
        assert sorted(p.rule for p in load_and_check(content)[1]) == left
    path.write_text(text + "allow:\n  - {rule: verb-first, because: the maker says it so}\n")
    assert load_and_check(content)[1] == []
    capsys.readouterr()
    assert cli.check(content) == 0
    said = capsys.readouterr().out
    assert f"content/{SURVEY}:17: the rule verb-first is off for the file: the maker says it so" in said
    path.write_text(text + "allow:\n  - {rule: verb-first}\n")  # without a reason nothing is switched off
    assert sorted(p.rule for p in load_and_check(content)[1]) == ["missing-key", "verb-first"]


OFF = {next(iter(rules)): (file, old, new) for file, old, new, problems in reversed(BROKEN)
       if len(rules := {rule for _file, _line, rule, _words in problems}) == 1 and next(iter(rules)) in JUDGEMENT}
"""Each rule of judgement -> the sample that raises it alone."""


@pytest.mark.parametrize("rule", JUDGEMENT)
def test_each_rule_of_judgement_can_be_switched_off_where_it_is_broken(tmp_path, rule):
    content = changed(tmp_path, *OFF[rule])
    problems = load_and_check(content)[1]
    assert {one.rule for one in problems} == {rule}
    for file, about in {(one.file, one.about) for one in problems}:
        path, at = tmp_path / file, f"at: {about}, " if about else ""
        path.write_text(path.read_text().rstrip() + f"\nallow:\n  - {{rule: {rule}, {at}because: we know why}}\n")
    handbook, problems = load_and_check(content)
    assert problems == [] and [one.because for one in handbook.allowed] == ["we know why"]


def test_no_unit_is_missed_by_the_first_look():
    """Texts are looked through with one pattern before the two that say what is wrong: it has to find whatever they find."""
    rng = random.Random(7)
    bits = ("5", "12", "3.5", "\u0663", " ", "-", "x", ".", "/", "\n", " the ", *writing._SYMBOLS, *writing._WRONG)
    wrong = 0
    for _text in range(20_000):
        text = "".join(rng.choices(bits, k=rng.randint(2, 5)))
        if writing._CLOSE.search(text) or writing._MISSPELT.search(text):
            wrong += 1
            assert writing._EITHER.search(text), text
    assert wrong > 100, "enough of the texts have something wrong"


def test_nothing_that_makes_work_safe_can_be_switched_off(tmp_path):
    safe = ("zone-state", "message", "message-idle", "message-twice", "running", "state-holds", "step-needs",
            "end-state",
            "idle-set", "starts", "moving-parts")
    assert not set(safe) & set(JUDGEMENT)
    content = changed(tmp_path, SURVEY, "  - message: pull\n", "")
    text = (content / SURVEY).read_text()
    (content / SURVEY).write_text(text + "allow:\n" + "".join(f"  - {{rule: {one}, because: no}}\n" for one in safe))
    rules = [p.rule for p in load_and_check(content)[1]]
    assert "message" in rules and rules.count("allow") == len(safe)


def test_the_demo_switches_nothing_off():
    handbook, problems = load_and_check(DEMO)
    assert problems == [] and handbook.allowed == () and handbook.review_after
