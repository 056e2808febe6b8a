"""The search as a hand uses it: typed letter by letter, answered by the worker, each hit with its kind and its place."""

import csv
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from macros import searching
from macros.serve import Server
from tests.browser import measure
from tests.browser.test_access import findings
from tests.browser.tools import Watch, named, opened, send

QUESTIONS = Path(__file__).parents[1] / "macros" / "questions.csv"


def box(page: Page):
    return page.get_by_role("searchbox")


def hits(page: Page):
    return page.locator("[data-found] a")


def test_a_hit_shows_its_place(page: Page, served: Server):
    opened(page, f"{served.url}find/")
    box(page).fill("push the blockage from the tank end")
    first = hits(page).first
    expect(first.locator("b")).to_have_text("Clear a blockage")
    expect(first.locator(".place")).to_have_text("Step 5: Push the blockage out")
    expect(first.locator(".excerpt")).to_contain_text("Push from the tank end")
    # A word of the glossary is found where it stands; a procedure opens at its top, where the safe state is.
    assert first.evaluate("(link) => link.href") == f"{served.url}procedures/clear-blockage/"
    box(page).fill("sagitta")
    expect(hits(page).first.locator(".named")).to_have_text("sagitta word")
    assert hits(page).first.evaluate("(link) => link.href") == f"{served.url}glossary/#sagitta"


@pytest.mark.parametrize(("scheme", "width", "height"), [("light", 1024, 768), ("dark", 390, 844)])
def test_hits_are_without_a_finding(browser: Browser, served: Server, axe: str, scheme: str, width: int, height: int):
    context = browser.new_context(color_scheme=scheme, viewport={"width": width, "height": height})
    context.watch = Watch(context)
    page = opened(context.new_page(), f"{served.url}find/?q=batery+acid+in+the+eyes")
    expect(hits(page).first.locator(".place")).to_contain_text("WARNING")
    assert findings(page, axe)[0] == []
    assert measure.small(page) == measure.faint(page) == []
    assert page.evaluate(measure.SIDEWAYS) <= 0
    context.close()
    context.watch.check()


def test_a_sample_of_the_questions_through_the_page(page: Page, served: Server):
    with QUESTIONS.open(encoding="utf-8", newline="") as file:
        sample = [row for number, row in enumerate(csv.DictReader(file)) if number % 24 == 0 and row["how"] != "word"]
    assert len(sample) >= 8
    opened(page, served.url)
    for row in sample:
        box(page).fill("")
        expect(hits(page)).to_have_count(0)
        box(page).press_sequentially(row["question"])
        page.wait_for_function("""(url) => [...document.querySelectorAll("[data-found] a")].slice(0, 3)
          .some((link) => link.href.startsWith(url))""", arg=served.url + row["page"])


def test_a_question_in_the_address_is_answered(page: Page, served: Server):
    opened(page, f"{served.url}find/?q=NQ+2090")
    expect(hits(page)).to_have_count(1)
    expect(hits(page).locator(".place")).to_have_text("NQ-2090")


@pytest.mark.parametrize("without", ["delete window.Worker", "window.Worker = class { constructor() { throw new Error('no'); } }"])
def test_without_a_worker_the_page_searches_by_itself(page: Page, served: Server, without: str):
    page.add_init_script(without)
    opened(page, served.url)
    box(page).fill("vaccum silent")
    expect(hits(page).first).to_contain_text("Nothing lifted, vacuum silent")


def test_what_is_found_and_asked_is_text_and_never_markup(page: Page, served: Server, tmp_path: Path, site: Path):
    page_ = {"url": "x/", "title": "<img src=x onerror=alert(1)>", "kind": "<b>", "weight": 1, "codes": (), "told": (),
             "places": [("<i>", "<u>head</u>", "markup <script>alert(1)</script>", "")]}
    searching.put(tmp_path, [page_], [], "en")
    made = {path.name: path.read_bytes() for path in (tmp_path / "search").rglob("*.json")}
    served.before = lambda handler: "/search/" in handler.path and named(handler) in made and send(
        handler, 200, made[named(handler)], "application/json")
    opened(page, served.url)
    box(page).fill("markup")
    expect(hits(page).first).to_have_text("<img src=x onerror=alert(1)> <b> <i>: <u>head</u> markup <script>alert(1)</script>")
    assert hits(page).locator("img, i, u, script").count() == 0
    box(page).fill("<u>qqqq</u>")
    expect(page.locator("[data-found-state]")).to_have_text(
        "Nothing found for <u>qqqq</u>. Try one word of it, or say it another way.")
    assert page.locator("[data-found-state] u").count() == 0


@pytest.mark.parametrize("body", [b"", b"{}", b"<title>Sign in</title>"])
def test_an_index_that_is_none_is_said(page: Page, served: Server, body: bytes):
    page.context.watch.allowed = ("Failed to load resource",)
    served.before = lambda handler: named(handler) == "index.json" and send(handler, 200 if body else 404, body, "application/json")
    opened(page, served.url)
    box(page).fill("hose")
    expect(page.locator("[data-found-state]")).to_have_text("The search could not be loaded. Its files come with the saved handbook.")
    served.before = None
    box(page).fill("hoses")
    expect(hits(page).first).to_be_visible()
