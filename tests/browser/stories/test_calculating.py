"""Stories of calculating: values typed by touch, units switched, limits, the picture, the touches that an answer takes."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.stories.hand import Hand, Thumb
from tests.browser.tables import TOUCHES
from tests.browser.tools import CALCULATOR, ready

MOST_TOUCHES = 3
"""From the home page to an answer."""

BOX = '[name="readings/1/vacuum"]'


def test_values(hand: Hand):
    """Values are typed, with a decimal comma too; units switch in place; limits are said; the picture follows; all survives"""
    page = hand.open(CALCULATOR)
    box, says = page.locator(BOX), page.locator(".answer .says").first
    picture = page.locator(".answer svg").first
    takes = page.locator(f"#{box.get_attribute('aria-describedby').split()[0]}")
    expect(takes).to_be_visible()
    assert re.search(r"Takes .*\d.* to .*\d", takes.inner_text()), "the limits, before they are broken"
    assert box.get_attribute("inputmode") == "decimal", "the number pad"
    example, drawn = says.inner_text(), picture.inner_html()
    ready(page)

    hand.tap(box)
    box.fill("18,4")
    page.locator("[data-outcome=answered] .answer:not([aria-busy])").wait_for()
    expect(says).not_to_have_text(example)
    comma, of_comma = says.inner_text(), picture.inner_html()
    assert of_comma != drawn, "the picture changes with the inputs"
    box.fill("18.3")
    expect(says).not_to_have_text(comma)
    assert picture.inner_html() != of_comma
    box.fill("18.4")
    expect(says).to_have_text(comma)
    assert picture.inner_html() == of_comma

    def unit(symbol: str) -> None:
        hand.tap(page.locator("label", has=page.locator(f'[name="unit:pressure"][value="{symbol}"]')))

    unit("inH2O")
    # 1 kPa = 1000 / 249.08891 inH2O (NIST SP 811, appendix B: conventional inch of water 249.08891 Pa)
    assert float(box.input_value()) == pytest.approx(18.4 * 1000 / 249.08891, rel=1e-5)
    unit("kPa")
    expect(box).to_have_value("18.4")

    box.fill("1,284")
    refused = page.locator(f"{BOX}[aria-invalid=true]")
    refused.wait_for()
    why = page.locator(", ".join(f"#{one}.why" for one in refused.get_attribute("aria-describedby").split()))
    expect(why).to_contain_text("may be read as 1284 or as 1.284; write one of these")
    box.fill("400")
    expect(why).to_contain_text("400 kPa was given. Takes a vacuum")
    unit("mbar")
    hand.again()
    expect(box).to_have_value("4000")
    expect(page.locator('[name="unit:pressure"][value="mbar"]')).to_be_checked()


def test_touches(hand: Hand):
    """Three touches or fewer lead from home to an answer to one's own values, for the four main calculators"""
    page, (width, height) = hand.page, hand.size
    for name in ("suction-drop", "edge-life", "wheel-adjust", "parts-cost"):
        hand.open()
        thumb = Thumb(page)
        thumb.tap("the question", page.locator(f'a[href$="calculators/{name}/"]').first)
        box = page.locator(f'[data-calculator="{name}"] input.box[inputmode=decimal]').first
        before = box.input_value()
        thumb.tap("the first box for a number", box)
        thumb.key("0" if "." in before else ".")  # a key that leaves the number within its limits
        assert box.input_value() != before
        page.locator("[data-outcome=answered]").wait_for()
        assert page.locator(".answer .says").first.inner_text().endswith(".")
        state = "server stopped" if hand.stopped else "online"
        TOUCHES.add(name, f"{width}x{height}", state, len(thumb.touches), ", ".join(thumb.touches))
        assert len(thumb.touches) <= MOST_TOUCHES
