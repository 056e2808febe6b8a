"""The next visit to a machine, and every state of a visit's page for everybody."""

from playwright.sync_api import Page, expect

from macros.serve import Server
from tests.browser import measure
from tests.browser.test_access import SIZES, findings
from tests.browser.tools import ready
from tests.browser.visiting import EARLIER, EDGE, PICTURE, PROCEDURE, SURVEY, field, opened, seeded, until, visits


def test_the_next_visit_begins_where_the_last_one_ended(page: Page, served: Server):
    opened(page, served.url + "visit/")
    machine = page.locator("[data-machines] input").first.get_attribute("value")
    seeded(page, machine)
    page.reload()
    again = page.locator("[data-again] li")
    expect(again).to_have_count(2)
    again.filter(has_text="A-1").get_by_role("button").click()
    last = page.locator("[data-earlier]")
    expect(last).to_contain_text("remains of 1")
    expect(last).to_contain_text("801 h")
    wear, suction = page.locator("[data-trends] svg").all()
    expect(wear).to_have_accessible_name("Worn flat over the hours Read at 2 moments: 25 h 0.02 in, 50 h 0.03 in.")
    expect(suction).to_have_accessible_name(
        "Sealed vacuum from visit to visit 15 January 2026: Motor inlet 80 inH₂O, Squeegee outlet 78 inH₂O. "
        "15 February 2026: Motor inlet 80 inH₂O, Squeegee outlet 60 inH₂O.")
    # Another number is another machine.
    field(page, "machine.serial").fill("B 2")
    expect(last).to_contain_text("remains of 2")
    field(page, "machine.serial").fill("C3")
    expect(last).to_be_hidden()
    expect(page.locator("[data-trends]")).to_be_hidden()


def test_readings_of_earlier_visits_are_offered_as_they_were_typed(page: Page, served: Server):
    opened(page, served.url + "visit/")
    seeded(page, page.locator("[data-machines] input").first.get_attribute("value"))
    page.reload()
    page.locator("[data-again] li").filter(has_text="A-1").get_by_role("button").click()
    page.locator("[data-earlier]:not([hidden])").wait_for()

    opened(page, served.url + EDGE)
    ready(page)
    expect(page.locator(".offer")).to_contain_text("Readings of this edge from earlier visits, the last on 15 February 2026: 2.")
    example = page.locator("[name='readings/0/flat']").input_value()
    assert example != "0,02", "nothing is filled in unasked"
    page.get_by_role("button", name="Put these readings in").click()
    page.locator("[data-outcome=answered]").wait_for()
    rows = [[page.locator(f"[name='readings/{row}/{name}']").input_value() for name in ("hours", "flat")] for row in range(3)]
    assert rows == [["25", "0,02"], ["50", "0.03"], ["", ""]]
    expect(page.locator("[name='unit:length'][value=in]").first).to_be_checked()
    assert not visits(page)[0]["answers"], "readings of earlier visits alone are no reading of this one"
    page.locator("[name='readings/2/hours']").fill("75")
    page.locator("[name='readings/2/flat']").fill("0.035")
    visit = until(page, "visit.answers.at(-1)?.inputs.readings.length === 3")
    assert visit["answers"][-1]["inputs"]["readings"] == [*EARLIER[1][0]["readings"], {"hours": "75 h", "flat": "0.035 in"}]

    opened(page, served.url + SURVEY)
    ready(page)
    expect(page.locator(".offer")).to_contain_text("Readings of this machine when it was well, on 15 January 2026: 4.")
    page.get_by_role("button", name="Put these readings in").click()
    page.locator("[data-outcome=answered]").wait_for()
    page.get_by_role("button", name="Write this answer into the visit").click()
    visit = until(page, "visit.answers.at(-1)?.calculator === 'suction-drop'")
    healthy = visit["answers"][-1]["inputs"]["healthy"]
    assert [{name: row[name] for name in ("station", "vacuum")} for row in healthy] == EARLIER[0][1]["readings"]


def test_every_state_of_a_visit_is_without_a_finding(page: Page, served: Server, axe: str):
    bad: dict[str, list[str]] = {}

    def look(state: str) -> None:
        page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
        for scheme, (width, height) in [*(("light", size) for size in SIZES.values()), ("dark", SIZES["phone"])]:
            page.emulate_media(color_scheme=scheme)
            page.set_viewport_size({"width": width, "height": height})
            found, _passed = findings(page, axe)
            aside = page.evaluate(measure.SIDEWAYS)
            trouble = [*found, *measure.small(page), *measure.faint(page), *([f"sideways by {aside} px"] if aside > 0 else [])]
            if trouble:
                bad[f"{state}, {scheme}, {width}"] = trouble

    opened(page, served.url + "visit/")
    seeded(page, page.locator("[data-machines] input").first.get_attribute("value"))
    page.reload()
    page.locator("[data-again] li").first.wait_for()
    look("to begin")
    page.locator("[data-again] button").last.click()
    page.locator("[data-trends]:not([hidden])").wait_for()
    opened(page, served.url + PROCEDURE)
    page.locator(".tick[data-step]").first.check()
    page.get_by_role("button", name="Write a remark on this step, 1", exact=True).click()
    page.keyboard.type("Narrow here.")
    until(page, "visit.remarks.length")
    look("a procedure")
    opened(page, served.url + EDGE)
    page.locator(".offer button").wait_for()
    look("a calculator")
    opened(page, served.url + "seen/whole/")
    opened(page, served.url + "visit/")
    field(page, "machine.hours").fill("1,284")
    page.locator("[data-add-part]").click()
    page.locator("[data-photograph]").set_input_files(PICTURE)
    page.locator("[data-of=photographs] img").wait_for()
    look("open")
    page.get_by_role("button", name="End the visit").click()
    page.locator("[data-said]:not([hidden])").wait_for()
    look("ended")
    assert bad == {}
