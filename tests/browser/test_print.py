"""On paper: every word of the steps, open folds, nothing to press; A4 and Letter."""

import re

import pytest
from playwright.sync_api import Page

from macros.check import load_and_check
from macros.serve import Server
from tests.browser.conftest import CONTENT
from tests.browser.tools import alive, ready

PROCEDURE, CALCULATOR, SEEN = "procedures/survey-suction/", "calculators/edge-life/", "seen/whole/"


def shown(page: Page, selector: str) -> list[bool]:
    """Whether each element takes up room on the page."""
    return page.evaluate("(one) => [...document.querySelectorAll(one)].map((e) => e.getClientRects().length > 0)", selector)


def words(page: Page) -> list[str]:
    """The words of steps, messages and states, as they are laid out now; line ends set aside."""
    return [" ".join(text.split()) for text in page.locator(".step-body p, .safety p, .state").all_inner_texts()]


@pytest.mark.parametrize("address", [PROCEDURE, CALCULATOR, SEEN, ""])
def test_menus_and_buttons_stay_off_the_paper(page: Page, served: Server, address: str):
    page.goto(served.url + address)
    alive(page)
    page.emulate_media(media="print")
    for selector in (".head", ".bar", "button"):
        assert not any(shown(page, selector)), selector
    assert shown(page, "h1") == [True]


def test_every_word_of_a_step_and_every_message_is_on_paper(page: Page, served: Server):
    page.goto(served.url + PROCEDURE)
    alive(page)
    on_screen = words(page)
    page.emulate_media(media="print")
    on_paper = words(page)
    assert len(on_screen) > 20 and on_paper == on_screen
    kept = page.evaluate("[...document.querySelectorAll('.safety')].map((e) => getComputedStyle(e).breakInside)")
    assert kept and set(kept) == {"avoid"}


def test_a_calculator_prints_inputs_answer_formula_and_limits(page: Page, served: Server):
    page.goto(served.url + CALCULATOR)
    ready(page)
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    assert all(shown(page, ".answer .says")) and all(shown(page, ".answer svg"))
    assert all(shown(page, ".fold:not(.more) > div")), "a fold stays shut on paper"
    assert all(shown(page, '[name="readings/0/hours"]'))


@pytest.mark.parametrize("paper, width, height", [("A4", 595, 842), ("Letter", 612, 792)])
def test_pages_of_both_papers(page: Page, served: Server, paper: str, width: int, height: int):
    page.goto(served.url + PROCEDURE)
    alive(page)
    raw = page.pdf(format=paper)
    boxes = [[float(x) for x in box.split()] for box in re.findall(rb"/MediaBox\s*\[([^\]]*)\]", raw)]
    assert boxes and all(box == pytest.approx([0, 0, width, height], abs=1.5) for box in boxes)
    assert 2 <= len(re.findall(rb"/Type\s*/Page\b", raw)) <= 9


@pytest.mark.parametrize("symptom", load_and_check(CONTENT)[0].symptoms)
def test_the_chart_of_a_symptom_is_one_page(page: Page, served: Server, symptom: str):
    page.goto(f"{served.url}seen/{symptom}/")
    alive(page)
    # Everything but the chart is taken away: what is left is the chart, and it fits one sheet of either paper.
    page.evaluate("""() => { for (const e of document.querySelectorAll(".spread, footer, .small.ruled")) e.remove(); }""")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    for paper in ("A4", "Letter"):
        assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper))) <= 1, paper
