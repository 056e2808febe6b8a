"""A calculator in the page under a reader's hands: values, units, rows, refusals, machines; nothing typed is lost."""

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from macros.serve import Server
from tests.browser.tools import CALCULATOR, alive, ready, state

BOX = '[name="readings/1/vacuum"]'
SEALED = '[name="sealed_vacuum"]'


@pytest.fixture
def form(page: Page, served: Server) -> Page:
    """The suction calculator's page with Python running."""
    page.goto(served.url + CALCULATOR)
    ready(page)
    return page


def answered(page: Page) -> str:
    """The answer's sentence, once the values typed are answered."""
    page.locator("[data-outcome=answered] .answer:not([aria-busy])").wait_for()
    return page.locator(".answer .says").first.inner_text()


def unit(page: Page, symbol: str) -> None:
    """Choose the unit of pressure by a touch on its label."""
    page.locator("label", has=page.locator(f'[name="unit:pressure"][value="{symbol}"]')).first.click()


def field(page: Page, path: str) -> Locator:
    return page.locator(f'[data-field="{path}"]').first


def why(page: Page, box: str) -> Locator:
    """What is said about a refused box, found as a screen reader finds it."""
    refused = page.locator(f"{box}[aria-invalid=true]")
    refused.wait_for()
    return page.locator(", ".join(f"#{one}.why" for one in refused.get_attribute("aria-describedby").split()))


def test_the_delivered_answer_is_the_one_that_the_script_lays_out(form: Page):
    same = """async () => {
      const page = new DOMParser().parseFromString(await (await fetch(location.href)).text(), "text/html");
      const texts = (place) => place.innerHTML.replace(/>\\s+</g, "><").replace(/\\s+/g, " ").trim();
      return [texts(page.querySelector(".answer")), texts(document.querySelector(".answer"))];
    }"""
    delivered, laid_out = form.evaluate(same)
    assert "says" in delivered
    assert laid_out == delivered


def test_pythons_own_answer_to_the_example_is_the_delivered_one(form: Page):
    before = form.locator(".answer").inner_text()
    form.locator(BOX).fill(form.locator(BOX).input_value() + "0")  # the same number, so the same answer
    form.locator("[data-outcome=answered]").wait_for()
    assert form.locator(".answer").inner_text() == before


@pytest.mark.parametrize("typed", ["-4", "abc", "<b>4</b>", "4 parsecs", "9" * 200, "١٢"])
def test_a_refusal_names_the_field_and_what_it_got_and_keeps_everything(form: Page, typed: str):
    form.locator(SEALED).fill("21")
    form.locator(BOX).fill(typed)
    expect(field(form, "readings/1/vacuum")).to_have_class(re.compile("refused"))
    said = why(form, BOX)
    expect(said).to_contain_text("was given. Takes a vacuum")
    expect(said).to_contain_text(typed[:40])
    assert said.locator("*").count() == 0, "what was typed is shown as text"
    box = form.locator(BOX)
    assert box.input_value() == typed
    assert form.locator(SEALED).input_value() == "21"
    expect(form.locator(".answer .says").first).to_have_text("Not calculated.")
    box.fill("17.2")
    answered(form)
    assert form.locator(".why:visible, .refused").count() == 0
    assert box.get_attribute("aria-invalid") is None


def test_every_refusal_is_said_at_once(form: Page):
    form.locator('[name="readings/0/vacuum"]').fill("x")
    form.locator(BOX).fill("y")
    expect(form.locator(".field.refused")).to_have_count(2)
    expect(form.locator(".answer li")).to_have_count(2)


def test_units_are_switched_in_place_and_back(form: Page):
    before = form.locator(BOX).input_value()
    unit(form, "inH2O")
    # 1 kPa = 1000 / 249.08891 inH2O (NIST SP 811, appendix B: conventional inch of water 249.08891 Pa)
    assert float(form.locator(BOX).input_value()) == pytest.approx(float(before) * 1000 / 249.08891, rel=1e-5)
    assert "inH₂O" in field(form, "readings/1/vacuum").inner_text()
    unit(form, "kPa")
    assert form.locator(BOX).input_value() == before


def test_the_answer_does_not_depend_on_the_unit(form: Page):
    ask = """async () => {
      const { python } = await import(new URL("python.js", document.querySelector("script").src).href);
      window.asked = [];
      const ask = python.ask;
      python.ask = (text) => { window.asked.push(text); return ask.call(python, text); };
    }"""
    form.evaluate(ask)
    form.locator(BOX).fill("17.25")
    answered(form)
    for symbol in ("inH2O", "mbar", "kPa"):
        unit(form, symbol)
        form.wait_for_function("(symbol) => window.asked.at(-1).includes(`\"pressure\":\"${symbol}\"`)", arg=symbol)
    inputs = form.evaluate("window.asked.map((text) => JSON.stringify(JSON.parse(text).inputs))")
    assert len(set(inputs)) == 1, "the value typed is what is asked with, not what was rounded for showing"


def test_a_value_with_a_unit_of_its_own_keeps_it(form: Page):
    form.locator(BOX).fill("69 inH2O")
    own = answered(form)
    unit(form, "mbar")
    assert form.locator(BOX).input_value() == "69 inH2O"
    unit(form, "inH2O")
    form.locator(BOX).fill("69")
    expect(form.locator(".answer .says").first).to_have_text(re.compile("."))
    unit(form, "kPa")
    form.locator("[data-outcome=answered] .answer:not([aria-busy])").wait_for()
    assert form.locator(".answer .says").first.inner_text() == own


def test_rows_are_added_and_removed(form: Page):
    rows = form.locator('[data-list="readings"] [data-row]')
    start = rows.count()
    first = form.locator('[name="readings/0/vacuum"]').input_value()
    form.locator('[data-add="readings"]').click()
    expect(rows).to_have_count(start + 1)
    new = form.locator(f'[name="readings/{start}/vacuum"]')
    assert new.input_value() == ""
    assert form.evaluate("document.activeElement.closest('[data-row]') === [...document.querySelectorAll('[data-row]')]"
                         f"[{start}]"), "the new row has the focus"
    ids = form.evaluate("[...document.querySelectorAll('[id]')].map((element) => element.id)")
    assert len(ids) == len(set(ids)), "ids stay unique"
    for box in form.locator("form input.box, form select").all():
        assert box.evaluate("(box) => box.labels.length || box.getAttribute('aria-label')"), "every box keeps its label"
    form.locator('[data-list="readings"] [data-remove]').nth(1).click()
    expect(rows).to_have_count(start)
    assert form.locator('[name="readings/0/vacuum"]').input_value() == first
    assert form.locator(f'[name="readings/{start - 1}/vacuum"]').input_value() == "", "the rows after it moved up"


def test_an_empty_row_at_the_end_is_not_used(form: Page):
    form.locator(BOX).fill("17.2")
    before = answered(form)
    form.locator('[data-add="readings"]').click()
    form.locator(SEALED).fill("20.5")
    form.locator("[data-outcome=answered] .answer:not([aria-busy])").wait_for()
    assert before


def test_what_was_typed_survives_a_reload(form: Page, served: Server):
    form.locator('[data-add="readings"]').click()
    count = form.locator("[data-row]").count()
    unit(form, "mbar")
    form.locator(BOX).fill("172,5")
    form.reload()
    alive(form)
    assert form.locator(BOX).input_value() == "172,5"
    assert form.locator("[data-row]").count() == count
    assert form.locator('[name="unit:pressure"][value="mbar"]').is_checked()
    form.locator("[data-outcome=answered], [data-outcome=refused]").wait_for()
    form.goto(served.url)
    form.goto(served.url + CALCULATOR)
    alive(form)
    assert form.locator(BOX).input_value() == "172,5"


def test_each_use_keeps_its_own_values(form: Page, served: Server):
    form.locator(BOX).fill("11")
    form.goto(served.url + "procedures/survey-suction/")
    alive(form)
    assert form.locator(BOX).first.input_value() != "11"


def test_the_example_is_cleared_and_shown_again(form: Page):
    example = form.locator(BOX).input_value()
    button = form.locator("[data-clear-example]").first
    expect(button).to_have_text("Clear the example")
    button.click()
    assert form.locator('[name="readings/0/vacuum"]').input_value() == ""
    assert form.locator(SEALED).input_value() != "", "the machine's own figures stay"
    assert form.locator(".answer").inner_text().strip() == ""
    assert state(form) == "Type your own values."
    form.reload()
    alive(form)
    assert form.locator('[name="readings/0/vacuum"]').input_value() == ""
    expect(button).to_have_text("Show the example again")
    button.click()
    assert form.locator(BOX).input_value() == example
    assert form.locator(".answer .says").first.is_visible()
    assert "Worked example" in state(form)


def test_another_machine_fills_what_was_not_typed(form: Page, served: Server):
    first = form.locator(SEALED).input_value()
    choose_other(form, served)
    form.goto(served.url + CALCULATOR)
    ready(form)
    second = form.locator(SEALED).input_value()
    assert second != first
    form.locator(SEALED).fill("18.5")
    form.goto(served.url)
    form.locator("[data-machines] [name=machine]").first.check()
    form.goto(served.url + CALCULATOR)
    ready(form)
    assert form.locator(SEALED).input_value() == "18.5", "what was typed stays"


def choose_other(page: Page, served: Server) -> None:
    page.goto(served.url)
    alive(page)
    page.locator("[data-machines] [name=machine]").nth(1).check()


def test_enter_sends_nothing_and_reloads_nothing(form: Page):
    form.locator(BOX).fill("17.2")
    form.evaluate("window.still = true")
    form.locator(BOX).press("Enter")
    answered(form)
    assert form.evaluate("window.still") is True


def test_it_works_where_nothing_can_be_kept(page: Page, served: Server):
    page.add_init_script("Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } });")
    page.goto(served.url + CALCULATOR)
    ready(page)
    page.locator(BOX).fill("17.2")
    answered(page)
