"""A handbook of more machines than a page names: one is chosen from the list, and calculators take its figures."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from macros import building
from macros.serve import Server, serve_folder
from tests.bench.making import make
from tests.browser.tools import PATIENCE, drop, opened, save_edition

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


def test_a_visit_names_machine_and_part_of_many_with_the_server_stopped_too(page: Page, large: Server):
    save_edition(page, large)
    large.before = drop
    page.context.watch.allowed = ("Failed to load resource", "net::ERR", "Failed to fetch")
    try:
        opened(page, f"{large.url}machines/{MACHINE}/")
        page.get_by_role("button", name="Choose this machine").click()
        opened(page, f"{large.url}visit/")
        page.get_by_role("button", name="Begin the visit").click()
        expect(page.locator(".visit-state")).to_contain_text(TITLE)
        expect(page.get_by_label("Machine", exact=True)).to_have_value(MACHINE)

        part, press = page.get_by_label("Part", exact=True), page.get_by_role("button", name="Add this part")
        offered = page.locator("#visit-part-of option")
        fitted = page.evaluate("async (id) => { const { machines, parts } = await (await fetch('known.json')).json();"
                               " return machines[id].parts.map((part) => `${parts[part].title}, ${parts[part].number}`); }", MACHINE)
        assert [one.get_attribute("value") for one in offered.all()[:len(fitted)]] == fitted
        part.fill("no such part")
        press.click()
        expect(page.locator("#visit-part-why")).to_contain_text("choose one of those offered")
        expect(page.locator("[data-of=parts] [data-entry]")).to_have_count(0)
        part.fill(fitted[-1])
        expect(page.locator("#visit-part-why")).to_be_empty()
        press.click()
        entry = page.locator("[data-of=parts] [data-entry]")
        expect(entry).to_contain_text(fitted[-1].split(",")[0])
        expect(part).to_have_value("")
        part.fill(f" {fitted[0].rpartition(', ')[2].lower()} ")  # its number, as it is typed in haste
        press.click()
        expect(entry).to_have_count(2)
        expect(page.locator("[data-of=parts]")).to_contain_text(fitted[0].rpartition(", ")[0])

        page.get_by_label("Machine", exact=True).select_option("ride-on-90")
        expect(page.locator(".visit-state")).to_contain_text("Ride-on, 90 cm squeegee")
    finally:
        large.before = None


def test_remarks_lead_to_their_procedures_where_these_are_many(page: Page, large: Server):
    opened(page, f"{large.url}visit/")
    page.get_by_role("button", name="Begin the visit").click()
    expect(page.locator(".visit-state")).to_contain_text("Begun")  # it is kept by then
    opened(page, f"{large.url}procedures/set-wheels/")
    page.get_by_role("button", name="Write a remark on this step, 2", exact=True).click()
    page.get_by_label("Remark on step 2").fill("the near wheel sticks")
    page.get_by_label("Remark on step 2").blur()
    opened(page, f"{large.url}visits/")
    section = page.locator("[data-remarks]")
    expect(section).to_contain_text("the near wheel sticks")
    expect(section.get_by_role("link", name="Set the support wheels")).to_have_attribute("href", f"{large.url}procedures/set-wheels/")


def test_a_machine_that_is_not_in_this_edition_leaves_the_example(page: Page, large: Server):
    page.context.watch.allowed = ("404",)  # of its figures
    opened(page, large.url)
    page.evaluate("localStorage.setItem(`handbook:${location.pathname}:machine`, JSON.stringify('gone-40'))")
    opened(page, f"{large.url}calculators/wheel-adjust/")
    expect(page.locator('.calc [name="thread"]')).to_have_value("M10")
    expect(page.locator(".answer .says")).to_be_visible()
