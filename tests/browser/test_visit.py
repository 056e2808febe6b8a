"""A visit by touch: begun, written as it happens, ended, with and without the server; by keys."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from playwright.sync_api import Browser, Page, Playwright, expect

from calculators import calculate
from macros import chromium
from macros.serve import Server, serve_folder
from tests.browser.test_access import SIZES
from tests.browser.tools import PATIENCE, Watch, ready, save_edition
from tests.browser.visiting import PICTURE, PRICE, PROCEDURE, SURVEY, begin, field, opened, until, visits

SCHEMA = Path(__file__).parents[2] / "site_overrides" / "record" / "visit.schema.json"


@pytest.fixture(params=SIZES.values(), ids=lambda size: "x".join(map(str, size)))
def touched(browser: Browser, served: Server, request: pytest.FixtureRequest) -> Iterator[Page]:
    """A page worked by touch."""
    context = browser.new_context(locale="en-GB", has_touch=True, viewport=dict(zip(("width", "height"), request.param)))
    context.watch = Watch(context)
    page = context.new_page()
    sent: list[str] = []
    page.on("request", lambda asked: sent.append(asked.url) if asked.method != "GET" else None)
    yield page
    context.close()
    context.watch.check()
    assert sent == [], "nothing is ever sent anywhere"


# ---- the story ----

def story(page: Page, base: str, serial: str) -> dict[str, Any]:
    """A whole visit as a hand would do it. Returns it as it was ended."""
    opened(page, base + "visit/")
    page.get_by_role("button", name="Begin the visit").tap()
    field(page, "machine.serial").fill(serial)
    field(page, "customer").fill("Pier 4")
    field(page, "machine.hours").fill("812,5")
    until(page, "visit.machine.hours === 812.5")

    opened(page, base + "seen/whole/")
    seen = page.locator("h1").inner_text()
    line = page.locator("[data-visit-line]")
    expect(line).to_have_text(f"Visit open: no. {serial}, Pier 4")
    until(page, "visit.seen.length === 1")

    opened(page, base + PROCEDURE)
    for number in (0, 1, 2, 2):  # the third is taken off again
        page.locator(".tick[data-step]").nth(number).tap()
    page.get_by_role("button", name="Write a remark on this step, 2", exact=True).tap()
    page.get_by_label("Remark on step 2", exact=True).fill("This bolt is 13 mm on this one.")
    until(page, "visit.remarks.length === 1 && visit.steps.length === 3")

    opened(page, base + SURVEY)
    ready(page)
    page.locator("[name='readings/2/vacuum']").fill("17,2")
    expect(page.locator(".visited")).to_contain_text("Written into the visit.")
    answer = page.locator(".answer .says").inner_text()

    opened(page, base + PRICE)
    ready(page)
    page.locator(".calc input.box[inputmode=decimal]:visible").first.fill("3")
    expect(page.locator(".visited")).to_contain_text("Written into the visit.")

    line.tap()
    page.locator("[data-part=visit]:not([hidden])").wait_for()
    expect(page.locator("[data-of=seen] .told")).to_contain_text(seen)
    expect(page.locator("[data-of=steps] summary")).to_contain_text("steps done 2")
    expect(page.locator("[data-of=answers] .told").first).to_contain_text(answer)
    expect(page.locator("[data-of=remarks] .told")).to_contain_text("This bolt is 13 mm on this one.")
    expect(field(page, "price")).not_to_have_value("")
    page.locator("[data-add-part]").tap()
    page.locator("[data-of=parts] .count .box").fill("3")
    page.locator("[data-photograph]").set_input_files(PICTURE)
    expect(page.locator("[data-of=photographs] img")).to_be_visible()
    page.get_by_label("What it shows").fill("the lid seal")
    field(page, "notes").fill("Door code with the porter.\nKey at the desk.")
    field(page, "remains").fill("Order a rear blade.")
    page.get_by_role("button", name="End the visit").tap()
    expect(page.locator(".visit-state")).to_contain_text("Ended")
    expect(line).to_be_hidden()
    expect(page.locator("[data-said]")).to_contain_text("Order a rear blade.")
    page.reload()
    expect(page.locator("[data-said]")).to_contain_text("Key at the desk.")
    return until(page, "visit.ended")


def check(visit: dict[str, Any], serial: str) -> None:
    """The visit of `story`, on the disk, is what was done."""
    assert visit["machine"]["serial"] == serial and visit["machine"]["hours"] == 812.5 and visit["customer"] == "Pier 4"
    assert [(one["procedure"], one["done"]) for one in visit["steps"]] == [("survey-suction", done) for done in (True, True, False)]
    survey, price = visit["answers"]
    assert survey["inputs"]["readings"][2]["vacuum"] == "17,2 kPa", "as it was given to the calculator"
    given = calculate("suction-drop", survey["inputs"])
    assert survey["result"] == json.loads(json.dumps(given)) and survey["answer"] == given["answer"]
    gross = price["result"]["figures"]["gross"]
    assert visit["price"] == f"{gross['value']} {gross['unit']}"
    assert [part["count"] for part in visit["parts"]] == [3]
    photograph, = visit["photographs"]
    assert photograph["about"] == "the lid seal" and max(photograph["width"], photograph["height"]) <= 1600
    schema = json.loads(SCHEMA.read_text("utf-8"))
    exported = {**visit, "photographs": [{**one, "data": None} for one in visit["photographs"]]}
    jsonschema.validate(exported, {**schema["definitions"]["visit"], "definitions": schema["definitions"]})


def test_a_visit_by_touch(touched: Page, served: Server):
    check(story(touched, served.url, "A-17"), "A-17")


def test_visits_with_the_server_stopped(playwright: Playwright, chromium_path: str, site: Path, tmp_path: Path):
    server = serve_folder(site)
    context = playwright.chromium.launch_persistent_context(
        str(tmp_path), executable_path=chromium_path, args=list(chromium.FLAGS), locale="en-GB", has_touch=True)
    page = context.pages[0]
    page.set_default_timeout(PATIENCE)
    save_edition(page, server)
    server.close()
    for number, (width, height) in enumerate(SIZES.values()):
        page.set_viewport_size({"width": width, "height": height})
        check(story(page, server.url, f"B-{number}"), f"B-{number}")
    context.close()


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


NONE = {
    "1,284": "1,284 may be read as 1284 or as 1.284: write one of these. Until then it stands as you typed it.",
    "about 1300": "about 1300 is no number such as 812.5. Until it is one, it stands as you typed it.",
    "-3": "-3 is no number such as 812.5. Until it is one, it stands as you typed it.",
}


def test_what_is_no_number_is_said_and_stands_as_it_was_typed(page: Page, served: Server):
    begin(page, served.url)
    page.locator("[data-add-part]").click()
    boxes = [field(page, "machine.hours"), field(page, "minutes"), page.locator("[data-of=parts] .count .box")]
    hours, minutes, count = NONE
    for box in boxes:
        box.fill("12")
    until(page, "visit.machine.hours === 12 && visit.minutes === 12 && visit.parts[0].count === 12")
    for box, typed in zip(boxes, NONE, strict=True):
        box.fill(typed)
    visit = until(page, "visit.unread?.minutes && visit.unread['machine.hours'] && visit.parts[0].unread")
    assert visit["unread"] == {"machine.hours": hours, "minutes": minutes} and visit["parts"][0]["unread"] == count
    assert visit["machine"]["hours"] is visit["minutes"] is None, "the number that it stands in the place of is no more"
    page.reload()
    for box, typed in zip(boxes, NONE, strict=True):
        expect(box).to_have_value(typed)
        expect(box).to_have_attribute("aria-invalid", "true")
        expect(box).to_have_accessible_description(NONE[typed])
    page.get_by_role("button", name="End the visit").click()
    for typed in (hours, minutes):
        expect(page.locator("[data-said]")).to_contain_text(typed)
    opened(page, f"{served.url}visits/sheet/?visit={visit['id']}")
    expect(page.locator("[data-sheet][data-ready]")).to_be_visible()
    for row, typed in zip((".sheet-facts", ".rows dt:text('Time') + dd", ".rows table"), NONE, strict=True):
        expect(page.locator(row)).to_contain_text(typed)

    opened(page, f"{served.url}visit/?visit={visit['id']}")
    page.get_by_role("button", name="Open it again").click()
    for box in boxes:
        box.fill("1284")
        expect(box).to_have_attribute("aria-invalid", "false")
        expect(box).to_have_accessible_description("")
    visit = until(page, "visit.machine.hours === 1284 && visit.minutes === 1284 && visit.parts[0].count === 1284")
    assert "unread" not in visit and "unread" not in visit["parts"][0]


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
