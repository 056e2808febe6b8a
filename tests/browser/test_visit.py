"""A visit: put aside, opened again, begun anew, what was entered taken out; by keys. stories/ has it under a thumb."""

from playwright.sync_api import Page, expect

from macros.serve import Server
from tests.browser.tools import ready
from tests.browser.visiting import PRICE, PROCEDURE, begin, field, opened, until, visits


def test_an_ended_visit_is_opened_again_and_one_put_aside_is_gone_on_with(page: Page, served: Server):
    begin(page, served.url)
    page.get_by_role("button", name="End the visit").click()
    page.get_by_role("button", name="Open it again").click()
    expect(page.locator("[data-visit-line]")).to_be_visible()
    page.get_by_role("button", name="Put it aside").click()
    expect(page.locator(".visit-state")).to_contain_text("Put aside")
    assert visits(page)[0]["ended"] is None
    page.get_by_role("button", name="Go on with this visit").click()
    field(page, "notes").fill("more")
    assert until(page, "visit.notes === 'more'")["ended"] is None


def test_a_new_visit_begins_with_no_ticks_where_that_is_wanted(page: Page, served: Server):
    opened(page, served.url + PROCEDURE)
    page.locator(".tick[data-step]").first.check()
    opened(page, served.url + "visit/")
    fresh = page.locator("[data-fresh] input")
    expect(fresh).not_to_be_checked()  # no visit yet: this may be the middle of work
    begin(page, served.url)
    opened(page, served.url + PROCEDURE)
    expect(page.locator(".tick[data-step]").first).to_be_checked()
    opened(page, served.url + "visit/")
    page.get_by_role("button", name="End the visit").click()
    page.get_by_role("link", name="Begin another visit").click()
    expect(fresh).to_be_checked()
    page.get_by_role("button", name="Begin the visit").click()
    page.locator("[data-fields]:not([hidden])").wait_for()
    opened(page, served.url + PROCEDURE)
    expect(page.locator(".tick[data-step]:checked")).to_have_count(0)


def test_what_was_entered_is_taken_out_and_a_typed_price_stays(page: Page, served: Server):
    begin(page, served.url)
    field(page, "price").fill("99")
    opened(page, served.url + "seen/whole/")
    until(page, "visit.seen.length && visit.price === '99'")
    opened(page, served.url + PRICE)
    ready(page)
    box = page.locator(".calc input.box[inputmode=decimal]:visible").first
    for count in ("2", "3"):
        box.fill(count)
        until(page, f"JSON.stringify(visit.answers).includes('\"{count}\"')")
    opened(page, served.url + "visit/")
    expect(page.locator("[data-of=answers] > ul > li")).to_have_count(1)  # typed on, it is one answer
    page.get_by_role("button", name="Take out").first.click()
    visit = until(page, "!visit.seen.length")
    assert len(visit["removed"]) == 1 and visit["price"] == "99"
    expect(page.locator("[data-of=seen] [data-empty]")).to_be_visible()


def test_a_visit_by_keys_alone(page: Page, served: Server):
    opened(page, served.url + "visit/")

    def to(selector: str) -> None:
        for _press in range(80):
            if page.evaluate("(one) => document.activeElement.matches(one)", selector):
                return
            page.keyboard.press("Tab")
        raise AssertionError(f"not reached: {selector}")

    to("[data-begin]")
    page.keyboard.press("Enter")
    expect(field(page, "customer")).to_be_focused()
    page.keyboard.type("Pier 4")
    to("[data-name=remains]")
    page.keyboard.type("A blade.")
    to("[data-add-part]")
    page.keyboard.press("Enter")
    to("[data-photograph]")
    until(page, "visit.parts.length === 1 && visit.remains === 'A blade.'")
    page.locator("[data-acts] button").first.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Open it again")).to_be_focused()
