"""How slow the slow pace is: a loop on a page's thread and the same in a worker, plain and slow."""

from pathlib import Path

from tests.bench import browsing, peers
from tests.bench.browsing import Window
from tests.bench.line import Line, column, in_turns
from tests.bench.serving import Counted

NAME, SAYS = "pace", "how many times as long a loop takes at the slow pace"

#: Milliseconds that a loop takes, which is long enough to cross many beats of the slow pace.
LOOP = "() => { let n = 0; const begun = performance.now(); while (n < 1e9) n++; return performance.now() - begun; }"

IN_WORKER = f"""() => new Promise((then) => {{
  const worker = new Worker(URL.createObjectURL(new Blob(["postMessage(({LOOP})())"])));
  worker.onmessage = ({{ data }}) => {{ worker.terminate(); then(data); }};
}})"""


def measure(content: Path, turns: int) -> list[Line]:
    """The lines of this benchmark; no handbook is asked."""
    server = Counted(peers.folder(), any_script=True)
    lines = []
    with browsing.started() as window:
        for where, loop in (("a page", LOOP), ("a worker", IN_WORKER)):
            found = in_turns({pace: (lambda pace=pace, loop=loop: took(window, server, loop, pace)) for pace in ("slow", "plain")}, turns)
            lines.append(Line(NAME, f"a loop in {where}", "s", column(found["slow"], "loop"), "slow", "the same, plain",
                              column(found["plain"], "loop")))
    server.close()
    return lines


def took(window: Window, server: Counted, loop: str, pace: str) -> dict[str, float]:
    """One loop, after one that warms up what runs it."""
    with window.visitor() as context:
        page = context.new_page()
        page.goto(server.url + "echo.html")
        page.evaluate(loop)
        with window.pace(pace):
            return {"loop": page.evaluate(loop) / 1000}
