"""Saving a whole edition, and an update in which one procedure changed: time and bytes."""

import json
import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Page

from macros import building, offline
from macros.console import CACHE
from tests.bench import browsing, sites
from tests.bench.browsing import Window
from tests.bench.line import Goal, Line, column, in_turns
from tests.bench.serving import PACKED, Counted, packed
from tests.browser.tools import SAVED

NAME, SAYS = "offline", "saving a whole edition, and an update in which one procedure changed"

#: The peer of saving: every file of the list fetched and put into a cache, one after the other, nothing checked.
ONE_BY_ONE = """async () => {
  const home = new URL("../", location.href);
  const { files } = await (await fetch(new URL("edition.json", home))).json();
  const cache = await caches.open("peer");
  const begun = performance.now();
  for (const { url } of files) await cache.put(new URL(url, home), await fetch(new URL(url, home)));
  return performance.now() - begun;
}"""

PRESSED = "() => { bench.pressed = performance.now(); }"

MARKS = re.compile(rb' data-edition="[^"]*"|<span data-saved-line>[^<]*<')
"""What every page says of its edition: no change of the page."""


def measure(content: Path, turns: int) -> list[Line]:
    """The lines of this benchmark."""
    site = sites.own(content)
    changed, files = next_edition(content, site)
    sizes = [float(sum(_size(site / _name(url)) for url in _urls(site)))]
    lines = []
    with browsing.started() as window:
        for pace in ("plain", "slow"):
            found = in_turns({"ours": lambda pace=pace: saved(window, site, changed, pace),
                              "peer": lambda pace=pace: one_by_one(window, site, pace)}, turns)
            ours, peer = found["ours"], found["peer"]
            lines.append(Line(NAME, "a whole edition saved, each file checked", "s", column(ours, "save"), pace,
                              "fetched and kept one by one, unchecked", column(peer, "save")))
            if pace == "plain":
                lines.append(Line(NAME, "bytes of a whole edition", "bytes", column(ours, "bytes"), pace, "its files", sizes, Goal(1.05)))
                lines.append(Line(NAME, "bytes of an update in which one procedure changed", "bytes", column(ours, "update bytes"), pace,
                                  "the changed files", [float(sum(_size(changed / _name(url)) for url in files))], Goal(2),
                                  f"{len(files)} of {len(_urls(changed))} files; what every page says of its edition is no change"))
            lines.append(Line(NAME, "the update fetched", "s", column(ours, "update"), pace, "the whole edition", column(ours, "save")))
    return lines


def next_edition(content: Path, site: Path) -> tuple[Path, list[str]]:
    """The site of the edition after, in which one procedure reads otherwise; and its files that say something else than in `site`."""
    folder = CACHE / "bench" / "next-content"
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(content, folder)
    book = folder / "handbook.yml"
    number = json.loads((site / offline.LIST).read_text("utf-8"))["edition"]
    book.write_text(book.read_text("utf-8").replace(f"\nedition: {number}\n", f"\nedition: {number + 1}\n", 1), "utf-8")
    procedure = sorted((folder / "procedures").glob("*.yml"))[-1]
    text = procedure.read_text("utf-8")
    title = next(line for line in text.splitlines() if line.startswith("title:"))
    procedure.write_text(text.replace(title, f"{title} again", 1), "utf-8")
    built = CACHE / "bench" / "next-site"
    shutil.rmtree(built, ignore_errors=True)
    building.with_mkdocs(folder, built)
    return built, [url for url in _urls(built) if _said(built, url) != _said(site, url)]


def _urls(site: Path) -> list[str]:
    return [file["url"] for file in json.loads((site / offline.LIST).read_text("utf-8"))["files"]]


def _said(site: Path, url: str) -> bytes | None:
    """What a file says, its edition set aside; None where there is none."""
    file = site / _name(url)
    return MARKS.sub(b"", file.read_bytes()) if file.is_file() else None


def _name(url: str) -> str:
    return (url.removeprefix("./") + "index.html") if url.endswith("/") else url


def _size(file: Path) -> int:
    return len(packed(file)) if file.suffix in PACKED else file.stat().st_size


@contextmanager
def device(window: Window, server: Counted) -> Iterator[Page]:
    """The page from which the handbook is saved, on a device that keeps nothing yet; all that opening asks for is over."""
    with window.visitor() as context:
        page = context.new_page()
        page.goto(server.url + "saved/")
        page.locator("html[data-alive]").wait_for()
        server.rest()
        server.sent.clear()
        yield page
    server.close()


def saved(window: Window, site: Path, changed: Path, pace: str) -> dict[str, float]:
    """The whole edition saved on a fresh device by the button, then the next one by the page that sees it is there."""
    server = Counted(site)
    with device(window, server) as page:
        with window.pace(pace):
            told = {"save": _pressed(page, "Save on this device", lambda: page.get_by_text(SAVED).wait_for())}
        told["bytes"] = _bytes(server)
        server.folder = changed.resolve()
        page.reload()
        page.get_by_role("button", name="Fetch").wait_for()
        server.rest()
        server.sent.clear()
        with window.pace(pace):
            told["update"] = _pressed(page, "Fetch", lambda: page.get_by_text("is here whole").wait_for())
        told["update bytes"] = _bytes(server)
    return told


def _pressed(page: Page, name: str, done: Callable[[], object]) -> float:
    page.evaluate(PRESSED)
    page.get_by_role("button", name=name).first.click()
    done()
    return page.evaluate("() => performance.now() - bench.pressed") / 1000


def _bytes(server: Counted) -> float:
    return float(sum(size for path, size in server.sent if not path.endswith((offline.LIST, "sw.js"))))


def one_by_one(window: Window, site: Path, pace: str) -> dict[str, float]:
    """The peer's way, on a fresh device."""
    with device(window, Counted(site)) as page, window.pace(pace):
        took = page.evaluate(ONE_BY_ONE)
    return {"save": took / 1000}
