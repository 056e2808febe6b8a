"""The folder edition, opened from a disk as a double-click does: search finds, calculators answer with the same
bytes."""

import json
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from calculators import bridge, calculators
from macros import stick
from tests.browser.test_same_bytes import ASK
from tests.browser.tools import CALCULATOR, EDITION, alive, ready


@pytest.fixture
def folder(site: Path, tmp_path: Path) -> Path:
    """The folder edition of the demo, unpacked."""
    stick.write(site, tmp_path / "handbook.zip", "Handbook <b>")
    with zipfile.ZipFile(tmp_path / "handbook.zip") as archive:
        archive.extractall(tmp_path / "memory stick")
    return tmp_path / "memory stick"


@pytest.fixture
def opened(context, folder: Path) -> Page:
    """The page that a double-click on the start page leads to."""
    page = context.new_page()
    page.goto((folder / stick.START).as_uri())
    page.wait_for_url("**/handbook/index.html")
    alive(page)
    return page


def test_it_opens_finds_calculates_and_remembers(opened: Page, folder: Path):
    page = opened
    expect(page.locator("[data-saved-line]")).to_have_text(f"Edition {EDITION}, in a folder")
    page.get_by_role("link", name="Find").click()
    page.get_by_role("searchbox").fill("lid seal")
    page.get_by_role("link", name="Tank lid seal").first.click()
    page.wait_for_url("**/parts/lid-seal/index.html")
    expect(page.locator("h1")).to_have_text("Tank lid seal")
    alive(page)  # now it is remembered as opened
    page.goto((folder / stick.INSIDE / CALCULATOR / "index.html").as_uri())
    ready(page)
    # Every calculator's example and examples: the browser's answers are those of this Python, byte for byte.
    requests = [json.dumps({"id": one.id, "inputs": inputs}) for one in calculators()
                for inputs in (one.example, *(given for _name, given in one.examples))]
    replies = page.evaluate(ASK.replace('await import(new URL("python.js", document.querySelector("script").src).href)',
                                        'await import("handbook/app/python.js")'), requests)
    assert replies == [bridge(request) for request in requests]
    page.get_by_role("link", name="Saved").click()
    page.wait_for_url("**/saved/index.html")
    expect(page.locator("[data-saved]")).to_contain_text("was opened from a folder and needs no signal")
    page.get_by_role("link", name="Home").click()
    expect(page.locator("[data-recent]")).to_contain_text("Tank lid seal")


def test_every_link_of_a_page_leads_to_a_file(folder: Path):
    from tests.macros.pages.dom import parse

    for path in (folder / stick.INSIDE).rglob("*.html"):
        for element in parse(path.read_text("utf-8").removeprefix("<!doctype html>")).all():
            for attribute in ("href", "src", "action"):
                to = element.get(attribute)
                if to and not to.startswith("#"):
                    assert (path.parent / to.split("#")[0].split("?")[0]).resolve().is_file(), f"{path}: {to}"
