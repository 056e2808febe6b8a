"""Stories of finding: by what is seen on the floor, by words, by a code on the machine, by the path of checks."""

import re
from pathlib import Path

from playwright.sync_api import Browser, expect

from macros import labels
from tests.browser import measure
from tests.browser.conftest import CONTENT
from tests.browser.stories.hand import Hand
from tests.browser.test_labels import read, scanned
from tests.browser.test_path import HANDBOOK, answer, check_of, look_again, touch


def test_home(hand: Hand):
    """From the home page: what is seen, what is to be done, the machine, what was opened last"""
    page = hand.open()
    expect(page.locator("h1")).to_have_text("What do you see on the floor?")
    expect(page.locator(".plate li:has(svg[role=img])")).to_have_count(len(HANDBOOK.symptoms))
    order = [page.locator(one).first.bounding_box()["y"] for one in (".plate", "#do", "#machine")]
    assert order[0] < order[1] <= order[2]
    expect(page.locator("[data-recent]")).to_be_hidden()

    hand.tap('a[href$="seen/ends/"]')
    hand.arrived("seen/ends/")
    seen = page.locator("h1").inner_text()
    hand.open()
    to_do = page.locator('#do-set a[href$="procedures/set-wheels/"]')
    expect(to_do).to_be_hidden()
    hand.tap("summary:has(+ #do-set)")
    hand.tap(to_do)
    hand.arrived("procedures/set-wheels/")
    done = page.locator("h1").inner_text()
    hand.open()
    hand.tap(page.locator("[data-machines] label").nth(1))
    hand.again()
    expect(page.locator("[data-machines] [name=machine]").nth(1)).to_be_checked()
    recent = page.locator("[data-recent] a")
    expect(recent).to_have_text([done, seen])
    assert page.locator("#machine").bounding_box()["y"] < page.locator("#recent").bounding_box()["y"] < page.locator("#guides").bounding_box()["y"]
    hand.tap(recent.nth(1))
    hand.arrived("seen/ends/")


def test_search(hand: Hand):
    """A symptom typed in a user's words leads to its page"""
    page, watch = hand.open(), hand.page.context.watch
    assert not [url for url in watch.requests if "/search/index.json" in url], "loaded at the first touch"
    hand.tap(page.get_by_role("searchbox"))
    page.keyboard.type("leaves wat")
    first = page.locator("[data-found] a").first
    expect(first).to_be_visible()  # answers before it is typed to its end
    page.keyboard.type("er down the midle")
    expect(first.locator("b")).to_have_text("One wet line along the middle")
    expect(first.locator(".named > span")).to_have_text("seen on the floor")
    expect(first.locator("mark")).to_have_text(["middle", "middle"])
    expect(page.locator("[data-found-state]")).to_have_text(re.compile(r"^Pages found: \d\.$"))
    expect(first).to_be_in_viewport(ratio=1)
    [worker] = page.workers
    assert worker.url.startswith(f"{hand.base}scripts/") and worker.url.endswith("/search/worker.js")
    assert measure.small(page) == []
    hand.tap(first)
    hand.arrived("seen/middle/")
    # A part's number, and the place of a hit within its page.
    page = hand.open("find/")
    hand.tap(page.get_by_role("searchbox"))
    page.keyboard.type("nq 2090")
    expect(page.locator("[data-found] a")).to_have_count(1)
    expect(first.locator(".place")).to_have_text("NQ-2090")


def test_label(hand: Hand, browser: Browser, tmp_path: Path):
    """A label scanned opens the machine's page with the machine chosen"""
    printed = tmp_path / "labels.html"
    assert labels.run(CONTENT, labels.address(hand.base), printed) == 0
    codes = [code for code, _under in read(browser, printed, under=labels.CHOSEN)]
    assert len(codes) == len(HANDBOOK.machines) > 1
    for code in [*reversed(codes), codes[0]]:
        scanned(hand.page, code, code.split("/")[-2])
    page = hand.open("calculators/suction-drop/")
    first = page.locator("[data-machine-name]").inner_text()
    scanned(page, codes[1], codes[1].split("/")[-2])
    hand.open("calculators/suction-drop/")
    expect(page.locator("[data-machine-name]")).not_to_have_text(first)


def test_path(hand: Hand):
    """The path of checks leads to the cause and its remedy, and is gone on with after a reload"""
    page, symptom = hand.open("seen/thin-sound/"), HANDBOOK.symptoms["thin-sound"]
    page.locator(".path-next [data-cannot]").wait_for()
    asked = [check_of(page, symptom)]
    answer(page, symptom, asked[0], "hose-flat")
    says = page.locator(".path-next .says").inner_text()
    hand.again()
    page.locator(".path-found .lines > li").first.wait_for()
    expect(page.locator(".path-next .says")).to_have_text(says)
    while (check := check_of(page, symptom)) is not None:
        assert check not in asked
        asked.append(check)
        answer(page, symptom, check, "hose-flat")
    look_again(page)
    assert page.locator(".path-next [data-mended]").get_attribute("data-mended") == "hose-flat"
    expect(page.locator(".causes > li").first).to_contain_text(symptom.causes["hose-flat"].title, ignore_case=True)
    before = page.locator(".causes svg").first.inner_html()
    touch(page, "[data-again]")
    assert check_of(page, symptom) == asked[0]
    assert page.locator(".causes svg").first.inner_html() != before, "the causes' bars follow what was found"
    answer(page, symptom, asked[0], "hose-flat")
    while (check := check_of(page, symptom)) is not None:
        answer(page, symptom, check, "hose-flat")
    hand.tap(".path-next .remedy")
    hand.arrived(f"procedures/{symptom.causes['hose-flat'].mends}/")
