"""The answers to the next key are at hand before it comes: shown with the key, the same as if asked for, and only where they fit."""

import json
from collections.abc import Iterable, Sequence

import pytest
from playwright.sync_api import Page

from calculators import bridge
from macros.serve import Server
from tests.browser.tools import CALCULATOR, ready

BOX = '[name="readings/1/vacuum"]'

#: What the page sends to Python and hears from it.
WATCH = """
window.told = { ask: [], foresee: [], foreseen: [], seen: 0 };
const send = MessagePort.prototype.postMessage;
MessagePort.prototype.postMessage = function (message, ...more) {
  if (message?.kind in told) told[message.kind].push(message.text ?? message.texts);
  if (message?.kind === "foresee") told.foreseen = [];
  return send.call(this, message, ...more);
};
const onmessage = Object.getOwnPropertyDescriptor(MessagePort.prototype, "onmessage");
Object.defineProperty(MessagePort.prototype, "onmessage", { ...onmessage, set(heard) {
  onmessage.set.call(this, (event) => {
    if (event.data.kind === "foreseen") told.foreseen.push(...event.data.replies);
    heard(event);
  });
} });
"""


@pytest.fixture
def form(page: Page, served: Server) -> Page:
    """The suction calculator's page with Python running, the cursor behind the second reading."""
    page.add_init_script(WATCH)
    page.goto(served.url + CALCULATOR)
    ready(page)
    page.locator(BOX).fill("17.2")
    foreseen(page)
    return page


#: Whether something was foreseen anew, and all of it is there.
ALL = """() => told.foresee.length > told.seen && told.foresee.at(-1).every((one) => told.foreseen.some(([text]) => text === one))"""


def foreseen(page: Page) -> list[list[str]]:
    """Pairs of request and reply: all that is foreseen after what was done last, once it is."""
    page.wait_for_function(ALL)
    page.evaluate("() => { told.seen = told.foresee.length; }")
    return page.evaluate("() => told.foreseen")


def typed(foreseen: Iterable[Sequence[str]]) -> list[str]:
    """What stands in the box in each of the requests that were foreseen."""
    return [json.loads(request)["inputs"]["readings"][1]["vacuum"].split()[0] for request, _reply in foreseen]


def asked(page: Page) -> int:
    return page.evaluate("() => told.ask.length")


def answered(page: Page) -> str:
    page.locator("[data-outcome=answered] .answer:not([aria-busy])").wait_for()
    return page.locator(".answer").inner_text()


def test_the_answer_to_the_next_key_comes_with_it_and_is_the_same(form: Page):
    before = asked(form)
    for key in ("5", "Backspace", "7", "1"):
        form.locator(BOX).press(key)
        text = answered(form)
        foreseen(form)
    assert asked(form) == before, "each key was foreseen"
    assert form.locator(BOX).input_value() == "17.271"
    form.reload()  # nothing is foreseen here: the same values are asked for
    ready(form)
    form.wait_for_function("() => told.ask.length > 0")
    assert answered(form) == text


def test_what_is_foreseen_is_what_python_answers(form: Page):
    last = form.evaluate("() => told.foresee.at(-1)")
    assert typed((text, "") for text in last) == [*(f"17.2{digit}" for digit in "0123456789"), "17."]
    replies = dict(form.evaluate("() => told.foreseen"))
    for text in last:
        assert replies[text] == bridge(text)


def test_a_key_within_a_number_is_foreseen_where_the_cursor_is(form: Page):
    form.locator(BOX).press("Home")
    form.locator(BOX).press("ArrowRight")
    form.locator(BOX).press("Delete")  # "1.2": asked for
    answered(form)
    foreseen(form)
    before = asked(form)
    form.locator(BOX).press("6")
    assert form.locator(BOX).input_value() == "16.2"
    answered(form)
    assert asked(form) == before


@pytest.mark.parametrize("how", ["paste", "another box", "units"])
def test_what_was_not_foreseen_is_asked_for(form: Page, how: str):
    before = asked(form)
    if how == "paste":
        form.locator(BOX).fill("18.25")
    elif how == "another box":
        form.locator('[name="sealed_vacuum"]').fill("23.5")
    else:
        form.locator("label", has=form.locator('[name="unit:pressure"][value="inH2O"]')).first.click()
    form.wait_for_function("(before) => told.ask.length > before", arg=before)
    sent = json.loads(form.evaluate("() => told.ask.at(-1)"))
    reply = json.loads(bridge(json.dumps(sent)))
    said = {**reply["result"], **reply["shown"]}["answer"]
    form.locator(".answer .says", has_text=said).wait_for()


def test_a_refusal_that_was_foreseen_waits_for_a_pause_like_any_other(form: Page):
    form.locator(BOX).fill("17")
    assert "17." in typed(foreseen(form)), "a decimal sign is foreseen where there is none"
    before = asked(form)
    form.locator(BOX).press("9")  # kPa: more than there is
    form.locator(f"{BOX}[aria-invalid=true]").wait_for()
    assert asked(form) == before
    form.locator(BOX).press("Backspace")
    answered(form)
    assert form.locator(f"{BOX}[aria-invalid=true]").count() == 0


def test_the_box_that_is_typed_into_is_alone_in_its_form_and_enter_still_asks(form: Page):
    members = "(selector) => [...document.querySelector(selector).form.elements].map(({ name }) => name)"
    assert form.evaluate(members, BOX) == ["readings/1/vacuum"]
    address, before = form.url, asked(form)
    form.locator(BOX).press("Enter")
    form.wait_for_function("(before) => told.ask.length > before", arg=before)
    assert form.url == address
    form.locator('[name="sealed_vacuum"]').focus()
    assert form.evaluate(members, '[name="sealed_vacuum"]') == ["sealed_vacuum"]
    assert "readings/0/vacuum" in form.evaluate(members, BOX), "it is back among the others"


def test_a_key_makes_new_only_what_it_changed(form: Page):
    """A screen reader is told of a figure as a whole all the same: each is atomic."""
    form.evaluate("""() => {
      window.made = [];
      new MutationObserver((changes) => {
        for (const { addedNodes } of changes) for (const { nodeName } of addedNodes) made.push(nodeName);
      }).observe(document.querySelector(".answer"), { subtree: true, childList: true });
      window.texts = document.querySelector(".answer").textContent;
    }""")
    form.locator(BOX).press("5")
    form.wait_for_function("() => texts !== document.querySelector('.answer').textContent")
    assert form.evaluate("() => made") == []
    for part in (".figures > div", "tr:has(td)", ".rows > div", ".sum"):
        parts = form.locator(f".answer {part}")
        assert parts.count() == form.locator(f".answer {part}[aria-atomic=true]").count() > 0, part
