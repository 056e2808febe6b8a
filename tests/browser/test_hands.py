"""For a thumb in a glove: how large what is touched is, and how few touches lead to an answer."""

import pytest
from playwright.sync_api import Browser, Locator, Page

from macros.serve import Server
from tests.browser import measure
from tests.browser.tables import TOUCHES
from tests.browser.tools import PATIENCE, Watch


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


MOST_TOUCHES = 3

class Thumb:
    """Touches a page and counts: every tap, and every key of the pad that opens."""

    def __init__(self, page: Page) -> None:
        self.page, self.touches = page, []

    def tap(self, what: str, place: Locator) -> None:
        """Touch a place, near its right edge: in a box for a number that is behind what stands there."""
        size = place.evaluate("(one) => [one.clientWidth, one.clientHeight]")
        place.tap(position={"x": size[0] - 8, "y": size[1] / 2})
        self.touches.append(what)

    def key(self, key: str) -> None:
        """Touch a key."""
        self.page.keyboard.type(key)
        self.touches.append(f"key {key!r}")


@pytest.mark.parametrize("width, height", [(390, 844), (768, 1024), (1024, 768)])
@pytest.mark.parametrize("name", ["suction-drop", "edge-life", "wheel-adjust", "parts-cost"])
def test_three_touches_lead_from_home_to_an_answer_to_ones_own_values(
    browser: Browser, served: Server, name: str, width: int, height: int
):
    context = browser.new_context(has_touch=True, viewport={"width": width, "height": height})
    context.watch = Watch(context)
    page = context.new_page()
    page.goto(served.url)
    page.locator("html[data-alive]").wait_for()
    thumb = Thumb(page)
    thumb.tap("the question", page.locator(f'a[href$="calculators/{name}/"]').first)
    box = page.locator(f'[data-calculator="{name}"] input.box[inputmode=decimal]').first
    before = box.input_value()
    thumb.tap("the first box for a number", box)
    thumb.key("0" if "." in before else ".")  # a key that leaves the number within its limits
    assert box.input_value() != before
    page.locator("[data-outcome=answered]").wait_for(timeout=PATIENCE)
    assert page.locator(".answer .says").inner_text().endswith(".")
    TOUCHES.add(name, f"{width}x{height}", len(thumb.touches), ", ".join(thumb.touches))
    assert len(thumb.touches) <= MOST_TOUCHES
    context.close()
    context.watch.check()
