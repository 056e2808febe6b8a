"""For a thumb in a glove: how large what is touched is, and how few touches lead to an answer."""

import pytest
from playwright.sync_api import Browser, Page

from macros.serve import Server
from tests.browser.tools import Watch

# Least size of what is touched, in CSS pixels: this project's own measure (WCAG 2.2, 2.5.5, asks for 44).
LEAST = 48

#: Everything that can be touched and is smaller than `least`: what it is, its words and its size. A box inside its label is
#: touched by the label too. A link in the middle of a sentence is as high as its line, as WCAG 2.5.5 allows.
SMALL = """(least) => {
  for (const fold of document.querySelectorAll('details')) fold.open = true;
  const inSentence = (one) => one.tagName === 'A' && getComputedStyle(one).display === 'inline'
    && [...one.parentNode.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && /\\w/.test(node.data));
  const found = [];
  for (const one of document.querySelectorAll('a[href], button, input, select, textarea, summary')) {
    if (one.closest('.skip') || !one.checkVisibility({ visibilityProperty: true }) || inSentence(one)) continue;
    const sizes = [one, one.closest('label')].filter(Boolean).map((each) => each.getBoundingClientRect());
    const [width, height] = [Math.max(...sizes.map((r) => r.width)), Math.max(...sizes.map((r) => r.height))];
    if (width < least - .5 || height < least - .5) {
      found.push(`${one.tagName} ${(one.textContent || one.name).trim().slice(0, 40)} ${width} x ${height}`);
    }
  }
  return found;
}"""


@pytest.mark.parametrize("width, height", [(390, 844), (768, 1024), (1024, 768)])
def test_whatever_is_touched_is_large_enough(
    browser: Browser, served: Server, addresses: list[str], width: int, height: int
):
    context = browser.new_context(viewport={"width": width, "height": height})
    context.watch = Watch(context)
    page = context.new_page()
    small = {}
    for address in addresses:
        page.goto(served.url + address.removeprefix("./"))
        if found := page.evaluate(SMALL, LEAST):
            small[address] = found
    context.close()
    context.watch.check()
    assert small == {}


def test_what_is_too_small_would_be_found(page: Page, served: Server):
    page.goto(served.url)
    page.evaluate("() => { document.querySelector('h1').innerHTML = '<a href=\"./\">small</a>'; }")
    assert [one.split()[1] for one in page.evaluate(SMALL, LEAST)] == ["small"]


@pytest.mark.parametrize("name", ["suction-drop", "edge-life", "wheel-adjust", "parts-cost"])
def test_two_touches_lead_from_home_to_an_answer_of_ones_own(page: Page, served: Server, name: str):
    page.goto(served.url)
    page.locator(f'a[href$="calculators/{name}/"]').first.click()
    box = page.locator(f'[data-calculator="{name}"] input.box').first
    box.click()
    page.keyboard.press("End")
    page.keyboard.type(" ")  # a touch of the keys makes what stands there the reader's own
    page.locator("[data-outcome=answered]").wait_for(timeout=60_000)
    assert page.locator(".answer .says").inner_text().endswith(".")
