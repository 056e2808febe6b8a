"""Every story is told six times: at three sizes, online and with the server stopped."""

from collections.abc import Generator, Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext

from macros.serve import serve_folder
from tests.browser.stories.hand import CASES, STATES, Hand
from tests.browser.tables import STORIES
from tests.browser.tools import PATIENCE, Watch, save_edition


@pytest.fixture(scope="package")
def away(browser: Browser, site) -> Iterator[tuple[BrowserContext, str, int]]:
    """A browser that has the edition saved and whose server has stopped, the address where it was, and the bytes that it keeps."""
    server = serve_folder(site)
    context = browser.new_context(locale="en-GB", has_touch=True, accept_downloads=True)
    context.watch = Watch(context)
    page = context.new_page()
    save_edition(page, server)
    used = page.evaluate("navigator.storage.estimate().then(({ usage }) => usage)")
    page.close()
    context.watch.check()
    server.close()
    context.watch.allowed = ("Failed to load resource", "net::ERR", "Failed to fetch", "edition.json)", "sw.js)")
    yield context, server.url, used
    context.close()


@pytest.fixture(params=CASES, ids=lambda case: f"{case[0][0]}x{case[0][1]}, {case[1]}")
def hand(browser: Browser, request: pytest.FixtureRequest) -> Iterator[Hand]:
    """A hand at a device on which nothing was done before. Nothing may be sent from it."""
    (width, height), state = request.param
    stopped = state == STATES[1]
    if stopped:
        context, base, used = request.getfixturevalue("away")
        context.watch.complaints.clear()
        context.watch.requests.clear()
    else:
        base, used = request.getfixturevalue("served").url, 0
        context = browser.new_context(locale="en-GB", has_touch=True, accept_downloads=True)
        context.watch = Watch(context)
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    page.set_viewport_size({"width": width, "height": height})
    sent: list[str] = []
    page.on("request", lambda asked: sent.append(asked.url) if asked.method != "GET" else None)
    one = Hand(page, base, (width, height), stopped, used)
    if stopped:
        one.forget()
    yield one
    page.close() if stopped else context.close()
    context.watch.check()
    assert sent == [], "nothing is ever sent anywhere"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """A story that was told to its end stands in the table of stories."""
    report = yield
    if report.when == "call" and report.passed and "hand" in item.fixturenames:
        (width, height), state = item.callspec.params["hand"]
        STORIES.add(item.function.__doc__.splitlines()[0].rstrip("."), f"{width}x{height}", state)
    return report
