"""Printed labels: each code is read from the page as a camera sees it; stories/ opens what they say."""

import io
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from macros import labels
from macros.console import ROOT
from macros.serve import Server
from tests.browser.tools import alive

CONTENT = ROOT / "content"


@pytest.fixture
def printed(tmp_path: Path, served: Server) -> Path:
    """The page of labels for the handbook where it is served."""
    out = tmp_path / "labels.html"
    assert labels.run(CONTENT, labels.address(served.url), out) == 0
    return out


def read(browser: Browser, page_of_labels: Path, scale: float = 1, under: str = "") -> list[tuple[str, str]]:
    """(what the code says, what stands under it) of every label with `under` in its text, read from a picture of it alone."""
    context = browser.new_context(device_scale_factor=scale)
    page = context.new_page()
    page.emulate_media(media="print")
    page.goto(page_of_labels.as_uri())
    found = []
    for one in page.locator("li", has_text=under).all():
        codes = zxingcpp.read_barcodes(Image.open(io.BytesIO(one.screenshot())).convert("L"))
        assert len(codes) == 1, one.inner_text()
        found.append((codes[0].text, one.locator(".address").inner_text()))
    context.close()
    return found


def test_every_code_says_what_stands_under_it(browser: Browser, printed: Path):
    found = read(browser, printed)
    assert len(found) > 2
    assert [code for code, _under in found] == [under for _code, under in found]


def test_a_code_half_soiled_is_still_read(browser: Browser, printed: Path):
    text = printed.read_text("utf-8")
    soiled = printed.with_name("soiled.html")
    soiled.write_text(text.replace("</style>", ".code { position: relative; } .code::after { content: ''; position: absolute;"
                                   " right: 3mm; bottom: 3mm; width: 9mm; height: 9mm; background: #FFF; }</style>"), "utf-8")
    found = read(browser, soiled, 2)
    assert [code for code, _under in found] == [under for _code, under in found]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_no_label_is_cut_on_paper(browser: Browser, printed: Path, paper: str):
    context = browser.new_context()
    page = context.new_page()
    page.goto(printed.as_uri())
    # What fits in the width of the narrower of what both papers leave between the margins is cut on neither.
    page.emulate_media(media="print")
    width, height = {"A4": (210, 297), "Letter": (215.9, 279.4)}[paper]
    page.set_viewport_size({"width": int((width - 24) / 25.4 * 96), "height": int((height - 24) / 25.4 * 96)})
    rows = page.evaluate("""() => [...document.querySelectorAll('li')].map((one) => [one.getBoundingClientRect().right,
      Math.max(...[...one.querySelectorAll('*')].map((inner) => inner.getBoundingClientRect().bottom)) - one.getBoundingClientRect().bottom])""")
    assert max(right for right, _below in rows) <= page.viewport_size["width"]
    assert max(below for _right, below in rows) <= 0, "text runs out of its label"
    assert page.pdf(format=paper).startswith(b"%PDF")
    context.close()


def scanned(page: Page, address: str, machine: str) -> None:
    """Open a machine's code: its page is there, the machine is chosen, on every other page too."""
    page.goto(address)
    alive(page)
    assert page.evaluate("document.documentElement.dataset.machine") == machine
    expect(page.locator("[data-chooses] p")).to_have_text("This machine is chosen: calculators begin with its figures.")
    expect(page.locator("[data-machine-name]")).to_have_text(page.locator("h1").inner_text())


def test_another_machine_chosen_later_stays_chosen(page: Page, served: Server, site: Path):
    ids = sorted(one.name for one in (site / "machines").iterdir() if one.is_dir())
    page.goto(f"{served.url}machines/{ids[0]}/{labels.CHOSEN}")
    alive(page)
    page.goto(f"{served.url}machines/{ids[1]}/")
    page.get_by_role("button", name="Choose this machine").click()
    page.go_back()
    alive(page)
    expect(page.locator("[data-chooses] p")).to_have_text("Another machine is chosen.")
    assert page.evaluate("document.documentElement.dataset.machine") == ids[1]
