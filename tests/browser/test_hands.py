"""For a thumb in a glove: how large what is touched is."""

from playwright.sync_api import Browser, Page

from macros.serve import Server
from tests.browser import measure
from tests.browser.tools import Watch


def test_whatever_is_touched_is_large_enough(browser: Browser, served: Server, addresses: list[str]):
    # Every page at the narrowest; test_access.py has every kind of page at every size.
    context = browser.new_context(viewport={"width": 390, "height": 844})
    context.watch = Watch(context)
    page = context.new_page()
    small = {}
    for address in addresses:
        page.goto(served.url + address.removeprefix("./"))
        if found := measure.small(page):
            small[address] = found
    context.close()
    context.watch.check()
    assert small == {}


def test_what_is_too_small_would_be_found(page: Page, served: Server):
    page.goto(served.url)
    page.evaluate("() => { document.querySelector('h1').innerHTML = '<a href=\"./\">small</a>'; }")
    assert [one.split()[1] for one in measure.small(page)] == ["small"]
