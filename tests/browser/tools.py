"""What browser tests share: a server that misbehaves, a watch over the browser, and a reader's touches."""

import os
import re
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import BrowserContext, ConsoleMessage, Page
from playwright.sync_api import TimeoutError as PlaywrightTimeout

from macros.console import ROOT
from macros.serve import Handler, Server

CALCULATOR = "calculators/suction-drop/"
SAVED = "files checked"

EDITION = int(re.search(r"^edition: (\d+)$", (ROOT / "content" / "handbook.yml").read_text("utf-8"), re.MULTILINE)[1])
"""The edition that the demo's content is."""

PATIENCE = 120_000
"""Milliseconds after which what takes long (Python, a whole edition) is given up, on the slowest machine."""


def drop(handler: Handler) -> bool:
    """For `Server.before`: the connection ends without an answer, as it does without a network."""
    raise ConnectionAbortedError


def send(handler: Handler, status: int, body: bytes, type: str, length: int | None = None, **headers: str) -> bool:
    """Answer a request in the server's place. `length` is the length said, when it is not the body's own."""
    handler.send_response(status)
    for name, value in {"Content-Type": type, **{n.replace("_", "-"): v for n, v in headers.items()}}.items():
        handler.send_header(name, value)
    handler.send_header("Content-Length", str(len(body) if length is None else length))
    handler.end_headers()
    handler.wfile.write(body)
    if length is not None:
        handler.close_connection = True
    return True


def kill(profile: Path) -> int:
    """End the browser on the profile `profile` as a flat battery does: every process of it, at once and unasked.

    Returns how many there were.
    """
    ended = 0
    for process in Path("/proc").glob("[0-9]*"):
        try:
            if f"--user-data-dir={profile}".encode() in (process / "cmdline").read_bytes().split(b"\0"):
                os.kill(int(process.name), signal.SIGKILL)
                ended += 1
        except OSError:
            continue  # it has ended by itself
    return ended


def named(handler: Handler) -> str:
    """The last part of the address asked for."""
    return urlsplit(handler.path).path.rsplit("/", 1)[-1]


class Watch:
    """What a browser asked for and complained of. `allowed`: parts of complaints that a test brings about. `host`: the only one
    that may be asked."""

    def __init__(self, context: BrowserContext) -> None:
        self.requests: list[str] = []
        self.complaints: list[str] = []
        self.allowed: tuple[str, ...] = ()
        self.host = "127.0.0.1"
        context.on("request", lambda request: self.requests.append(request.url))
        context.on("console", self._heard)
        context.on("weberror", lambda error: self.complaints.append(str(error.error)))

    def _heard(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.complaints.append(f"{message.text} ({message.location['url']})")

    def check(self) -> None:
        """Nothing went to another host, nothing was complained of but what was allowed."""
        foreign = [url for url in self.requests
                   if urlsplit(url).scheme in ("http", "https", "ws", "wss") and urlsplit(url).hostname != self.host]
        assert not foreign, f"requests to other hosts: {foreign}"
        unexpected = [text for text in self.complaints if not any(part in text for part in self.allowed)]
        assert not unexpected, f"the browser complained: {unexpected}"


def alive(page: Page) -> None:
    """Wait until a page's scripts have brought it to life; else it is told what the browser said meanwhile."""
    try:
        page.locator("html[data-alive]").wait_for()
    except PlaywrightTimeout as late:
        said = page.context.watch.complaints if hasattr(page.context, "watch") else "nothing that was listened to"
        raise AssertionError(f"{page.url} did not come to life; the browser said: {said}") from late


def opened(page: Page, url: str) -> Page:
    """The page at an address, once its scripts have brought it to life."""
    page.goto(url)
    alive(page)
    return page


def ready(page: Page, calculator: str = "[data-calculator]") -> None:
    """Wait until Python runs in the page."""
    page.locator(f"{calculator}[data-python=ready]").first.wait_for(timeout=PATIENCE)


def state(page: Page) -> str:
    """What the first calculator of the page says about itself."""
    return page.locator(".calc-state").first.inner_text()


def save_edition(page: Page, server: Server) -> None:
    """Save the edition as a reader does."""
    page.goto(server.url + "saved/")
    page.get_by_role("button", name="Save on this device").click()
    page.get_by_text(SAVED).wait_for(timeout=PATIENCE)


@contextmanager
def quota(page: Page, url: str, room: int) -> Iterator[None]:
    """The origin of `url` may keep `room` bytes in all on the device, as on one that is nearly full.

    To be asked for before the page is opened: the browser asks only now and then how much room there is.
    """
    devtools = page.context.new_cdp_session(page)
    origin = "{0.scheme}://{0.netloc}".format(urlsplit(url))
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": origin, "quotaSize": room})
    try:
        yield
    finally:
        devtools.send("Storage.overrideQuotaForOrigin", {"origin": origin})
