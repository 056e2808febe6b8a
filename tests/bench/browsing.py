"""A Chromium for the benchmarks: fresh visitors, what a page notes of itself, and the slow pace."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from macros import chromium
from macros.console import Stop
from tests.bench.slow import slowed

PATIENCE = 120_000
"""Milliseconds after which a page is given up: a slow start of the stock runtime takes a minute on a busy machine."""

#: Noted by every page from its first moment: tasks on the page's thread over 50 ms, shifts of the layout, when Python
#: was asked for and when it was ready, and when what is looked for (`bench.look(selector)`) had been painted. Who times
#: something that the first two would take from ends them (`bench.observers`). Whoever waits is told (`bench.until(found)`): a
#: look at every frame would make frames, which are tasks on the thread whose tasks are noted.
NOTES = """
window.bench = { tasks: [], shifts: [], python: {}, seen: {}, observers: [] };
bench.until = async (found) => {
  while (!found()) await new Promise((noted) => addEventListener("noted", noted, { once: true }));
};
bench.noted = () => setTimeout(() => dispatchEvent(new Event("noted"))); // in a task of its own
bench.observe = (kind, note) => {
  const observer = new PerformanceObserver((list) => list.getEntries().forEach(note));
  observer.observe({ type: kind, buffered: true });
  bench.observers.push(observer);
};
bench.observe("longtask", (one) => bench.tasks.push([one.startTime, one.duration]));
bench.observe("layout-shift", (one) => {
  if (!one.hadRecentInput) bench.shifts.push([one.startTime, one.value, one.sources.map(({ node }) =>
    node?.outerHTML?.slice(0, 120) ?? node?.textContent?.slice(0, 120))]);
});
new MutationObserver((changes) => changes.forEach(({ target: { dataset: { python } } }) => {
  if (python in bench.python) return;
  bench.python[python] = performance.now();
  bench.noted();
}))
  .observe(document, { subtree: true, attributes: true, attributeFilter: ["data-python"] });
bench.painted = (then) => requestAnimationFrame(() => {
  const channel = new MessageChannel();
  channel.port1.onmessage = () => then(performance.now());
  channel.port2.postMessage(0);
});
bench.look = (selector) => {
  const found = document.readyState !== "loading" && document.querySelector(selector);
  if (found) bench.painted((at) => { bench.seen[selector] = at; bench.noted(); });
  else requestAnimationFrame(() => bench.look(selector));
};
"""


@dataclass(frozen=True)
class Window:
    """A browser and its process."""

    browser: Browser
    process: int

    @contextmanager
    def visitor(self, look: str = "") -> Iterator[BrowserContext]:
        """Somebody whose device keeps nothing of before. `look`: the selector whose first sight every page notes."""
        context = self.browser.new_context(locale="en-GB", viewport={"width": 1024, "height": 768})
        context.set_default_timeout(PATIENCE)
        context.add_init_script(NOTES + (f"bench.look({look!r});" if look else ""))
        try:
            yield context
        finally:
            context.close()

    def pace(self, pace: str) -> object:
        """A context manager: the browser at its own pace, or slow."""
        return slowed(self.process if pace == "slow" else None)


@contextmanager
def started() -> Iterator[Window]:
    """A Chromium of its own. Raises: Stop when there is none."""
    program = chromium.get()
    if program is None:
        raise Stop("no Chromium was found: nothing is measured in a browser")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=[*chromium.FLAGS, "--enable-precise-memory-info"])
        listed = browser.new_browser_cdp_session().send("SystemInfo.getProcessInfo")["processInfo"]
        try:
            yield Window(browser, next(one["id"] for one in listed if one["type"] == "browser"))
        finally:
            browser.close()


def seen(page: Page, selector: str) -> float:
    """Seconds from the start of the page's opening until `selector` had been painted; waited for."""
    _until(page, f"bench.seen[{selector!r}]")
    return page.evaluate("(selector) => bench.seen[selector]", selector) / 1000


def python_ready(page: Page) -> None:
    """Wait until Python answers in the page."""
    _until(page, "bench.python.ready")


def _until(page: Page, noted: str) -> None:
    """Wait until the page has noted something. Raises: Stop when it has not after PATIENCE."""
    if not page.evaluate(f"""() => Promise.race([bench.until(() => {noted}).then(() => true),
        new Promise((end) => setTimeout(end, {PATIENCE}, false))])"""):
        raise Stop(f"after {PATIENCE // 1000} s the page had not noted {noted}")


Measure = Callable[[], dict[str, float]]
