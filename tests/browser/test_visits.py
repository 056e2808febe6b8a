"""Visits carried from device to device: no room, a newer edition, several files, by machine, deleted; stories/ has the rest."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from macros.serve import Server
from tests.browser.records import ASKED, SHEET, VISITS, kept, photographed, put, written
from tests.browser.test_access import SIZES, opening, troubles
from tests.browser.tools import Watch, quota
from tests.record.visits import empty, full, moment

@pytest.fixture
def tablet(browser: Browser, served: Server) -> Iterator[BrowserContext]:
    """A tablet, touched."""
    context = browser.new_context(locale="en-GB", has_touch=True, viewport={"width": 768, "height": 1024})
    context.watch = Watch(context)
    yield context
    context.close()
    context.watch.check()


def opened(page: Page, served: Server) -> Page:
    page.goto(served.url + VISITS)
    page.locator("[data-carry]:not([hidden])").wait_for()
    return page


def saved(page: Page, button: str, folder: Path) -> Path:
    """The file that a touch on the button brings."""
    with page.expect_download() as waiting:
        page.get_by_role("button", name=button, exact=True).tap()
    target = folder / waiting.value.suggested_filename
    waiting.value.save_as(target)
    return target


def chosen(page: Page, file: Path) -> None:
    """A file chosen to be imported."""
    with page.expect_file_chooser() as waiting:
        page.get_by_role("button", name="Import visits from a file").tap()
    waiting.value.set_files(file)


def test_a_file_of_a_newer_edition_in_this_format_is_taken_and_said(tablet: BrowserContext, served: Server, tmp_path: Path):
    page = opened(tablet.new_page(), served)
    chosen(page, written(tmp_path, empty("v-2"), edition=99))
    expect(page.locator("[data-said]")).to_contain_text("The file is of edition 99, newer than this one")
    assert list(kept(page)) == ["v-2"]


def test_no_room_for_what_is_imported(tablet: BrowserContext, served: Server, tmp_path: Path):
    page = tablet.new_page()
    visit, _bytes = photographed("v-2")
    visit["photographs"][0]["data"] = "AAAA" * 1_500_000
    with quota(page, served.url, 2_000_000):
        put(page, served.url, photographed("v-1"))
        mine = kept(page)
        opened(page, served)
        chosen(page, written(tmp_path, empty("v-3"), visit))
        expect(page.locator("[data-said]")).to_contain_text("This device has no room for what is in the file.")
        expect(page.locator("[data-said]")).to_contain_text(ASKED.format(file="theirs.json"))
        assert kept(page) == mine


def test_without_a_worker_the_page_reads_the_file_itself(tablet: BrowserContext, served: Server, tmp_path: Path):
    tablet.add_init_script("window.Worker = class { constructor() { throw new DOMException('no', 'SecurityError'); } };")
    page = opened(tablet.new_page(), served)
    chosen(page, written(tmp_path, empty("v-2")))
    expect(page.locator("[data-said]")).to_contain_text("visits new here 1")


def test_too_much_for_one_file_is_parted(tablet: BrowserContext, served: Server, tmp_path: Path, site: Path):
    script = next(site.rglob("record/export.js")).read_text("utf-8")
    assert "40e6" in script
    tablet.route("**/record/export.js", lambda route: route.fulfill(body=script.replace("40e6", "100"), content_type="text/javascript"))
    page = tablet.new_page()
    put(page, served.url, (full("v-1", photographs=[]), {}), (full("v-2", photographs=[]), {}))
    opened(page, served).get_by_role("button", name="Export all visits").tap()
    expect(page.locator("[data-said]")).to_contain_text("save each of the 2 files below the buttons")
    for number in (1, 2):
        with page.expect_download() as waiting:
            page.locator("[data-parts] a").nth(number - 1).tap()
        assert waiting.value.suggested_filename.endswith(f"-{number}-2.json")
        assert len(json.loads(Path(waiting.value.path()).read_text("utf-8"))["visits"]) == 1


def test_visits_stand_by_machine_and_newest_first(tablet: BrowserContext, served: Server):
    walk = {"id": "walk-behind-70", "title": "Walk-behind, 70 cm squeegee", "serial": "12-A", "hours": None}
    page = tablet.new_page()
    put(page, served.url, (full("old", photographs=[]), {}), (full("new", photographs=[], begun=moment(800), when="2026-11-02"), {}),
        (empty("walk", machine=walk, begun=moment(400)), {}))
    opened(page, served)
    assert page.locator(".by-machine h2").all_inner_texts() == ["Ride-on, 90 cm squeegee, no. 7", "Walk-behind, 70 cm squeegee, no. 12-A"]
    assert [one.get_attribute("data-visit") for one in page.locator("[data-visit]").all()] == ["new", "old", "walk"]
    page.locator("[data-visit=old] summary").tap()
    assert page.locator("[data-visit=old]").get_by_role("link", name="Open this visit").get_attribute("href") == f"{served.url}visit/?visit=old"


def test_deleting_names_what_is_lost_and_by_keyboard_it_can_be_left(context: BrowserContext, served: Server):
    page = context.new_page()
    put(page, served.url, photographed("v-1"), (empty("v-2"), {}))
    opened(page, served)

    def asked() -> None:
        page.locator("[data-visit=v-1] summary").focus()
        while page.evaluate("document.activeElement.dataset.do") != "ask":
            page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.get_by_role("dialog", name="Delete this visit?").wait_for()

    page.locator("[data-visit=v-1] summary").focus()
    page.keyboard.press("Enter")
    asked()
    expect(page.get_by_role("dialog")).to_contain_text(
        "1 November 2026, Ride-on, 90 cm squeegee, no. 7, TH-0119. With it goes what was entered: 1 symptom, 2 steps done, 1 answer, "
        "1 part used, 1 remark, 1 photograph. No other device has it unless it was exported.")
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.dataset.do") == "ask", "the focus is back where it was"
    assert set(kept(page)) == {"v-1", "v-2"}
    asked()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("[data-said]")).to_have_text("Deleted: 1 November 2026, Ride-on, 90 cm squeegee, no. 7, TH-0119.")
    assert set(kept(page)) == {"v-2"}
    assert page.evaluate("document.activeElement === document.querySelector('[data-said]')")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_filled_pages_have_no_finding(browser: Browser, served: Server, axe: str, size: str, scheme: str):
    width, height = SIZES[size]
    with opening(browser, served, color_scheme=scheme, viewport={"width": width, "height": height}) as opened_:
        page = opened_("glossary/")
        put(page, served.url, photographed("v-1"), (full("v-2", photographs=[]), {}))
        assert troubles(opened_(SHEET + "v-1"), axe) == []
        expect(page.locator("[data-sheet][data-ready]")).to_be_visible()
        opened_(VISITS)
        page.locator("[data-visit]").first.wait_for()
        page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
        assert troubles(page, axe) == []
        page.locator("[data-do=ask]").first.click()
        assert troubles(page, axe) == []
