"""Visits carried from device to device: exported, imported without doubles, refused with a line, deleted; all by touch."""

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from jsonschema import Draft7Validator
from playwright.sync_api import Browser, BrowserContext, Page, expect

from macros.serve import Server
from tests.browser.records import SHEET, VISITS, kept, photographed, put
from tests.browser.test_access import SIZES, opening, troubles
from tests.browser.tools import Watch, quota, save_edition
from tests.record.visits import Visit, empty, full, moment

ASKED = "Nothing was taken from {file}; what is here is as it was."


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


def written(folder: Path, *visits: Visit, **more: object) -> Path:
    """An export file as another device makes it."""
    file = folder / "theirs.json"
    file.write_text(json.dumps({"kind": "handbook-visits", "version": 1, "made": moment(200), "edition": 1, "visits": visits} | more))
    return file


def test_all_visits_go_to_another_device_once(
    tablet: BrowserContext, browser: Browser, served: Server, site: Path, tmp_path: Path
):
    page = tablet.new_page()
    put(page, served, photographed("v-1"), photographed("v-2", begun=moment(500)), (empty("v-3"), {}))
    file = saved(opened(page, served), "Export all visits", tmp_path)
    expect(page.locator("[data-said]")).to_contain_text(f"Saved as {file.name}.")
    schema = json.loads((site / "record" / "visit.schema.json").read_text("utf-8"))
    assert list(Draft7Validator(schema).iter_errors(json.loads(file.read_text("utf-8")))) == []
    mine = kept(page)
    with opening(browser, served, viewport={"width": 390, "height": 844}, has_touch=True) as other:
        page = other(VISITS)
        expect(page.locator("[data-kept]")).to_contain_text("No visit is kept on this device.")
        chosen(page, file)
        expect(page.locator("[data-said]")).to_have_text(
            f"Taken from {file.name}: visits new here 3, brought up to date 0, already here 0.")
        expect(page.locator("[data-visit]")).to_have_count(3)
        assert kept(page) == mine
        chosen(page, file)
        expect(page.locator("[data-said]")).to_contain_text("visits new here 0, brought up to date 0, already here 3.")
        assert kept(page) == mine


def test_what_both_devices_wrote_stands_together(tablet: BrowserContext, served: Server, tmp_path: Path):
    page = tablet.new_page()
    here, photographs = photographed("v-1", remains="Nothing")
    put(page, served, (here, photographs))
    there = {**here, "changed": moment(300), "remains": "Turn the blade", "parts": [], "removed": ["v-1-part"], "photographs": [],
             "seen": [*here["seen"], {"id": "later", "at": moment(299), "symptom": "foam", "title": "Foam"}]}
    chosen(opened(page, served), written(tmp_path, there))
    expect(page.locator("[data-said]")).to_contain_text("visits new here 0, brought up to date 1, already here 0.")
    both = kept(page)["v-1"]
    assert both["remains"] == "Turn the blade" and both["parts"] == [] and [one["id"] for one in both["seen"]] == ["v-1-seen", "later"]
    assert both["photographs"][0]["bytes"] > 1000


REFUSED = {
    "cut-off.json": ("The file is damaged, perhaps cut off", lambda whole: whole[:-40]),
    "altered.json": ("The file is damaged, at visits/0/changed", lambda whole: whole.replace(b'"changed"', b'"channged"', 1)
                     .replace(b'"begun"', b'"changed":7,"begun"', 1)),
    "picture.json": ("This is no file of visits of a handbook.", lambda _whole: b"\xff\xd8\xff\xe0" * 99),
    "other.json": ("This is no file of visits of a handbook.", lambda _whole: b'{"kind":"handbook-remarks","version":1}'),
    "newer.json": ("made by a newer edition of the handbook, in format 3", lambda whole: whole.replace(b'"version": 1', b'"version": 3', 1)),
    "empty.json": ("The file is empty.", lambda _whole: b""),
    "large.json": ("The file is larger than 100 MB", lambda whole: whole + b" " * 100_000_000),
}


def test_a_file_that_cannot_be_taken_is_one_clear_line_and_nothing_changes(
    tablet: BrowserContext, served: Server, tmp_path: Path
):
    page = tablet.new_page()
    put(page, served, photographed("v-1"))
    mine = kept(page)
    opened(page, served)
    whole = written(tmp_path, empty("v-2"), full("v-1", photographs=[], notes="theirs", changed=moment(900))).read_bytes()
    for name, (line, made) in REFUSED.items():
        file = tmp_path / name
        file.write_bytes(made(whole))
        chosen(page, file)
        expect(page.locator("[data-said]")).to_contain_text(line)
        expect(page.locator("[data-said]")).to_contain_text(ASKED.format(file=name))
        assert kept(page) == mine


def test_a_file_of_a_newer_edition_in_this_format_is_taken_and_said(tablet: BrowserContext, served: Server, tmp_path: Path):
    page = opened(tablet.new_page(), served)
    chosen(page, written(tmp_path, empty("v-2"), edition=99))
    expect(page.locator("[data-said]")).to_contain_text("The file is of edition 99, newer than this one")
    assert list(kept(page)) == ["v-2"]


def test_50_megabytes_are_read_beside_the_page_and_taken(tablet: BrowserContext, served: Server, tmp_path: Path):
    page = opened(tablet.new_page(), served)
    visits = []
    for number in range(5):
        visit, _bytes = photographed(f"v-{number}")
        visit["photographs"][0]["data"] = "AAAA" * 2_500_000
        visits.append(visit)
    file = written(tmp_path, *visits)
    assert file.stat().st_size > 50_000_000
    with page.expect_worker(lambda worker: worker.url.endswith("/record/reading.js")):
        chosen(page, file)
    expect(page.locator("[data-said]")).to_contain_text("visits new here 5")
    assert {one["photographs"][0]["bytes"] for one in kept(page).values()} == {7_500_000}


def test_no_room_for_what_is_imported(tablet: BrowserContext, served: Server, tmp_path: Path):
    page = tablet.new_page()
    visit, _bytes = photographed("v-2")
    visit["photographs"][0]["data"] = "AAAA" * 1_500_000
    with quota(page, served.url, 2_000_000):
        put(page, served, photographed("v-1"))
        mine = kept(page)
        opened(page, served)
        chosen(page, written(tmp_path, empty("v-3"), visit))
        expect(page.locator("[data-said]")).to_contain_text("This device has no room for what is in the file.")
        expect(page.locator("[data-said]")).to_contain_text(ASKED.format(file="theirs.json"))
        assert kept(page) == mine


def test_storage_refused_is_said(tablet: BrowserContext, served: Server):
    tablet.add_init_script("Object.defineProperty(globalThis, 'indexedDB', { get() { return undefined; } });")
    page = tablet.new_page()
    for address, said in ((VISITS, "[data-visits] [data-said]"), (SHEET + "v-1", "[data-sheet] [data-said]")):
        page.goto(served.url + address)
        expect(page.locator(said)).to_contain_text("This browser or window keeps no record")


def test_without_a_worker_the_page_reads_the_file_itself(tablet: BrowserContext, served: Server, tmp_path: Path):
    tablet.add_init_script("window.Worker = class { constructor() { throw new DOMException('no', 'SecurityError'); } };")
    page = opened(tablet.new_page(), served)
    chosen(page, written(tmp_path, empty("v-2")))
    expect(page.locator("[data-said]")).to_contain_text("visits new here 1")


def test_tables_and_remarks_are_files(tablet: BrowserContext, served: Server, tmp_path: Path):
    page = tablet.new_page()
    put(page, served, photographed("v-1"), (full("v-2", photographs=[], notes="=1+1"), {}))
    opened(page, served)

    def rows(button: str) -> list[dict[str, str]]:
        text = saved(page, button, tmp_path).read_text("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text, newline="")))

    assert {row["Visit"]: row["Notes"][:4] for row in rows("Visits as a table (CSV)")} == {"v-1": "The ", "v-2": "'=1+"}
    assert [row["As shown"] for row in rows("Answers as a table (CSV)")] == ["8.9 mm", "hose"] * 2
    assert [row["Remark"] for row in rows("Remarks as a table (CSV)")] == ["This bolt is 13 mm on this one."] * 2
    for_author = json.loads(saved(page, "Remarks as a file for the author", tmp_path).read_text("utf-8"))
    assert [len(step["remarks"]) for group in for_author["procedures"] for step in group["steps"]] == [2]
    listed = page.locator("[data-remarked]")
    expect(listed).to_contain_text("This bolt is 13 mm on this one.")
    expect(listed.get_by_role("link", name="Survey the suction")).to_have_attribute("href", f"{served.url}procedures/survey-suction/")


def test_too_much_for_one_file_is_parted(tablet: BrowserContext, served: Server, tmp_path: Path, site: Path):
    script = next(site.rglob("record/export.js")).read_text("utf-8")
    assert "40e6" in script
    tablet.route("**/record/export.js", lambda route: route.fulfill(body=script.replace("40e6", "100"), content_type="text/javascript"))
    page = tablet.new_page()
    put(page, served, (full("v-1", photographs=[]), {}), (full("v-2", photographs=[]), {}))
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
    put(page, served, (full("old", photographs=[]), {}), (full("new", photographs=[], begun=moment(800), when="2026-11-02"), {}),
        (empty("walk", machine=walk, begun=moment(400)), {}))
    opened(page, served)
    assert page.locator(".by-machine h2").all_inner_texts() == ["Ride-on, 90 cm squeegee, no. 7", "Walk-behind, 70 cm squeegee, no. 12-A"]
    assert [one.get_attribute("data-visit") for one in page.locator("[data-visit]").all()] == ["new", "old", "walk"]
    page.locator("[data-visit=old] summary").tap()
    assert page.locator("[data-visit=old]").get_by_role("link", name="Open this visit").get_attribute("href") == f"{served.url}visit/?visit=old"


def test_deleting_names_what_is_lost_and_by_keyboard_it_can_be_left(context: BrowserContext, served: Server):
    page = context.new_page()
    put(page, served, photographed("v-1"), (empty("v-2"), {}))
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
        put(page, served, photographed("v-1"), (full("v-2", photographs=[]), {}))
        assert troubles(opened_(SHEET + "v-1"), axe) == []
        expect(page.locator("[data-sheet][data-ready]")).to_be_visible()
        opened_(VISITS)
        page.locator("[data-visit]").first.wait_for()
        page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
        assert troubles(page, axe) == []
        page.locator("[data-do=ask]").first.click()
        assert troubles(page, axe) == []


def test_with_the_server_stopped_everything_goes_on(profile, site: Path, tmp_path: Path):
    from macros.serve import serve_folder

    server = serve_folder(site)
    with profile() as context:
        page = context.new_page()
        save_edition(page, server)
        put(page, server, photographed("v-1"))
    server.close()
    with profile() as context:
        context.watch.allowed = ("edition.json)", "sw.js)")
        page = context.new_page()
        opened(page, server)
        with page.expect_download() as waiting:
            page.get_by_role("button", name="Export all visits").click()
        with page.expect_file_chooser() as chooser:
            page.get_by_role("button", name="Import visits from a file").click()
        file = tmp_path / "again.json"
        waiting.value.save_as(file)
        chooser.value.set_files(file)
        expect(page.locator("[data-said]")).to_contain_text("already here 1.")
        page.locator("[data-visit=v-1] summary").click()
        page.get_by_role("link", name="Job sheet for the customer").click()
        page.locator("[data-sheet][data-ready]").wait_for()
        expect(page.get_by_role("img", name="The hose behind the tank port")).to_be_visible()
