"""A handbook of more machines than a page names: one is chosen from the list, and calculators take its figures."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from macros import building
from macros.serve import Server, serve_folder
from tests.bench.making import make
from tests.browser.tools import PATIENCE, opened

MACHINE, TITLE = "walk-behind-70-0013", "Walk-behind, 70 cm squeegee, series 0013"


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    folder = tmp_path_factory.mktemp("many")
    building.with_mkdocs(make(folder / "content", 300), folder / "site")
    server = serve_folder(folder / "site")
    yield server
    server.close()


def test_a_machine_is_chosen_from_the_list_and_its_figures_are_calculated_with(page: Page, large: Server):
    opened(page, large.url)
    page.get_by_role("link", name="All 16").click()
    page.get_by_role("link", name=TITLE).click()
    page.get_by_role("button", name="Choose this machine").click()
    expect(page.locator("[data-machine-name]")).to_have_text(TITLE)

    opened(page, f"{large.url}calculators/wheel-adjust/")
    expect(page.locator("[data-machine-name]")).to_have_text(TITLE)
    expect(page.locator('.calc [name="thread"]')).to_have_value("M8")
    expect(page.locator(".answer .says")).to_be_visible(timeout=PATIENCE)
    theirs = page.locator(".answer .says").inner_text()

    opened(page, f"{large.url}machines/ride-on-90/")
    page.get_by_role("button", name="Choose this machine").click()
    opened(page, f"{large.url}calculators/wheel-adjust/")
    expect(page.locator('.calc [name="thread"]')).to_have_value("M10")
    assert page.locator(".answer .says").inner_text() != theirs


def test_a_machine_that_is_not_in_this_edition_leaves_the_example(page: Page, large: Server):
    page.context.watch.allowed = ("404",)  # of its figures
    opened(page, large.url)
    page.evaluate("localStorage.setItem(`handbook:${location.pathname}:machine`, JSON.stringify('gone-40'))")
    opened(page, f"{large.url}calculators/wheel-adjust/")
    expect(page.locator('.calc [name="thread"]')).to_have_value("M10")
    expect(page.locator(".answer .says")).to_be_visible()
