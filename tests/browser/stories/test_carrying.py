"""Stories of visits that travel: exported, taken on another device without doubles, refused with a line; the job sheet."""

import csv
import io
import json
from pathlib import Path

import pypdfium2
import pytest
from jsonschema import Draft7Validator
from playwright.sync_api import Page, expect

from tests.browser.records import ASKED, REFUSED, SHEET, VISITS, kept, photographed, put, written
from tests.browser.stories.hand import Hand
from tests.browser.stories.test_recording import SCHEMA
from tests.browser.test_sheet import PAPERS, paper, priced, read, secrets, words
from tests.record.visits import empty, full, moment


def opened(hand: Hand) -> Page:
    page = hand.open(VISITS)
    page.locator("[data-carry]:not([hidden])").wait_for()
    return page


def saved(hand: Hand, button: str, folder: Path) -> Path:
    """The file that a touch on the button brings."""
    with hand.page.expect_download() as waiting:
        hand.tap(hand.page.get_by_role("button", name=button, exact=True))
    target = folder / waiting.value.suggested_filename
    waiting.value.save_as(target)
    return target


def take(hand: Hand, file: Path) -> None:
    """A file chosen to be imported."""
    with hand.page.expect_file_chooser() as waiting:
        hand.tap(hand.page.get_by_role("button", name="Import visits from a file"))
    waiting.value.set_files(file)


def test_export_and_merge(hand: Hand, tmp_path: Path):
    """All visits go to another device by a file, without doubles; what both wrote stands together; tables and remarks"""
    page, said = hand.page, hand.page.locator("[data-said]")
    put(page, hand.base, photographed("v-1"), photographed("v-2", begun=moment(500)), (empty("v-3"), {}))
    opened(hand)
    file = saved(hand, "Export all visits", tmp_path)
    expect(said).to_contain_text(f"Saved as {file.name}.")
    assert list(Draft7Validator(SCHEMA).iter_errors(json.loads(file.read_text("utf-8")))) == []
    mine = kept(page)

    hand.forget()
    opened(hand)
    expect(page.locator("[data-kept]")).to_contain_text("No visit is kept on this device.")
    take(hand, file)
    expect(said).to_have_text(f"Taken from {file.name}: visits new here 3, brought up to date 0, already here 0.")
    expect(page.locator("[data-visit]")).to_have_count(3)
    assert kept(page) == mine
    take(hand, file)
    expect(said).to_contain_text("visits new here 0, brought up to date 0, already here 3.")
    assert kept(page) == mine

    here, _photographs = photographed("v-1")
    there = {**here, "changed": moment(900), "remains": "Turn the blade", "parts": [], "removed": ["v-1-part"], "photographs": [],
             "seen": [*here["seen"], {"id": "later", "at": moment(299), "symptom": "foam", "title": "Foam"}]}
    take(hand, written(tmp_path, there))
    expect(said).to_contain_text("visits new here 0, brought up to date 1, already here 0.")
    both = kept(page)["v-1"]
    assert both["remains"] == "Turn the blade" and both["parts"] == [] and [one["id"] for one in both["seen"]] == ["v-1-seen", "later"]
    assert both["photographs"][0]["bytes"] > 1000

    def rows(button: str) -> list[dict[str, str]]:
        text = saved(hand, button, tmp_path).read_text("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text, newline="")))

    assert {row["Visit"] for row in rows("Visits as a table (CSV)")} == {"v-1", "v-2", "v-3"}
    assert [row["As shown"] for row in rows("Answers as a table (CSV)")] == ["8.9 mm", "hose"] * 2
    assert [row["Remark"] for row in rows("Remarks as a table (CSV)")] == ["This bolt is 13 mm on this one."] * 2
    for_author = json.loads(saved(hand, "Remarks as a file for the author", tmp_path).read_text("utf-8"))
    assert [len(step["remarks"]) for group in for_author["procedures"] for step in group["steps"]] == [2]
    hand.tap("[data-visit=v-2] summary")
    one = saved(hand, "Export this visit", tmp_path)
    assert [visit["id"] for visit in json.loads(one.read_text("utf-8"))["visits"]] == ["v-2"]
    hand.tap(page.locator("[data-visit=v-2]").get_by_role("button", name="Delete this visit"))
    hand.tap(page.get_by_role("button", name="Delete it for good"))
    expect(page.locator("[data-visit]")).to_have_count(2)
    take(hand, one)
    expect(said).to_contain_text("visits new here 1")


def test_refusals(hand: Hand, tmp_path: Path):
    """A file that is damaged, foreign, from a newer edition or too large: a clear line, nothing lost"""
    page, said = hand.page, hand.page.locator("[data-said]")
    put(page, hand.base, photographed("v-1"))
    mine = kept(page)
    opened(hand)
    whole = written(tmp_path, empty("v-2"), full("v-1", photographs=[], notes="theirs", changed=moment(900))).read_bytes()
    for name, (line, made) in REFUSED.items():
        file = tmp_path / name
        file.write_bytes(made(whole))
        take(hand, file)
        expect(said).to_contain_text(line)
        expect(said).to_contain_text(ASKED.format(file=name))
        expect(said).to_be_in_viewport()
        assert kept(page) == mine


@pytest.fixture(scope="module")
def fifty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file of 50 MB."""
    visits = []
    for number in range(5):
        visit, _bytes = photographed(f"v-{number}")
        visit["photographs"][0]["data"] = "AAAA" * 2_500_000
        visits.append(visit)
    file = written(tmp_path_factory.mktemp("fifty"), *visits)
    assert file.stat().st_size > 50_000_000
    return file


def test_large_import(hand: Hand, fifty: Path):
    """A file of 50 MB is read beside the page and taken"""
    page = opened(hand)
    with page.expect_worker(lambda worker: worker.url.endswith("/record/reading.js")):
        take(hand, fifty)
    expect(page.locator("[data-said]")).to_contain_text("visits new here 5")
    expect(page.locator("[data-visit]")).to_have_count(5)


def test_job_sheet(hand: Hand):
    """The job sheet: everything of the visit on A4 and Letter, lines to sign, and no cost or margin"""
    visit, photographs = priced()
    page, told = hand.page, set(secrets(visit))
    put(page, hand.base, (visit, photographs))
    opened(hand)
    hand.tap("[data-visit=v-1] summary")
    hand.tap(page.get_by_role("link", name="Job sheet for the customer"))
    hand.arrived(f"{SHEET}v-1")
    page.locator("[data-sheet][data-ready]").wait_for()
    expect(page.get_by_role("img", name="The hose behind the tank port")).to_be_visible()
    texts = [words(page.locator("main").evaluate("(e) => e.textContent"))]
    for format, size in PAPERS.items():
        document: pypdfium2.PdfDocument = paper(page, format)
        assert len(document) <= 2 and all(sheet.get_size() == pytest.approx(size, abs=1.5) for sheet in document)
        texts.append(read(document))
        for said in ("Job sheet", "Ride-on, 90 cm squeegee, no. 7", "1284 h", "TH-0119", "1 h 15 min", "Recovery hose, 38 mm",
                     "Turn the rear blade by January.", "to pay, with tax", "For the customer", "Technician: R. Ames"):
            assert said.lower() in texts[-1].lower(), said
    for text in texts:
        assert [one for one in told if words(one).lower() in text.lower()] == []
