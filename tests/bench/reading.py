"""From opening a procedure to its text with the worked example: beside the theme's plain page of the same words."""

from pathlib import Path

from tests.bench import browsing, sites
from tests.bench.browsing import Window
from tests.bench.line import OFTEN, Goal, Line, column, in_turns
from tests.bench.plain import WORKED, address
from tests.bench.serving import Counted

NAME, SAYS = "reading", "opening a procedure: time, bytes, shifts, tasks on the page's thread"

PAGES = 1000
"""Pages of both handbooks."""

PROCEDURE = "set-wheels"
"""One with a calculator; of middle length."""

EXAMPLE, PLAIN = ".answer .says", f"#{WORKED}"


def measure(content: Path, turns: int) -> list[Line]:
    """The lines of this benchmark; `content` gives the pages of both."""
    ours = Counted(sites.own(content))
    plain_site = sites.peer(PAGES)
    theirs = Counted(plain_site, any_script=True)
    page = f"procedures/{PROCEDURE}/"
    often = f"of {OFTEN * turns} turns, as is all of this benchmark"
    lines: list[Line] = []
    with browsing.started() as window:
        for pace in ("plain", "slow"):
            found = in_turns({
                "ours": lambda pace=pace: visit(window, ours, page, EXAMPLE, pace),
                "theirs": lambda pace=pace: visit(window, theirs, address(plain_site, PROCEDURE), PLAIN, pace),
            }, OFTEN * turns)
            both = found["ours"], found["theirs"]

            def line(what: str, name: str, unit: str, goal: Goal | None = None, note: str = "", pace: str = pace,
                     both: tuple = both) -> Line:
                mine, other = (column(one, name) for one in both)
                return Line(NAME, what, unit, mine, pace, "the theme's plain page" if other else "", other, goal, note)

            lines += [line("text and worked example painted, first visit", "first", "s", Goal(1), often),
                      line("the same, next page of the visit", "next", "s", Goal(1), often)]
            if pace == "plain":
                lines += [line("bytes of the first visit, without Python's", "bytes", "bytes", Goal(1 / 3),
                               f"packed by gzip; the peer has {PAGES} pages, whose search index it fetches with the first"),
                          line("bytes of Python, fetched beside", "python", "bytes"),
                          line("bytes of the next visit", "again", "bytes", Goal(0, ratio=False, always=True))]
            lines += [line("layout shift", "shift", "", Goal(0, ratio=False, always=True)),
                      line("longest task on the page's thread, opening", "opening", "s"),
                      line("longest task on the page's thread while Python starts", "task", "s", Goal(0.05, ratio=False, always=True),
                           "tasks under 50 ms are not told by the browser and stand as 0")]
    for server in (ours, theirs):
        server.close()
    return lines


def visit(window: Window, server: Counted, page: str, look: str, pace: str) -> dict[str, float]:
    """A first visit, another page, and the first page again, of one visitor."""
    with window.visitor(look) as context, window.pace(pace):
        server.sent.clear()
        opened = context.new_page()
        opened.goto(server.url + page, wait_until="commit")
        first = browsing.seen(opened, look)
        python = look == EXAMPLE
        if python:
            browsing.python_ready(opened)
        server.rest()
        notes = opened.evaluate("() => bench")
        told = {"first": first, "bytes": sum(size for path, size in server.sent if not _of_python(path)),
                "shift": sum(shift[1] for shift in notes["shifts"])}
        asked = notes["python"].get("starting", float("inf"))
        told["opening"] = max((took for at, took in notes["tasks"] if at < asked), default=0) / 1000
        if python:
            told["python"] = sum(size for path, size in server.sent if _of_python(path))
            ready = notes["python"]["ready"]
            told["task"] = max((took for at, took in notes["tasks"] if asked <= at <= ready), default=0) / 1000
        since = len(server.sent)
        opened.goto(server.url + page, wait_until="commit")
        told["next"] = browsing.seen(opened, look)
        server.rest()
        told["again"] = server.bytes(since)
        return told


def _of_python(path: str) -> bool:
    return "/runtime/" in path
