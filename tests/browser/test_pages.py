"""Every page in a real browser: no complaint, no foreign request, at any base path, on every width."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from macros.serve import Server, serve_folder
from tests.browser.tools import CALCULATOR, Watch, alive, ready


@pytest.fixture
def based(site) -> Iterator[Server]:
    """The site under a base path."""
    server = serve_folder(site, base="/handbook/")
    yield server
    server.close()


def test_no_page_makes_the_browser_complain(page: Page, based: Server, addresses: list[str]):
    violations = "addEventListener('securitypolicyviolation', (event) => console.error(`policy: ${event.violatedDirective}`))"
    page.add_init_script(violations)
    for address in addresses:
        page.goto(based.url + address.removeprefix("./"))
        alive(page)
        assert page.locator("h1").count() == 1, address
        assert page.locator("[style]").count() == 0, f"{address}: a style attribute, which the policy blocks"


def test_every_link_of_every_page_leads_somewhere(page: Page, based: Server, addresses: list[str], site):
    known = {based.url + address.removeprefix("./") for address in addresses}
    for address in addresses:
        page.goto(based.url + address.removeprefix("./"))
        for link in page.evaluate("[...document.querySelectorAll('a[href]')].map((link) => link.href.split(/[#?]/)[0])"):
            if not link.startswith(("mailto:", "tel:")):
                assert link in known or (site / link.removeprefix(based.url)).is_file(), f"{address} -> {link}"


def test_no_page_is_wider_than_a_phone(browser: Browser, based: Server, addresses: list[str]):
    context = browser.new_context(viewport={"width": 320, "height": 700})
    context.watch = Watch(context)
    page = context.new_page()
    for address in addresses:
        page.goto(based.url + address.removeprefix("./"))
        alive(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, address
    context.close()
    context.watch.check()


def test_a_calculator_answers_at_a_base_path(page: Page, based: Server):
    page.goto(based.url + CALCULATOR)
    ready(page)
    page.locator('[name="readings/1/vacuum"]').fill("17.2")
    page.locator("[data-outcome=answered]").wait_for()


def test_two_handbooks_at_one_address_keep_apart(page: Page, site, based: Server):
    page.goto(based.url + CALCULATOR)
    ready(page)
    page.locator('[name="readings/1/vacuum"]').fill("11")
    keys = page.evaluate("Object.keys(localStorage)")
    assert keys and all(key.startswith("handbook:/handbook/:") for key in keys)


def test_python_starts_only_where_there_is_a_calculator(page: Page, based: Server):
    page.goto(based.url)
    alive(page)
    assert not page.workers
    assert not [url for url in page.context.watch.requests if "/runtime/" in url]


def test_without_scripts_every_page_is_whole(browser: Browser, based: Server, addresses: list[str]):
    context = browser.new_context(java_script_enabled=False)
    context.watch = Watch(context)
    page = context.new_page()
    for address in addresses:
        page.goto(based.url + address.removeprefix("./"))
        assert page.locator("h1").is_visible(), address
        for answer in page.locator(".calc .answer .says").all():
            assert answer.inner_text().strip(), address
    context.close()
    context.watch.check()
