"""What Python goes through unasked waits while the next page opens, and goes on after it."""

from pathlib import Path

from playwright.sync_api import Page

from macros.serve import Server
from tests.browser.tools import CALCULATOR, named, ready, send

TURN = "    bridge(text);\n"
"""A turn of going through a request, as worker.js has it."""

REST = "const OPENING = 3000;"
"""How long it rests, as worker.js has it."""

#: Leaves the page, as far as its scripts can see, at the first turn; counts the turns.
LEAVE = """
window.turns = 0;
new BroadcastChannel("turns").onmessage = () => {
  turns += 1;
  if (turns === 1) dispatchEvent(new PageTransitionEvent("pagehide"));
};
"""


def left(page: Page, server: Server, site: Path, rest: int) -> None:
    """The calculator's page, which at the first turn is left; the turns rest for `rest` milliseconds."""
    worker = next(site.rglob("app/worker.js")).read_text("utf-8")
    assert worker.count(TURN) == worker.count(REST) == 1
    told = worker.replace(TURN, TURN + "new BroadcastChannel('turns').postMessage(1);\n").replace(REST, f"const OPENING = {rest};")
    server.before = lambda handler: named(handler) == "worker.js" and send(handler, 200, told.encode(), "text/javascript")
    page.add_init_script(LEAVE)
    page.goto(server.url + CALCULATOR)
    ready(page)
    page.wait_for_function("() => turns > 0")


def test_what_nobody_waits_for_rests_while_the_next_page_opens(page: Page, served: Server, site: Path):
    left(page, served, site, 600_000)
    page.wait_for_timeout(1000)
    assert page.evaluate("() => turns") <= 3, "one more may have been under way"


def test_it_goes_on_after_that(page: Page, served: Server, site: Path):
    left(page, served, site, 500)
    page.wait_for_function("() => turns > 10")
