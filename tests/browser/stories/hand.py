"""A hand at a tablet: a page that is touched, of one size, with the handbook's server or with what the device has saved."""

from dataclasses import dataclass

from playwright.sync_api import Locator, Page

from tests.browser.test_access import SIZES
from tests.browser.tools import alive, opened

STATES = ("online", "server stopped")
"""With the server; and with the edition saved on the device and the server gone."""

CASES = [(size, state) for state in STATES for size in SIZES.values()]
"""What every story is told in."""


@dataclass(frozen=True)
class Hand:
    """`page` is touched; `base` is the address of the handbook's home page; `size` is width and height of the window;
    `used` is how many bytes the device keeps already."""

    page: Page
    base: str
    size: tuple[int, int]
    stopped: bool
    used: int

    def open(self, path: str = "") -> Page:
        """A page of the handbook, relative to home, with its scripts in place."""
        return opened(self.page, self.base + path)

    def arrived(self, path: str) -> None:
        """Wait until a touch has led to a page, with its scripts in place."""
        self.page.wait_for_url(self.base + path)
        alive(self.page)

    def again(self) -> None:
        """The page loaded anew, as after an app was closed."""
        self.page.reload()
        alive(self.page)

    def tap(self, place: str | Locator) -> None:
        """One touch; the first of several places."""
        (self.page.locator(place) if isinstance(place, str) else place).first.tap()

    def forget(self) -> None:
        """As on another device: what was typed and written is gone; the saved edition stays."""
        self.page.goto("about:blank")
        devtools = self.page.context.new_cdp_session(self.page)
        devtools.send("Storage.clearDataForOrigin",
                      {"origin": self.base.rstrip("/"), "storageTypes": "local_storage,indexeddb"})
        devtools.detach()


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
