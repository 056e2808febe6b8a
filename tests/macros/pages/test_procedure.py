"""Procedures: the machine's state at every step in words, and the message before the step that it is about."""

import pytest

from macros.model import Placed, Procedure, Step
from macros.pages import signs
from macros.pages.site import Site, sentence
from macros.state import walk
from tests.macros.pages.conftest import SMALL, made, rendered
from tests.macros.pages.dom import Element, parse, squeezed


def procedures(site: Site, trees: dict[str, Element]) -> list[tuple[Procedure, Element]]:
    return [(one, trees[f"procedures/{name}/"]) for name, one in site.handbook.procedures.items()]


def test_every_step_has_the_state_in_which_it_is_worked_in_words(site: Site, trees: dict[str, Element]):
    found, book = walk(site.handbook).at, site.handbook
    shown = [name for name, variable in book.state.items() if variable.shown]
    for procedure, tree in procedures(site, trees):
        sections = tree.with_class("step")
        assert [one.get("id") for one in sections] == [f"step-{step.id}" for step in procedure.steps]
        for step, section in zip(procedure.steps, sections, strict=True):
            [row] = section.with_class("state")
            words = [one for one in row.children if isinstance(one, Element) and "unseen" not in one.classes]
            assert len(words) == len(shown)
            for name, word in zip(shown, words, strict=True):
                value = found[procedure.id, step.id][name]
                if value is None:
                    assert word.text == f"{book.state[name].title} not known yet" and "unknown" in word.classes
                else:
                    held = book.state[name].values[value]
                    assert word.text == held.says
                    assert ("on" in word.classes) == held.alert, f"{procedure.id}/{step.id}: {word.text}"


def test_the_bar_stands_beside_the_steps_worked_while_it_runs_and_no_other(site: Site, trees: dict[str, Element]):
    found, running = walk(site.handbook).at, site.handbook.running.state
    live = 0
    for procedure, tree in procedures(site, trees):
        for step, section in zip(procedure.steps, tree.with_class("step"), strict=True):
            runs = all(found[procedure.id, step.id][name] == value for name, value in running.items())
            assert ("live" in section.classes) == runs, f"{procedure.id}/{step.id}"
            live += runs
    assert live


def test_messages_stand_where_the_content_places_them_with_word_and_signs(site: Site, trees: dict[str, Element]):
    placed = 0
    for procedure, tree in procedures(site, trees):
        wanted = [item for item in procedure.items if isinstance(item, Step | Placed)]
        given = list(tree.all(lambda one: one.tag == "section" and one.classes & {"step", "safety"}))
        assert len(given) == len(wanted)
        for item, section in zip(wanted, given, strict=True):
            if isinstance(item, Step):
                assert section.get("id") == f"step-{item.id}"
                continue
            message = site.handbook.messages[item.message]
            placed += 1
            assert message.signal in section.classes
            assert section.get("aria-label") == message.signal.upper()
            [word] = section.with_class("word")
            assert word.text == message.signal.upper()
            assert bool(word.tags("svg")) == (message.signal != "notice"), "ANSI Z535.6: no triangle on NOTICE"
            for text in (message.hazard, message.harm, message.avoid):
                assert sentence(squeezed(text)) in section.text
            labels = [svg.get("aria-label") for svg in section.tags("svg") if svg.get("aria-label")]
            assert len(labels) == len(message.signs)
            for sign, label in zip(message.signs, labels, strict=True):
                assert signs.SIGNS[sign][0] in label
    assert placed >= 3


def test_every_zone_that_a_step_enters_has_its_message_before_it_in_its_part(site: Site, trees: dict[str, Element]):
    entered = 0
    for procedure, tree in procedures(site, trees):
        read: list[str] = []
        sections = iter(tree.all(lambda one: "part" in one.classes or bool(one.classes & {"step", "safety"})))
        steps = {f"step-{step.id}": step for step in procedure.steps}
        for section in sections:
            if "part" in section.classes:
                read = []
            elif "safety" in section.classes:
                read.append(section.text)
            else:
                for zone in steps[section.get("id")].hands:
                    hazard = site.handbook.messages[site.handbook.zones[zone].message].hazard
                    assert any(squeezed(hazard) in text for text in read), f"{procedure.id}/{section.get('id')}: {zone}"
                    entered += 1
    assert entered >= 4


def test_a_step_says_what_to_look_for_and_what_to_do_if_it_is_not_so(site: Site, trees: dict[str, Element]):
    branches = 0
    for procedure, tree in procedures(site, trees):
        numbers = {step.id: number for number, step in enumerate(procedure.steps, 1)}
        for step, section in zip(procedure.steps, tree.with_class("step"), strict=True):
            assert section.text.count(step.do) >= 1
            assert squeezed(step.text) in section.text
            if step.look_for:
                assert squeezed(step.look_for) in section.text
            hrefs = [link.get("href") for link in section.tags("a")]
            if step.if_not and step.if_not.go:
                branches += 1
                assert f"../../procedures/{step.if_not.go}/" in hrefs
            if step.if_not and step.if_not.to:
                branches += 1
                assert f"#step-{step.if_not.to}" in hrefs
                assert str(numbers[step.if_not.to]) in section.text
            for part in step.parts:
                assert f"../../parts/{part}/" in hrefs
            for tool in step.tools:
                assert site.handbook.tools[tool].title in section.text
            [tick] = [one for one in section.tags("input") if "tick" in one.classes]
            assert tick.get("data-step") == step.id
    assert branches


def test_what_to_bring_holds_every_tool_once(site: Site, trees: dict[str, Element]):
    for procedure, tree in procedures(site, trees):
        needed = dict.fromkeys([*procedure.bring, *(tool for step in procedure.steps for tool in step.tools)])
        rows = {row.tags("dt")[0].text: row.tags("dd")[0].text for row in tree.with_class("rows")[0].tags("div")}
        if not needed:
            assert "Bring" not in rows
            continue
        assert rows["Bring"] == ", ".join(site.handbook.tools[tool].title for tool in needed)


def test_each_calculator_and_drawing_of_a_step_stands_on_its_page(site: Site, trees: dict[str, Element]):
    used = 0
    for procedure, tree in procedures(site, trees):
        uses = [f"{procedure.id}/{step.id}" for step in procedure.steps if step.calculator]
        assert [one.get("data-use") for one in tree.with_class("calc")] == uses
        used += len(uses)
        figures = {step.figure for step in procedure.steps if step.figure} | ({procedure.figure} if procedure.figure else set())
        drawn = [svg for svg in tree.tags("svg") if "dw" in svg.classes and not _inside(svg, "answer")]
        assert len(drawn) == len(figures), procedure.id
    assert used >= 2


def test_a_drawing_of_several_steps_is_drawn_once_and_then_named(site: Site, trees: dict[str, Element]):
    for procedure, tree in procedures(site, trees):
        places = {procedure.figure: "#drawing"} if procedure.figure else {}
        for step, section in zip(procedure.steps, tree.with_class("step"), strict=True):
            if step.figure in places:
                assert places[step.figure] in [link.get("href") for link in section.tags("a")]
            elif step.figure:
                places[step.figure] = f"#step-{step.id}"


def test_parts_after_a_short_part_with_a_calculator_stand_beside_it_and_after_it_in_one_column():
    tree = parse(rendered(SMALL)["procedures/survey/"])
    [spread] = [one for one in tree.with_class("spread") if one.with_class("calc")]
    order = [next(iter(child.classes & {"side", "later"}), "read") for child in spread.children if isinstance(child, Element)]
    assert order == ["read", "side", "later"]
    later = spread.with_class("later")[0]
    assert [one.get("id") for one in later.with_class("step")] == ["step-end"]
    assert later.with_class("part")[0].text == "C Leave it in order"
    assert later.with_class("done"), "what ends the procedure stands at its end"


def _inside(element: Element, name: str) -> bool:
    while element.parent is not None:
        element = element.parent
        if name in element.classes:
            return True
    return False


def test_a_drawing_beside_stands_level_with_its_step():
    """The stretch that a drawing stands beside begins with the drawing's own step, or with its part's heading."""
    tree = parse(rendered(SMALL)["procedures/survey/"])
    [stretch] = [one for one in tree.with_class("spread") if one.with_class("stretch") and one.tags("figcaption")]
    first = next(one for one in stretch.all() if "step" in one.classes)
    assert first.get("id") == "step-inlet"
    assert stretch.tags("figcaption")[0].text == "Step 1. Look into the motor inlet."


def test_the_end_says_done_when_the_state_left_and_what_is_next():
    tree = parse(rendered(SMALL)["procedures/survey/"])
    rows = {row.tags("dt")[0].text: row.tags("dd")[0].text for row in tree.with_class("rows")[-1].tags("div")}
    assert rows == {"Done when": "the readings are written down",
                    "Left as": "vacuum stopped, brake set, key out, plug apart", "Next": "Price a repair"}


def test_the_minutes_with_the_vacuum_running_are_said():
    text = parse(rendered(SMALL)["procedures/survey/"]).text
    assert "20 minutes, 4 of them with the vacuum running" in text  # step `port` alone runs, and has `minutes: 4`
    assert "with the vacuum running" not in parse(rendered(SMALL)["procedures/make-safe/"]).text


@pytest.mark.parametrize(("text", "said"), [
    ("", ""), ("hands off", "Hands off."), ("Stop!", "Stop!"), ("Why?", "Why?"), ("éteint", "Éteint."), ("5 mm", "5 mm.")])
def test_sentence(text: str, said: str):
    assert sentence(text) == said


def test_a_day_is_written_in_the_handbooks_language():
    site = made(SMALL)
    assert site.day("2026-11-25") == "25 November 2026"
    assert site.edition() == "Edition 7 of 25 November 2026"
