"""Accessibility of every page kind in both colour schemes and three sizes: axe-core, and what it does not measure."""

import json
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import product
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Playwright

from macros import building, chromium
from macros.serve import Server, serve_folder
from tests.browser import measure
from tests.browser.tables import ACCESS
from tests.browser.tools import PATIENCE, Watch, alive
from tests.macros.pages.conftest import SMALL
from tests.macros.pages.test_contrast import contrast, schemes

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]

SIZES = {"tablet, landscape": (1024, 768), "tablet, portrait": (768, 1024), "phone": (390, 844)}

Opened = Callable[[str], Page]


@contextmanager
def opening(browser: Browser, served: Server, **settings) -> Iterator[Opened]:
    """Opens addresses in a window of its own, with everything folded open; watched like every window."""
    size = settings["viewport"]
    context = browser.new_context(locale="en-GB", **settings)
    context.watch = Watch(context)
    context.watch.allowed = ("404",)  # the page for a missing address is a page kind
    page = context.new_page()
    page.set_default_timeout(PATIENCE)

    def open_(address: str) -> Page:
        page.set_viewport_size(size)
        page.goto(served.url + address)
        alive(page)
        page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
        return page

    yield open_
    context.close()
    context.watch.check()


COLOURS = ("color-contrast", "color-contrast-enhanced")
"""The rules that take longest; they hang on the style sheets, which all pages of a kind share."""


def findings(page: Page, axe: str, colours: bool = True) -> tuple[list[str], int]:
    """What axe-core finds on the page as it stands, with or without the `COLOURS`, and how many of its rules passed.

    The window is first made as high as the page: the thumb bar at its foot lies over whatever stands there, and
    what is half under it can be scrolled free. So every target is seen as it is when it is scrolled to.
    """
    page.set_viewport_size({"width": page.viewport_size["width"],
                            "height": max(page.viewport_size["height"], page.evaluate("document.documentElement.scrollHeight"))})
    page.evaluate(axe)
    # The enhanced rule is no part of AA: it measures the 7:1 of body text a second time.
    result = page.evaluate("""async ([tags, rules]) => await axe.run(document, {
      runOnly: { type: "tag", values: tags }, rules, resultTypes: ["violations", "passes"] })""",
                           [TAGS, {rule: {"enabled": colours} for rule in COLOURS}])
    found = [f"{one['id']}: {node['html'][:160]} {node['failureSummary'][:240]}" for one in result["violations"]
             for node in one["nodes"]]
    return found, len(result["passes"])


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_page_kind_has_a_finding(
    browser: Browser, served: Server, kinds: dict[str, str], axe: str, scheme: str, size: str
):
    width, height = SIZES[size]
    bad = {}
    with opening(browser, served, color_scheme=scheme, viewport={"width": width, "height": height}) as opened:
        for kind, address in kinds.items():
            page = opened(address)
            found, passed = findings(page, axe)
            assert passed > 5, f"{address}: axe-core looked at nothing"
            bad[address] = [*found, *measure.small(page), *measure.faint(page)]
            least = min(ratio for _words, ratio, large in page.evaluate(measure.CONTRASTS) if not large)
            ACCESS.add(kind, scheme, f"{width}x{height}", passed, len(bad[address]),
                       f"{min(size for _words, size in page.evaluate(measure.TARGETS)):.0f}", f"{least:.2f}")
    assert {address: found for address, found in bad.items() if found} == {}


MOVED = {"parts/old-hose/": "This page has moved", "parts/older-hose/": "This page was taken out"}


@pytest.fixture
def with_moved(tmp_path: Path) -> Iterator[Server]:
    """A small handbook that had two pages which it has no more: a page kind that the demo is without."""
    content = tmp_path / "own"
    shutil.copytree(SMALL, content)
    file = content / "handbook.yml"
    old, older = (address.rstrip("/") for address in MOVED)
    file.write_text(f"{file.read_text('utf-8')}moved: [{{page: {old}, to: procedures/survey}}, {{page: {older}}}]\n", "utf-8")
    building.with_mkdocs(content, tmp_path / "site")
    server = serve_folder(tmp_path / "site")
    yield server
    server.close()


def test_a_page_that_moved_has_no_finding(browser: Browser, with_moved: Server, axe: str):
    bad = {}
    for scheme, (size, (width, height)) in product(("light", "dark"), SIZES.items()):
        with opening(browser, with_moved, color_scheme=scheme, viewport={"width": width, "height": height}) as opened:
            for address, title in MOVED.items():
                page = opened(address)
                assert page.locator("h1").inner_text() == title
                if trouble := [*troubles(page, axe), *measure.faint(page)]:
                    bad[f"{address}, {scheme}, {size}"] = trouble
    assert bad == {}


def test_every_page_is_without_a_finding(browser: Browser, served: Server, addresses: list[str], axe: str):
    bad = {}
    with opening(browser, served, viewport={"width": 1024, "height": 768}) as opened:
        for address in addresses:
            found, _passed = findings(opened(address.removeprefix("./")), axe, colours=False)
            if found:
                bad[address] = found
    assert bad == {}


BROKEN = {
    "label": "document.querySelector('h1').insertAdjacentHTML('afterend', '<input>')",
    "color-contrast": "document.querySelector('h1').outerHTML = '<h1 class=\"faint\">Pale</h1>';"
                      "document.querySelector('.faint').style.color = '#bbb'",
    "color-contrast-enhanced": "document.querySelector('h1').insertAdjacentHTML('afterend', '<p class=\"faint\">Grey words</p>');"
                               "document.querySelector('.faint').style.color = '#666'",
    "svg-img-alt": "document.querySelector('h1').insertAdjacentHTML('afterend', '<svg role=\"img\" width=\"9\"></svg>')",
}


@pytest.mark.parametrize("rule", BROKEN)
def test_what_is_wrong_would_be_found(page: Page, served: Server, axe: str, rule: str):
    page.goto(served.url)
    page.evaluate(BROKEN[rule])
    assert rule in {one.split(":")[0] for one in findings(page, axe)[0]}


def test_faint_text_would_be_found_by_our_own_measure(page: Page, served: Server):
    page.goto(served.url)
    assert measure.faint(page) == []
    page.evaluate(BROKEN["color-contrast-enhanced"])
    # Two measures made apart: the script's in the page, and the one that the colours of the sheet are held against.
    assert measure.faint(page) == [f"Grey words {contrast('#666666', schemes()[0]['paper']):.2f}"]


# ---- settings of the reader and of the system ----

MODES = {
    "400 % zoom": {"viewport": {"width": 320, "height": 256}},
    "reduced motion": {"reduced_motion": "reduce", "viewport": {"width": 768, "height": 1024}},
    "forced colours": {"forced_colors": "active", "viewport": {"width": 1024, "height": 768}},
}


@pytest.mark.parametrize("mode", MODES)
def test_a_mode_of_the_system_leaves_every_page_kind_whole(
    browser: Browser, served: Server, kinds: dict[str, str], axe: str, mode: str
):
    with opening(browser, served, **MODES[mode]) as opened:
        bad = {address: trouble for address in kinds.values() if (trouble := troubles(opened(address), axe))}
    assert bad == {}


@pytest.mark.parametrize(("settings", "size"), [
    ({"text": "large"}, "phone"), ({"hand": "left"}, "tablet, landscape"),
    ({"text": "large", "hand": "left", "scheme": "dark"}, "tablet, portrait")], ids=str)
def test_a_setting_of_the_reader_leaves_every_page_kind_whole(
    browser: Browser, served: Server, kinds: dict[str, str], axe: str, settings: dict[str, str], size: str
):
    width, height = SIZES[size]
    with opening(browser, served, viewport={"width": width, "height": height}) as opened:
        page = opened("saved/")
        for name, value in settings.items():
            page.locator(f'[data-settings] [name={name}][value={value}]').check()
        bad = {address: trouble for address in kinds.values() if (trouble := troubles(opened(address), axe))}
        assert page.evaluate("({ ...document.documentElement.dataset })").items() >= settings.items()
    assert bad == {}


@pytest.mark.parametrize("size", ["phone", "tablet, landscape"])
def test_the_browsers_own_letters_at_twice_the_size(
    playwright: Playwright, whole_chromium_path: str, served: Server, kinds: dict[str, str], axe: str, size: str, tmp_path: Path
):
    width, height = SIZES[size]
    with large_letters(playwright, whole_chromium_path, tmp_path, width, height) as page:
        bad = {}
        for address in kinds.values():
            page.set_viewport_size({"width": width, "height": height})
            page.goto(served.url + address)
            alive(page)
            assert page.evaluate("parseFloat(getComputedStyle(document.documentElement).fontSize)") == 2 * USUAL
            if trouble := troubles(page, axe):
                bad[address] = trouble
    assert bad == {}


USUAL = 16
"""Size of a browser's letters in CSS pixels, unless its user has set another."""


@contextmanager
def large_letters(
    playwright: Playwright, chromium_path: str, profile: Path, width: int, height: int
) -> Iterator[Page]:
    """A window of a browser whose user has set its letters to twice the usual size."""
    (profile / "Default").mkdir()
    (profile / "Default" / "Preferences").write_text(
        json.dumps({"webkit": {"webprefs": {"default_font_size": 2 * USUAL}}}), "utf-8")
    context = playwright.chromium.launch_persistent_context(
        str(profile), executable_path=chromium_path, args=list(chromium.FLAGS), viewport={"width": width, "height": height})
    context.watch = Watch(context)
    context.watch.allowed = ("404",)
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    yield page
    context.close()
    context.watch.check()


def troubles(page: Page, axe: str) -> list[str]:
    """Findings, sideways scroll, text cut off, and targets too small."""
    found, _passed = findings(page, axe)
    aside = page.evaluate(measure.SIDEWAYS)
    return [*found, *([f"scrolls sideways by {aside} px"] if aside > 0 else []), *measure.small(page)]
