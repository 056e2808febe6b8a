"""Stories of working a procedure: the step at hand and its calculator, the stopwatch, the hand that holds it."""

from playwright.sync_api import Locator, Page, expect

from tests.browser.stories.hand import Hand

PROCEDURE, WAITS = "procedures/survey-suction/", "procedures/renew-drain-hose/"


def at_hand(page: Page) -> Locator:
    return page.locator('.step[aria-current="step"]')


def test_steps(hand: Hand):
    """Steps are ticked; the step at hand stays in view, and is there again when the procedure is opened again"""
    page = hand.page
    if hand.stopped:
        page.emulate_media(reduced_motion="reduce")  # each step is in view at once, not in a moment
    hand.open(PROCEDURE)
    ticks, steps = page.locator(".tick[data-step]"), page.locator(".step")
    names = steps.evaluate_all("(all) => all.map((one) => one.id)")
    assert ticks.count() == len(names) > 3
    for number in range(len(names) - 1):
        expect(at_hand(page)).to_have_count(1)
        expect(at_hand(page)).to_have_id(names[number])
        hand.tap(ticks.nth(number))
        expect(at_hand(page).locator(".step-head")).to_be_in_viewport(ratio=1)
        if number == 3:  # in the middle of the work
            hand.open()
            hand.open(PROCEDURE)
            expect(at_hand(page)).to_have_id(names[4])
            expect(at_hand(page).locator(".step-head")).to_be_in_viewport(ratio=1)
    hand.tap(ticks.last)
    expect(at_hand(page)).to_have_count(0)
    # It follows the last tick, and goes back for what was left out.
    hand.tap("[data-clear-ticks]")
    hand.open(PROCEDURE)
    hand.tap(ticks.nth(1))
    expect(at_hand(page)).to_have_id(names[2])
    hand.tap(ticks.last)
    expect(at_hand(page)).to_have_id(names[0])
    # A link to a place of its own is followed there.
    hand.open()
    hand.open(f"{PROCEDURE}#{names[5]}")
    expect(page.locator(f"#{names[5]} .step-head")).to_be_in_viewport()


def test_calculator_of_a_step(hand: Hand):
    """The calculator of a step opens beside it in landscape, under it in portrait; its values survive"""
    page = hand.open(PROCEDURE)
    opens, step, calc = (page.locator(one).first for one in ("[data-opens]", ".step:has([data-opens])", ".calc"))
    if hand.size[0] > hand.size[1]:
        at, own = calc.bounding_box(), step.bounding_box()
        assert at["x"] >= own["x"] + own["width"]
    else:
        expect(calc).to_be_hidden()
        hand.tap(opens)
        body, at = step.locator(".step-body").bounding_box(), calc.bounding_box()
        assert at["y"] >= body["y"] + body["height"]
    box = calc.locator("input.box").first
    assert box.get_attribute("inputmode") == "decimal", "the number pad"
    hand.tap(box)
    box.fill("19,1")
    calc.locator("xpath=self::*[@data-outcome='answered']").locator(".answer:not([aria-busy]) .says").first.wait_for()
    said = calc.locator(".answer .says").first.inner_text()
    hand.open()
    hand.open(PROCEDURE)
    expect(box).to_be_visible()
    expect(box).to_have_value("19,1")
    expect(calc.locator(".answer .says").first).to_have_text(said)


def test_stopwatch(hand: Hand):
    """A stopwatch where a step says to wait: it starts by a touch and goes on over a reload"""
    page = hand.open(WAITS)
    wait = page.locator("[data-wait]").first
    seconds, words = int(wait.get_attribute("data-wait")), wait.evaluate("(one) => one.firstChild.data.trim()")
    left, over, before = wait.get_by_role("timer"), wait.get_by_role("status"), wait.inner_text()
    hand.tap(wait.get_by_role("button", name="Start the stopwatch"))
    expect(left).to_contain_text(" to go")
    first = left.inner_text()
    expect(left).not_to_have_text(first)  # it goes
    hand.again()
    expect(left).to_contain_text(" to go")
    page.evaluate("(passed) => { const now = Date.now; Date.now = () => now() + passed; }", seconds * 1000)
    expect(over).to_have_text(f"The wait of {words} is over.")
    expect(left).to_have_text("")
    hand.tap(wait.get_by_role("button", name="Set the stopwatch back"))
    expect(over).to_have_text("")
    hand.tap(wait.get_by_role("button", name="Start the stopwatch"))
    hand.tap(wait.get_by_role("button", name="Stop the stopwatch"))
    assert wait.inner_text() == before


def test_hand_and_text(hand: Hand):
    """For a left hand what is worked stands at the left; large text; the device keeps both; forced colours, no motion"""
    page = hand.page

    def places() -> dict[str, float]:
        hand.open(PROCEDURE)
        return {name: page.locator(css).first.bounding_box()["x"] for name, css in (
            ("tick", ".tick[data-step]"), ("name", ".step .name"), ("home", ".bar a"), ("calculator", ".calc, [data-opens]"))}

    def letters() -> float:
        return page.locator(".step-body p").first.evaluate("(one) => parseFloat(getComputedStyle(one).fontSize)")

    right, usual = places(), letters()
    assert right["tick"] > right["name"] and right["home"] == 0
    hand.open("saved/")
    hand.tap(page.get_by_text("Left hand"))
    left = places()
    assert left["tick"] < left["name"] and left["home"] > 0
    page.evaluate("sessionStorage.clear()")
    assert places() == left, "the device keeps it"
    hand.open("saved/")
    hand.tap('label:has([name=text][value=large])')
    places()
    assert letters() > usual
    assert page.evaluate("document.documentElement.scrollWidth") <= hand.size[0]
    page.emulate_media(forced_colors="active", reduced_motion="reduce")
    hand.open(PROCEDURE)
    tick, second = (page.locator(".tick[data-step]").nth(number) for number in (0, 1))
    empty = second.screenshot()
    hand.tap(tick)
    expect(at_hand(page).locator(".step-head")).to_be_in_viewport(ratio=1)
    assert tick.screenshot() != empty == second.screenshot(), "a tick is seen by its form, whatever the colours"
