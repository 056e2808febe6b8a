"""For the tests in WebKitGTK: one window for all of them."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from macros import webkit
from macros.serve import Server, serve_folder
from tests.browser.webkit import opening
from tests.browser.webkit.opening import Window


@pytest.fixture(scope="package")
def window(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Window]:
    """The window, on a screen of its own."""
    found = webkit.find()
    assert found, "no WebKitGTK was found: install webkit2gtk-driver and xvfb, or run with --no-webkit"
    with opening.screen(found) as screen, opening.window(found, screen, tmp_path_factory.mktemp("webkit")) as opened:
        yield opened


@pytest.fixture(scope="package")
def kept_serving(site: Path) -> Iterator[Server]:
    """The site on one port for all stories, so that Python's files come from the browser's cache after the first."""
    server = serve_folder(site)
    yield server
    server.close()


FORGET = """const store = await import(new URL("../record/store.js", document.querySelector("script").src));
for (const { id } of await store.all()) await store.remove(id);"""


@pytest.fixture
def no_visits(window: Window, kept_serving: Server) -> None:
    """The device keeps no visit, whichever story was told before in the same window."""
    window.open(kept_serving.url + "visits/")
    window.later(FORGET)
