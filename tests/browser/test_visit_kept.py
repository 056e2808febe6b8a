"""A visit when the browser is killed, when a page is left, when a file is no picture."""

from pathlib import Path

from playwright.sync_api import Page, Playwright, expect

from macros.serve import Server
from tests.browser.killing import killed
from tests.browser.visiting import PROCEDURE, begin, field, opened, until, visits

KILLS, BOUND = 5, 1.0
"""Kills here; `handbook.py bench record` has 50. Seconds: nothing older may be lost."""


def test_a_killed_browser_loses_nothing_older_than_a_second(playwright: Playwright, chromium_path: str, served: Server, tmp_path: Path):
    losses = list(killed(playwright, chromium_path, tmp_path, served.url, KILLS, seed=5))
    assert len(losses) == KILLS and sum(loss.typed for loss in losses) > 20 * KILLS
    assert max(loss.age for loss in losses) <= BOUND, losses


TOO_LATE = """addEventListener("beforeunload", () => {
  IDBDatabase.prototype.transaction = () => { throw new DOMException("the page is gone", "InvalidStateError"); };
}, true);"""


def test_what_is_typed_as_the_page_is_left_is_there_though_the_database_came_too_late(page: Page, served: Server):
    begin(page, served.url)
    page.evaluate(TOO_LATE)
    field(page, "notes").fill("The last word.")
    field(page, "machine.hours").fill("1,284")
    opened(page, served.url + PROCEDURE)
    visit = until(page, "visit.notes")
    assert visit["notes"] == "The last word." and visit["unread"] == {"machine.hours": "1,284"}
    page.get_by_role("button", name="Write a remark on this step, 1", exact=True).click()
    page.get_by_label("Remark on step 1", exact=True).fill("Narrow")
    until(page, "visit.remarks.length")
    page.evaluate(TOO_LATE)
    page.keyboard.type(" here.")
    opened(page, served.url + "visit/")
    visit = until(page, "visit.remarks[0].text === 'Narrow here.'")
    assert len(visit["remarks"]) == 1
    # What came too late once is not brought back over what is written later.
    field(page, "notes").fill("Another.")
    until(page, "visit.notes === 'Another.'")
    opened(page, served.url + "visit/")
    expect(field(page, "notes")).to_have_value("Another.")


NEVER_DONE = """
const begun = [], transaction = IDBDatabase.prototype.transaction;
IDBDatabase.prototype.transaction = function (stores, mode, ...others) {
  const made = transaction.call(this, stores, mode, ...others);
  if (mode === "readwrite") {
    begun.push(made);
    const on = () => { made.objectStore("visits").get("none").onsuccess = on; };
    on();
  }
  return made;
};
addEventListener("beforeunload", () => { for (const one of begun) try { one.abort(); } catch { /* it has ended */ } }, true);"""
"""No writing transaction comes to its end, and all are given up as the page is left."""


def test_what_is_on_its_way_to_the_disk_as_the_page_is_left_is_there(page: Page, served: Server):
    begin(page, served.url)
    page.evaluate(f"() => {{{NEVER_DONE}}}")
    field(page, "notes").fill("Carried out, not ended.")
    field(page, "who").fill("Waits for the notes")
    field(page, "remains").fill("Not asked for yet")
    opened(page, served.url + PROCEDURE)
    visit = until(page, "visit.remains")
    assert [visit[name] for name in ("notes", "who", "remains")] == ["Carried out, not ended.", "Waits for the notes", "Not asked for yet"]


def test_a_file_that_is_no_picture_is_said(page: Page, served: Server):
    begin(page, served.url)
    page.locator("[data-photograph]").set_input_files({"name": "notes.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"})
    expect(page.locator("[data-trouble]")).to_have_text("notes.jpg is no picture that this browser can read.")
    assert visits(page)[0]["photographs"] == []
