"""The search: from asked for to the first answer painted, beside the theme's own and Pagefind, on the same documents."""

from collections.abc import Callable
from pathlib import Path

from tests.bench import browsing
from tests.bench.browsing import Window
from tests.bench.line import Goal, Line, column, in_turns
from tests.bench.searched import Searched
from tests.bench.serving import PACKED, Counted, packed
from tests.browser.tools import save_edition

NAME, SAYS = "search", "from asked for to the first answer; bytes; the page's thread; online and saved"

SIZES = (1000, 10_000)
"""Procedures in the handbooks that are searched."""

QUESTION = "suction lost in the hose"

OURS, THEME, PAGEFIND = "[data-found] a", ".md-search-result__item a", "#found a"

#: The theme starts its search as the page is opened: counted from its worker's start.
WORKER = """{ const { Worker } = window; window.Worker = class extends Worker {
  constructor(...given) { super(...given); bench.asked ??= performance.now(); } }; }"""


def measure(content: Path, turns: int) -> list[Line]:
    """The lines of this benchmark; its documents are of made handbooks."""
    lines: list[Line] = []
    with browsing.started() as window:
        for number in SIZES:
            lines += _of(window, Searched(number), number, turns if number == SIZES[0] else min(turns, 3))
    return lines


def _of(window: Window, sites: Searched, number: int, turns: int) -> list[Line]:
    servers = {"ours": Counted(sites.ours), "theme": Counted(sites.theme, any_script=True)}
    if sites.pagefind:
        servers["pagefind"] = Counted(sites.pagefind, any_script=True)
    lines: list[Line] = []
    of = f"{number:,} procedures"
    online: list[float] = []
    for pace in ("plain", "slow"):
        asked: dict[str, Callable[[], dict[str, float]]] = {
            "ours": lambda pace=pace: typed(window, servers["ours"], pace),
            "theme": lambda pace=pace: opened(window, servers["theme"], f"?q={QUESTION}", THEME, pace),
        }
        if "pagefind" in servers:
            asked["pagefind"] = lambda pace=pace: opened(window, servers["pagefind"], f"pagefind.html?q={QUESTION}", PAGEFIND, pace)
        found = in_turns(asked, turns)
        online = online or column(found["ours"], "took")
        for peer, name in (("theme", "the theme's own search"), ("pagefind", "Pagefind")):
            if peer in found:
                lines.append(Line(NAME, f"{of}: ready and first answer", "s", column(found["ours"], "took"), pace, name,
                                  column(found[peer], "took"), Goal(0.1) if peer == "theme" else None))
                if pace == "plain":
                    lines.append(Line(NAME, f"{of}: bytes until the first answer", "bytes", column(found["ours"], "bytes"), pace, name,
                                      column(found[peer], "bytes"), Goal(1) if peer == "theme" else None))
        lines.append(Line(NAME, f"{of}: longest task on the page's thread", "s", column(found["ours"], "task"), pace,
                          "the theme's own search", column(found["theme"], "task"), Goal(0.05, ratio=False)))
    whole = {name: [float(_whole(folder))] for name, folder in (
        ("ours", sites.ours / "search"), ("theme", sites.theme / "site" / "search"))}
    lines.append(Line(NAME, f"{of}: bytes of the whole index, as it is saved", "bytes", whole["ours"], "plain", "the theme's own search",
                      whole["theme"], Goal(1), "packed by gzip"))
    if sites.pagefind:
        lines.append(Line(NAME, f"{of}: bytes of the whole index, as it is saved", "bytes", whole["ours"], "plain", "Pagefind",
                          [float(_whole(sites.pagefind / "pagefind"))]))
    kept = [saved(window, sites.ours) for _turn in range(min(turns, 3))]
    lines.append(Line(NAME, f"{of}: ready and first answer, saved, no server", "s", column(kept, "took"), "plain",
                      "ours from the server", online))
    for server in servers.values():
        server.close()
    return lines


def typed(window: Window, server: Counted, pace: str) -> dict[str, float]:
    """A question put into the field of the home page."""
    with window.visitor(OURS) as context:
        page = context.new_page()
        page.goto(server.url)
        page.locator("html[data-alive]").wait_for()
        server.rest()
        return _asked(window, page, server, pace)


def _asked(window: Window, page: object, server: Counted, pace: str) -> dict[str, float]:
    server.sent.clear()
    with window.pace(pace):
        page.evaluate("""(question) => {
          const field = document.querySelector("[data-find] input");
          bench.tasks = [];
          bench.asked = performance.now();
          field.focus();
          field.value = question;
          field.dispatchEvent(new Event("input", { bubbles: true }));
        }""", QUESTION)
        return _told(page, OURS, server)


def _told(page: object, selector: str, server: Counted) -> dict[str, float]:
    at = browsing.seen(page, selector)
    notes = page.evaluate("() => bench")
    return {"took": at - notes["asked"] / 1000, "task": max((took for _at, took in notes["tasks"]), default=0) / 1000,
            "bytes": float(sum(size for path, size in server.sent if "search" in path or "pagefind" in path))}


def opened(window: Window, server: Counted, page: str, look: str, pace: str) -> dict[str, float]:
    """A page that is opened with the question."""
    with window.visitor(look) as context, window.pace(pace):
        context.add_init_script(WORKER)
        server.sent.clear()
        one = context.new_page()
        one.goto(server.url + ("site/" if "theme" in str(server.folder) else "") + page, wait_until="commit")
        return _told(one, look, server)


def saved(window: Window, site: Path) -> dict[str, float]:
    """The edition saved, the server ended, the question asked on a page opened from what is saved."""
    server = Counted(site)
    with window.visitor(OURS) as context:
        page = context.new_page()
        save_edition(page, server)
        server.close()
        page.goto(server.url)
        page.locator("html[data-alive]").wait_for()
        return _asked(window, page, server, "plain")


def _whole(folder: Path) -> int:
    return sum(len(packed(file)) if file.suffix in PACKED else file.stat().st_size for file in folder.rglob("*")
               if file.is_file() and file.suffix != ".js")
