"""The built site, served as published, and a real Chromium that reports every request and every complaint."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect, sync_playwright

from macros import building, chromium, setup_npm
from macros.serve import Server, serve_folder
from tests.browser import tables
from tests.browser.tools import Watch

CONTENT = building.ROOT / "content"

# What a page is to show may be late on a busy machine; that it comes is what is tested.
expect.set_options(timeout=60_000)


@pytest.fixture(scope="session")
def site() -> Path:
    """The site as `handbook.py build` makes it; built only when something changed."""
    setup_npm.ensure()
    if not building.is_current(CONTENT):
        assert building.build(CONTENT) == 0, "the demo's content has problems"
    return building.SITE


@pytest.fixture(scope="session")
def addresses(site: Path) -> list[str]:
    """Every page of the site, relative to home."""
    listed = json.loads((site / "edition.json").read_text("utf-8"))["files"]
    return [file["url"] for file in listed if file["url"].endswith("/")]


@pytest.fixture(scope="session")
def kinds(site: Path, addresses: list[str]) -> dict[str, str]:
    """The largest page of each kind, relative to home; a page without a list of its kind is a kind by itself."""
    found: dict[str, str] = {}
    for address in [*(one.removeprefix("./") for one in addresses), "404.html"]:
        kind = address.rstrip("/").split("/")[0].removesuffix(".html") or "home"
        if kind not in found or _bytes(site, address) > _bytes(site, found[kind]):
            found[kind] = address
    return found


def _bytes(site: Path, address: str) -> int:
    file = site / address
    return (file / "index.html" if file.is_dir() else file).stat().st_size


@pytest.fixture(scope="session")
def axe() -> str:
    """The script of axe-core, of the version that the tests' own lock names."""
    return (setup_npm.ensure(wanted=setup_npm.FOR_TESTS) / "axe-core" / "axe.min.js").read_text("utf-8")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """The tables that the tests filled."""
    tables.show(terminalreporter)


@pytest.fixture
def served(site: Path) -> Iterator[Server]:
    """The site on a port of its own."""
    server = serve_folder(site)
    yield server
    server.close()


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """Playwright, once."""
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(playwright: Playwright, chromium_path: str) -> Iterator[Browser]:
    """One Chromium for all tests that need no profile of their own."""
    started = playwright.chromium.launch(executable_path=chromium_path, args=list(chromium.FLAGS))
    yield started
    started.close()


@pytest.fixture
def context(browser: Browser, served: Server) -> Iterator[BrowserContext]:
    """A fresh window's worth of storage, watched; its `watch` is checked when the test is over.

    It stands on `served` so that the server outlives the window: what a page still loads when its test ends is answered.
    """
    fresh = browser.new_context(locale="en-GB")
    fresh.watch = Watch(fresh)
    yield fresh
    fresh.close()
    fresh.watch.check()


@pytest.fixture
def page(context: BrowserContext) -> Page:
    """A page in it."""
    return context.new_page()


@pytest.fixture
def profile(playwright: Playwright, chromium_path: str, tmp_path: Path) -> Callable[..., object]:
    """Starts Chromium on one profile that outlives it: `with profile() as context`. Watched like `context`.

    What is given goes to Chromium beside its usual flags.
    """

    @contextmanager
    def start(*flags: str) -> Iterator[BrowserContext]:
        context = playwright.chromium.launch_persistent_context(
            str(tmp_path / "profile"), executable_path=chromium_path, args=[*chromium.FLAGS, *flags], locale="en-GB")
        context.watch = Watch(context)
        try:
            yield context
        finally:
            context.close()
        context.watch.check()

    return start
