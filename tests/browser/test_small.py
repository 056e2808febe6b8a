"""The smaller behaviours: ticks, the machine, what was opened last, print."""

import pytest
from playwright.sync_api import Page

from macros.serve import Server
from tests.browser.test_access import SIZES
from tests.browser.tools import CALCULATOR, alive, opened

PROCEDURE = "procedures/survey-suction/"


def test_ticks_survive_a_reload_and_are_cleared(page: Page, served: Server):
    opened(page, served.url + PROCEDURE)
    clear = page.locator("[data-clear-ticks]").first
    assert clear.is_hidden()
    page.locator(".tick[data-step]").nth(1).check()
    page.reload()
    alive(page)
    assert [tick.is_checked() for tick in page.locator(".tick[data-step]").all()[:2]] == [False, True]
    clear.click()
    page.reload()
    alive(page)
    assert not any(tick.is_checked() for tick in page.locator(".tick[data-step]").all())


def test_a_database_that_says_nothing_is_gone_on_without(page: Page, served: Server):
    page.add_init_script("IDBObjectStore.prototype.getAll = () => ({});")
    opened(page, served.url + PROCEDURE)
    page.locator(".tick[data-step]").nth(1).check()
    page.reload()
    alive(page)
    assert page.locator(".tick[data-step]").nth(1).is_checked()


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


def test_folds_are_open_on_paper_and_closed_again(page: Page, served: Server):
    opened(page, served.url + CALCULATOR)
    folds = page.locator("details")
    closed = page.locator("details:not([open])").count()
    assert closed
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert page.locator("details[open]").count() == folds.count()
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    assert page.locator("details:not([open])").count() == closed


#: Boxes for numbers whose text is wider than the room in them. Measured by itself: a box's own scroll width says nothing of it.
CUT = """() => {
  for (const fold of document.querySelectorAll('details')) fold.open = true;
  const pen = document.createElement('canvas').getContext('2d');
  return [...document.querySelectorAll('.ask input.box[inputmode=decimal]')].filter((box) => box.clientWidth).filter((box) => {
    const style = getComputedStyle(box);
    pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    return pen.measureText(box.value).width > box.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
  }).map((box) => `${box.name} ${box.value}`);
}"""


@pytest.mark.parametrize("size", SIZES)
def test_no_number_is_cut_by_its_box(page: Page, served: Server, addresses: list[str], size: str):
    page.set_viewport_size(dict(zip(("width", "height"), SIZES[size])))
    cut = {}
    for address in (one.removeprefix("./") for one in addresses):
        if address.startswith("calculators/"):
            opened(page, served.url + address)
            if found := page.evaluate(CUT):
                cut[address] = found
    assert cut == {}
    page.locator(".ask input.box[inputmode=decimal]:visible").first.fill("1234567890.5")
    assert len(page.evaluate(CUT)) == 1, "what is cut would be found"
