"""After the last key, until the answer and its picture are painted."""

from pathlib import Path

from tests.bench import browsing, peers, sites
from tests.bench.browsing import Window
from tests.bench.line import Goal, Line, column, in_turns
from tests.bench.serving import Counted

NAME, SAYS = "answer", "after the last key, until the answer and its picture are painted"

ASKED = {"wheel-adjust": "bend_now", "suction-drop": "readings/2/vacuum", "edge-life": "readings/3/flat"}
"""Calculator -> the field that is typed into: each key is a further decimal of its example's number."""

KEYS = 7
"""Keys typed in a turn, each answered before the next."""

QUIET = 1000
"""Milliseconds of rest before the key that counts: what came before it is answered and painted, and what may come next worked out."""

APART = 150
"""Milliseconds between the keys of somebody who types fast, who leaves little time to work out what may come next."""

FAST = f", the third {APART} ms apart"

POLL = 200
"""Milliseconds between two looks whether a key was answered: a look at every frame would be in the frames that are timed."""

#: Notes at which moment a key went down, and how long it was until what it changed in an answer had been painted.
WATCH = """() => {
  for (const observer of bench.observers) observer.disconnect();
  bench.keys = [];
  bench.down = 0;
  addEventListener("keydown", ({ timeStamp }) => { if (bench.listening) bench.down = timeStamp; }, true);
  new MutationObserver(() => {
    const { down } = bench;
    if (!down) return;
    bench.listening = bench.down = 0;
    bench.painted((at) => bench.keys.push(at - down));
  }).observe(document.querySelector(".answer"), { subtree: true, childList: true, characterData: true });
}"""


def measure(content: Path, turns: int) -> list[Line]:
    """The lines of this benchmark."""
    ours, theirs = Counted(sites.own(content)), Counted(peers.folder(), any_script=True)
    lines = []
    with browsing.started() as window:
        for pace in ("plain", "slow"):
            found = in_turns({
                **{id + how: (lambda id=id, field=field, pace=pace, how=how:
                              typed(window, ours, f"calculators/{id}/", pace, field, fast=bool(how)))
                   for id, field in ASKED.items() for how in ("", FAST)},
                **{page: (lambda page=page, pace=pace: typed(window, theirs, f"{page}.html", pace)) for page in ("echo", "round")},
            }, turns)
            lines.append(Line(NAME, "a key sent to a shared worker and back, nothing worked out", "s", column(found["round"], "key"), pace,
                              "a page that only shows the key", column(found["echo"], "key")))
            for id in ASKED:
                for how in ("", FAST):
                    lines.append(Line(NAME, f"{id}, after the last key{how}", "s", column(found[id + how], "key"), pace,
                                      "a page that only shows the key", column(found["echo"], "key"),
                                      Goal(0.05, ratio=False) if pace == "slow" else None))
    for server in (ours, theirs):
        server.close()
    return lines


def typed(window: Window, server: Counted, page: str, pace: str, field: str = "", fast: bool = False) -> dict[str, float]:
    """The median over KEYS keys; each is the last digit of a number that was not asked about before. `fast`: the last of three."""
    with window.visitor() as context:
        opened = context.new_page()
        opened.goto(server.url + page)
        if field:
            browsing.python_ready(opened)
            opened.locator("html[data-alive]").wait_for()
        server.rest()
        opened.evaluate(WATCH)
        box = opened.locator(f'input[name="{field}"]' if field else "input").first
        begun = box.input_value()
        begun = f"{begun.split('.')[0]}."
        with window.pace(pace):
            for key in range(KEYS):
                box.fill(begun[:-1] if fast else f"{begun}{key + 1}")
                opened.wait_for_timeout(QUIET)
                for before in f".{key + 1}" if fast else "":
                    opened.keyboard.press(before)
                    opened.wait_for_timeout(APART)
                opened.evaluate("() => { bench.listening = true; }")
                opened.keyboard.press(str(1 + 4 * key % 9))
                opened.wait_for_function("(many) => bench.keys.length > many", arg=key, polling=POLL)
        if field:
            assert opened.locator("[data-outcome=answered]").count(), "nothing was answered"
        took = sorted(opened.evaluate("() => bench.keys"))
        return {"key": took[len(took) // 2] / 1000}
