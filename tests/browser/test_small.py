"""The smaller behaviours: ticks, the machine, what was opened last, search, settings, print."""

import json

import pytest
from playwright.sync_api import Page, expect

from macros.serve import Server
from tests.browser.tools import CALCULATOR, named, send

PROCEDURE = "procedures/survey-suction/"


def opened(page: Page, url: str) -> Page:
    page.goto(url)
    page.locator("html[data-alive]").wait_for()
    return page


def test_ticks_survive_a_reload_and_are_cleared(page: Page, served: Server):
    opened(page, served.url + PROCEDURE)
    clear = page.locator("[data-clear-ticks]").first
    assert clear.is_hidden()
    page.locator(".tick[data-step]").nth(1).check()
    page.reload()
    page.locator("html[data-alive]").wait_for()
    assert [tick.is_checked() for tick in page.locator(".tick[data-step]").all()[:2]] == [False, True]
    clear.click()
    page.reload()
    page.locator("html[data-alive]").wait_for()
    assert not any(tick.is_checked() for tick in page.locator(".tick[data-step]").all())


def test_the_machine_chosen_stays_chosen(page: Page, served: Server):
    opened(page, served.url)
    choices = page.locator("[data-machines] [name=machine]")
    assert choices.first.is_checked()
    choices.nth(1).check()
    wanted = choices.nth(1).get_attribute("value")
    opened(page, served.url + CALCULATOR)
    assert page.evaluate("document.documentElement.dataset.machine") == wanted
    opened(page, served.url)
    assert choices.nth(1).is_checked()


def test_what_was_opened_last_stands_on_the_home_page(page: Page, served: Server):
    opened(page, served.url)
    assert page.locator("[data-recent]").is_hidden()
    opened(page, served.url + PROCEDURE)
    title = page.locator("h1").inner_text()
    opened(page, served.url)
    link = page.locator("[data-recent] a").first
    assert link.inner_text() == title
    link.click()
    assert page.url == served.url + PROCEDURE


DOCUMENTS = [
    {"url": "a/", "title": "Clear a blocked hose", "kind": "procedure", "text": "hose squeegee outlet litter"},
    {"url": "b/", "title": "Fault E-07", "kind": "fault", "text": "vacuum motor does not start"},
    {"url": "c/", "title": "Blade BC1010", "kind": "part", "text": "rear blade"},
    {"url": "d/", "title": "Blade BC1011", "kind": "part", "text": "front blade"},
    {"url": "e/", "title": "<img src=x onerror=alert(1)>", "kind": "<b>", "text": "markup"},
]


@pytest.mark.parametrize(("typed", "first"), [
    ("blocked hose", "a/"), ("hos", "a/"), ("blokced", "a/"), ("squegee", "a/"), ("Héose", "a/"),
    ("E-07", "b/"), ("E07", "b/"), ("e 07", "b/"), ("BC1011", "d/"), ("BC1010", "c/"), ("markup", "e/")])
def test_search_finds(page: Page, served: Server, typed: str, first: str):
    served.before = lambda handler: named(handler) == "find.json" and send(
        handler, 200, json.dumps({"documents": DOCUMENTS}).encode(), "application/json")
    opened(page, served.url)
    page.locator("[data-find] input[type=search]").first.fill(typed)
    link = page.locator("[data-found] a").first
    link.wait_for()
    assert link.evaluate("(link) => link.href") == served.url + first
    assert page.locator("[data-found] img, [data-found] b b").count() == 0, "titles are text"


def test_a_number_is_not_another_number(page: Page, served: Server):
    served.before = lambda handler: named(handler) == "find.json" and send(
        handler, 200, json.dumps({"documents": DOCUMENTS}).encode(), "application/json")
    opened(page, served.url)
    page.locator("[data-find] input[type=search]").first.fill("BC1012")
    expect(page.locator("[data-found-state]").first).to_contain_text("Nothing found for BC1012.")
    assert page.locator("[data-found] a").count() == 0


def test_what_is_searched_for_is_shown_as_text(page: Page, served: Server):
    opened(page, served.url)
    page.locator("[data-find] input[type=search]").first.fill("<img/src=x>zzzz")
    expect(page.locator("[data-found-state]").first).to_contain_text("<img/src=x>zzzz")
    assert page.locator("[data-found-state] img").count() == 0


def test_search_is_loaded_at_the_first_touch(page: Page, served: Server):
    opened(page, served.url)
    assert not [url for url in page.context.watch.requests if url.endswith(("find.json", "minisearch.js"))]
    page.locator("[data-find] input[type=search]").first.focus()
    page.wait_for_event("requestfinished", lambda request: request.url.endswith("find.json"))


def test_the_sites_own_documents_are_found(page: Page, served: Server, site):
    documents = json.loads((site / "find.json").read_text("utf-8"))["documents"]
    opened(page, served.url)
    wanted = next(one for one in documents if one["url"] == PROCEDURE)
    page.locator("[data-find] input[type=search]").first.fill(wanted["title"])
    link = page.locator("[data-found] a").first
    link.wait_for()
    assert link.evaluate("(link) => link.href") == served.url + PROCEDURE


def test_folds_are_open_on_paper_and_closed_again(page: Page, served: Server):
    opened(page, served.url + CALCULATOR)
    folds = page.locator("details")
    closed = page.locator("details:not([open])").count()
    assert closed
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert page.locator("details[open]").count() == folds.count()
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    assert page.locator("details:not([open])").count() == closed
