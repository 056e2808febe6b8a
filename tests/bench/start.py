"""Until Python answers: on the first page from the kept memory, beside the runtime's own start; on the next pages."""

import json
import tempfile
from pathlib import Path
from urllib.parse import quote

import calculators
from macros import webkit
from tests.bench import browsing, peers, sites
from tests.bench.browsing import Window
from tests.bench.line import OFTEN, Goal, Line, column, in_turns
from tests.bench.serving import Counted
from tests.bench.slow import drawing, slowed
from tests.browser.webkit import opening

NAME, SAYS = "python", "until Python answers: first page, next pages; bytes; memory"

FIRST, NEXT = "calculators/wheel-adjust/", "calculators/edge-life/"

VISITED = 10
"""Calculators visited one after the other, to see what the tab keeps."""


def measure(content: Path, turns: int) -> list[Line]:
    """The lines of this benchmark."""
    site = sites.own(content)
    folder = peers.folder()
    wheel = next(site.glob("runtime/*/*.whl"))
    (folder / "wheel").mkdir()
    (folder / "wheel" / wheel.name).write_bytes(wheel.read_bytes())
    ours, theirs = Counted(site), Counted(folder, any_script=True)
    one = calculators.calculator("wheel-adjust")
    ask = quote(json.dumps({"id": "wheel-adjust", "inputs": one.example, "units": {}}))
    lines: list[Line] = []
    with browsing.started() as window:
        for pace in ("plain", "slow"):
            contenders = {
                "ours": lambda pace=pace: start(window, ours, FIRST, pace, NEXT),
                "stock": lambda pace=pace: start(window, theirs, f"stock.html?worker=stock.js&wheel={wheel.name}&ask={ask}", pace),
            }
            if (folder / "micro").is_dir():
                contenders["micro"] = lambda pace=pace: start(window, theirs, "stock.html?worker=micro.js", pace)
            taken = turns * (OFTEN if pace == "plain" else 1)
            found = in_turns(contenders, taken)
            mine, stock = found["ours"], found["stock"]
            lines.append(Line(NAME, "from asked for to ready, first page", "s", column(mine, "start"), pace,
                              "the runtime's own start", column(stock, "start"), Goal(0.2), f"of {taken} turns"))
            if "micro" in found:
                lines.append(Line(NAME, "MicroPython's start, for scale", "s", column(found["micro"], "start"), pace,
                                  "the runtime's own start", column(stock, "start")))
            lines.append(Line(NAME, "from asked for to ready, next page", "s", column(mine, "next"), pace,
                              "the same on the first page", column(mine, "start"), note="the shared worker outlives the page"))
            if pace == "plain":
                lines.append(Line(NAME, "bytes fetched for it", "bytes", column(mine, "bytes"), pace, "the runtime's own start",
                                  column(stock, "bytes"), Goal(1), "packed by gzip where that makes them smaller"))
    kept = [memory(ours) for _turn in range(min(turns, 3))]
    lines.append(Line(NAME, f"memory of the tab after {VISITED} calculators", "bytes", [many for _one, many in kept], "plain",
                      "after one", [alone for alone, _many in kept], Goal(1.05),
                      "the renderer's own and its share of what it has in common with others"))
    lines += in_webkit(ours, turns)
    for server in (ours, theirs):
        server.close()
    return lines


#: Milliseconds from the opening of the page until Python is ready in it.
OPENED = """while (!document.querySelector("[data-python=ready]")) await new Promise((then) => setTimeout(then, 5));
return performance.now();"""


def in_webkit(server: Counted, turns: int) -> list[Line]:
    """The first page and the next in WebKitGTK, a fresh window in each turn; nothing where there is none, which is said."""
    found = webkit.get()
    if found is None:
        print("No WebKitGTK was found: its lines are left out.")
        return []
    lines = []
    for pace in ("plain", "slow"):
        first, after = [], []
        for _turn in range(turns):
            with (tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as home, opening.screen(found) as screen,
                  opening.window(found, screen, Path(home)) as window,
                  slowed(window.driver.service.process.pid if pace == "slow" else None)):
                for page, times in ((FIRST, first), (NEXT, after)):
                    window.open(server.url + page)
                    times.append(window.later(OPENED) / 1000)
        lines.append(Line(NAME, "from opening the page to ready, next page, WebKitGTK", "s", after, pace, "the same on the first page", first))
    return lines


def start(window: Window, server: Counted, page: str, pace: str, then: str = "") -> dict[str, float]:
    """One start on a device that keeps nothing; `then` is opened after it."""
    with window.visitor() as context, window.pace(pace):
        server.sent.clear()
        opened = context.new_page()
        opened.goto(server.url + page)
        told = {"start": _took(opened)}
        told["bytes"] = sum(size for path, size in server.sent if "/runtime/" in path or "/pyodide/" in path or "/wheel/" in path)
        if then:
            opened.goto(server.url + then)
            told["next"] = _took(opened)
        return told


def _took(page: object) -> float:
    browsing.python_ready(page)
    notes = page.evaluate("() => bench.python")
    return (notes["ready"] - notes["starting"]) / 1000


def memory(server: Counted) -> tuple[int, int]:
    """Bytes that what draws pages holds after one calculator, and after VISITED."""
    pages = [f"calculators/{id}/" for id in list(calculators.REGISTER)[:VISITED]]
    found: list[int] = []
    with browsing.started() as window, window.visitor() as context:
        page = context.new_page()
        for page_ in pages:
            page.goto(server.url + page_)
            browsing.python_ready(page)
            server.rest()
            page.context.new_cdp_session(page).send("HeapProfiler.collectGarbage")
            found.append(_held(window))
    return found[0], found[-1]


def _held(window: Window) -> int:
    total = 0
    for process in drawing(window.process):
        for line in Path(f"/proc/{process}/smaps_rollup").read_text().splitlines():
            if line.startswith("Pss:"):
                total += int(line.split()[1]) * 1024
    return total
