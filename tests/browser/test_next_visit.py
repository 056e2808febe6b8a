"""Every state of a visit's page, and of what other pages show of it, for everybody."""

from playwright.sync_api import Page

from macros.serve import Server
from tests.browser import measure
from tests.browser.test_access import SIZES, findings
from tests.browser.visiting import EDGE, PICTURE, PROCEDURE, field, opened, seeded, until


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
