"""A procedure at work: its calculator beside and under, a flat battery, the stopwatch, keys alone; stories/ has it under a thumb."""

import re
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Error, Page, Playwright, expect

from macros import chromium
from macros.serve import Server
from tests.browser.tools import Watch, alive, kill, opened

PROCEDURE = "procedures/survey-suction/"

LANDSCAPE, PORTRAIT = (1024, 768), (768, 1024)


@pytest.fixture
def upright(browser: Browser, served: Server) -> Iterator[Page]:
    """A tablet held upright, worked by touch."""
    context = browser.new_context(locale="en-GB", has_touch=True, viewport=dict(zip(("width", "height"), PORTRAIT)))
    context.watch = Watch(context)
    yield context.new_page()
    context.close()
    context.watch.check()


# ---- the calculator of a step ----

def test_a_steps_calculator_opens_under_it_in_portrait(upright: Page, served: Server):
    opened(upright, served.url + PROCEDURE)
    opens, calc = upright.locator("[data-opens]").first, upright.locator(".calc").first
    expect(calc).to_be_hidden()
    expect(opens).to_have_attribute("aria-expanded", "false")
    opens.tap()
    expect(opens).to_have_attribute("aria-expanded", "true")
    step = upright.locator(".step:has([data-opens])").first
    body, at = step.locator(".step-body").bounding_box(), calc.bounding_box()
    assert at["y"] >= body["y"] + body["height"]
    assert step.locator(".calc").count() == 1
    opens.tap()
    expect(calc).to_be_hidden()
    opens.focus()
    upright.keyboard.press("Space")
    expect(calc).to_be_visible()


def test_turning_the_tablet_keeps_the_box_one_types_in(upright: Page, served: Server):
    opened(upright, served.url + PROCEDURE)
    upright.locator("[data-opens]").first.tap()
    box = upright.locator(".calc input.box").first
    box.fill("17,3")
    for width, height in (LANDSCAPE, PORTRAIT):
        upright.set_viewport_size({"width": width, "height": height})
        expect(box).to_be_focused()
        expect(box).to_have_value("17,3")
    upright.reload()
    alive(upright)
    expect(box).to_be_visible()
    expect(box).to_have_value("17,3")


def test_what_was_typed_and_ticked_survives_a_flat_battery(
    playwright: Playwright, chromium_path: str, served: Server, tmp_path: Path
):
    """Once without a moment's grace for what lay longer than a second, and once more with what came after."""
    profile = tmp_path / "profile"
    typed = ["17,31", "17,32"]
    for round_, value in enumerate(typed):
        context = playwright.chromium.launch_persistent_context(
            str(profile), executable_path=chromium_path, args=list(chromium.FLAGS))
        page = opened(context.new_page(), served.url + PROCEDURE)
        if round_:
            assert page.locator(".calc input.box").first.input_value() == typed[round_ - 1]
            assert page.locator(".tick[data-step]:checked").count() == round_
        page.locator(".calc input.box").first.fill(value)
        page.locator(".tick[data-step]").nth(round_).check()
        page.wait_for_timeout(1000)  # what is promised: nothing older than a second is lost
        assert kill(profile) > 0
        with suppress(Error):
            context.close()
    context = playwright.chromium.launch_persistent_context(
        str(profile), executable_path=chromium_path, args=list(chromium.FLAGS))
    page = opened(context.new_page(), served.url + PROCEDURE)
    assert page.locator(".calc input.box").first.input_value() == typed[-1]
    assert page.locator(".tick[data-step]:checked").count() == len(typed)
    page.locator("[data-clear-ticks]").click()
    opened(page, served.url + PROCEDURE)
    assert page.locator(".tick[data-step]:checked").count() == 0, "what was taken off stays off"
    context.close()


def test_on_paper_the_calculator_stands_beside_its_steps(upright: Page, served: Server):
    opened(upright, served.url + PROCEDURE)
    upright.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert upright.locator(".side > .calc:not([hidden])").count() > 0
    upright.evaluate("window.dispatchEvent(new Event('afterprint'))")
    assert upright.locator(".side > .calc").count() == 0


def test_limits_and_the_number_pad_stand_at_every_box_for_a_number(page: Page, served: Server):
    opened(page, served.url + PROCEDURE)
    page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
    numbers = page.locator(".ask form .field:has(input[inputmode=decimal])")
    assert numbers.count()
    for field in numbers.all():
        described = field.locator("input").get_attribute("aria-describedby")
        assert re.search(r"Takes .*\d", page.locator(f"#{described}").inner_text())


# ---- the stopwatch ----

NOON = 1_800_000_000
"""A moment, in seconds, at which the tests' clock begins."""

WAITS = "procedures/renew-drain-hose/"


def test_a_stopwatch_where_a_step_says_to_wait(upright: Page, served: Server):
    upright.clock.install(time=NOON)
    upright.clock.pause_at(NOON + 1)  # from here on time passes only where the test lets it
    opened(upright, served.url + WAITS)
    wait = upright.locator("[data-wait]").first
    seconds, words = int(wait.get_attribute("data-wait")), wait.evaluate("(one) => one.firstChild.data.trim()")
    assert words == f"{seconds} s"
    left, over = wait.get_by_role("timer"), wait.get_by_role("status")
    before = wait.inner_text()
    upright.clock.run_for(seconds * 1000)
    assert wait.inner_text() == before, "it starts by a touch alone"

    wait.get_by_role("button", name="Start the stopwatch").tap()
    upright.clock.run_for(1000)
    expect(left).to_have_text(f"{(seconds - 1) // 60}:{(seconds - 1) % 60:02} to go")
    upright.reload()
    alive(upright)
    upright.clock.run_for(1000)
    expect(left).to_have_text(f"{(seconds - 2) // 60}:{(seconds - 2) % 60:02} to go")
    expect(over).to_have_text("")
    upright.clock.run_for(seconds * 1000)
    expect(over).to_have_text(f"The wait of {words} is over.")
    expect(left).to_have_text("")
    wait.get_by_role("button", name="Set the stopwatch back").tap()
    expect(over).to_have_text("")

    wait.get_by_role("button", name="Start the stopwatch").tap()
    wait.get_by_role("button", name="Stop the stopwatch").tap()
    upright.clock.run_for(seconds * 2000)
    assert wait.inner_text() == before


def test_nothing_else_moves_by_itself(page: Page, served: Server, kinds: dict[str, str]):
    page.context.watch.allowed = ("404", "ERR_FAILED")
    page.route("**/runtime/**", lambda route: route.abort())  # a calculator says how far Python's start has come
    page.clock.install()
    page.add_init_script("""window.moved = [];
      document.addEventListener("DOMContentLoaded", () => new MutationObserver((all) => moved.push(...all.map((one) =>
        one.target.textContent))).observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true }));""")
    for address in kinds.values():
        opened(page, served.url + address)
        rest = 0
        while rest < 5:  # what it says of its own start is said
            rest = 0 if page.evaluate("moved.splice(0).length") else rest + 1
            page.wait_for_timeout(200)
        page.clock.run_for(60_000)
        assert page.evaluate("[moved, document.getAnimations().length, document.querySelectorAll('video, audio, marquee').length]") \
            == [[], 0, 0], address


# ---- keys alone, and what a screen reader is told ----

def test_a_procedure_is_worked_by_keys_alone(page: Page, served: Server):
    page.emulate_media(reduced_motion="reduce")  # so that each place is reached at once, and can be looked at
    opened(page, served.url + PROCEDURE)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    ticks = page.locator(".tick[data-step]").count()
    boxes = page.locator(".calc input.box:visible").count()
    seen: set[str] = set()
    ticked = typed = 0
    for _touch in range(400):
        page.keyboard.press("Tab")
        at = page.evaluate("""() => { const at = document.activeElement; const box = at.getBoundingClientRect();
          const bar = document.querySelector('.bar').getBoundingClientRect();
          return { key: at.id || at.dataset.step || at.name || at.textContent, step: at.dataset.step ?? null, text: at.matches('input.box'),
            body: at === document.body, under: !at.closest('.bar') && (box.top < 0 && box.bottom < 48 || box.top > bar.top - 8),
            outline: getComputedStyle(at.closest('.units label') ?? at).outlineStyle }; }""")
        if at["body"]:
            break
        assert not at["under"], f"{at['key']}: the focus is hidden"
        assert at["outline"] != "none", f"{at['key']}: the focus is not seen"
        if at["step"]:
            page.keyboard.press("Space")
            ticked += 1
        elif at["text"] and at["key"] not in seen:
            typed += 1
        seen.add(at["key"])
    assert ticked == ticks == page.locator(".tick[data-step]:checked").count()
    assert typed == boxes > 0


def test_what_a_screen_reader_is_told_of_a_step(page: Page, served: Server):
    opened(page, served.url + PROCEDURE)
    step = page.locator(".step").first
    name = step.locator(".name").inner_text()
    expect(step).to_have_role("region")
    expect(step).to_have_accessible_name(name)
    tree = step.aria_snapshot()
    assert re.search(r"- heading .* \[level=3\]", tree)
    assert '- checkbox "Step 1 done"' in tree
    step.locator(".tick").check()
    assert '- checkbox "Step 1 done" [checked]' in step.aria_snapshot()


def test_what_a_screen_reader_is_told_of_a_calculator(page: Page, served: Server):
    opened(page, served.url + "calculators/suction-drop/")
    calc = page.locator(".calc")
    expect(calc).to_have_role("region")
    for box in calc.locator("input, select, button").all():
        if box.is_visible():
            expect(box).to_have_accessible_name(re.compile(r"\w"))
    assert calc.locator(".answer").get_attribute("aria-live") == "polite"
    expect(calc.locator(".calc-state")).to_have_role("status")
    expect(calc.locator(".answer svg[role=img]").first).to_have_accessible_name(re.compile(r"\w"))
    tree = calc.aria_snapshot()
    assert re.search(r'- group "Unit of [^"]+"', tree) and re.search(r'- radio "[^"]+" \[checked\]', tree)
    assert re.search(r'textbox "[^"]*\b1: [^"]*"', tree), "a box in a row says which row it is in"
