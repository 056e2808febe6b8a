"""Until the handbook is built: whole, again with nothing changed, one page after an edit; what a check takes; what pages weigh.

Handbooks of 100, 1,000 and 10,000 procedures (`making`), beside plain pages of the theme, as many and as long, in a pruned
navigation. Each build is a process of its own, so that nothing is kept from the one before.
"""

import gzip
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from macros import stored
from macros.console import ROOT
from tests.bench import plain, sites
from tests.bench.line import Figures, Goal, Line, column, in_turns

NAME, SAYS = "build", "a whole build, one with nothing changed, a page after an edit, a check; weight of pages; memory"

SMALL, MANY, MOST = 100, 1_000, 10_000

CHANGED = "set-wheels-0003.yml"
"""The procedure that is changed where one is."""

ONCE = """
import json, resource, sys, time
from pathlib import Path
content, target = Path(sys.argv[1]), Path(sys.argv[2])
began = time.monotonic()
from macros import building
building.with_mkdocs(content, target)
status = dict(line.split(":", 1) for line in open("/proc/self/status"))
used = [int(status["VmHWM"].split()[0]), resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss]
print(json.dumps({"time": time.monotonic() - began, "memory": max(used) * 1024}))
"""
"""One build, in a process of its own; the memory of the largest of its processes at its highest. (The kernel's `ru_maxrss` of a
process begins with that of the one that began it, so its own stands in `/proc`.)"""

AGAIN = """
import sys, time
from pathlib import Path
from macros import building
building.SITE, building.STAMP = Path(sys.argv[2]), Path(sys.argv[2] + ".json")
began = time.monotonic()
assert building.build(Path(sys.argv[1])) == 0
print(time.monotonic() - began)
"""


def measure(content: Path, turns: int) -> list[Line]:
    """The lines of this benchmark. `content` is not asked: its handbook is not large enough to tell."""
    lines: list[Line] = []
    with tempfile.TemporaryDirectory(dir=sites.KEPT) as folder:
        work = Path(folder)
        found = {number: beside_plain(number, work, turns, lines) for number in (SMALL, MANY)}
        ours, theirs = (column(found[MANY][name], "time") for name in ("ours", "pruned"))
        most = [once(sites.made(MOST), work / "most")]
        lines.append(Line(NAME, f"a whole build, {MOST:,} procedures", "s", column(most, "time"), "plain",
                          f"{MOST // MANY} times {MANY:,} procedures", [one * MOST / MANY for one in ours], Goal(1),
                          f"{pages(work / 'most'):,} pages"))
        lines.append(Line(NAME, f"memory for {MOST:,} procedures", "bytes", column(most, "memory"), "plain",
                          f"{MANY:,} procedures", column(found[MANY]["ours"], "memory"), Goal(1e9, ratio=False),
                          "of its largest process"))
        lines += weights(work / "out", work / "most")
        quick = {"again with nothing changed": (again(sites.made(MANY), work / "kept", turns), 2),
                 "an edit shown": (edited(sites.made(MANY), turns), 1)}
        # Before the sites are deleted, tens of thousands of files, which the disk has to do with for a while.
        quick["a check, nothing kept"], quick["a check, after one was changed"] = (
            (took, 2) for took in checked(sites.made(MANY), turns))
    lines += [Line(NAME, f"{what}, {MANY:,} procedures", "s", took, "plain", "plain pages, pruned, built", theirs, Goal(bound, ratio=False),
                   "MkDocs builds plain pages whole at every change") for what, (took, bound) in quick.items()]
    return lines


def beside_plain(number: int, work: Path, turns: int, lines: list[Line]) -> dict[str, list[Figures]]:
    """Whole builds of `number` procedures and of as many plain pages, in turns, ours into `work`/out; their lines are added."""
    given = list(plain.pages(sites.own(sites.making.DEMO)))
    kinds = {kind: work / f"{kind}-{number}" for kind in ("pruned", "flat")}
    for kind, source in kinds.items():
        plain.write(source, plain.as_many(given, number), pruned=kind == "pruned")
    found = in_turns({"ours": lambda: once(sites.made(number), work / "out"),
                      **{kind: (lambda source=source: timed(plain.build, source)) for kind, source in kinds.items()}}, turns)
    for kind, source in kinds.items():
        lines.append(Line(NAME, f"a whole build, {number:,} procedures", "s", column(found["ours"], "time"), "plain",
                          f"plain pages, {kind}", column(found[kind], "time"), Goal(1) if kind == "pruned" else None,
                          f"{pages(work / 'out'):,} pages with check, search and list of files"))
        lines.append(Line(NAME, f"the whole site, {number:,} procedures", "bytes", [whole_size(work / "out")], "plain",
                          f"plain pages, {kind}", [whole_size(source / "site")], note="as it lies on the disk"))
    return found


def timed(do: Callable[[Path], object], what: Path) -> Figures:
    """How long it takes."""
    began = time.monotonic()
    do(what)
    return {"time": time.monotonic() - began}


def once(content: Path, target: Path) -> Figures:
    """Time and memory of a whole build into `target`."""
    return json.loads(_run("-c", ONCE, str(content), str(target)))


def check(content: Path) -> None:
    """The verb as an author calls it, whose Python keeps what it has compiled."""
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    _run("handbook.py", "check", "--content", str(content), env=env)


def checked(content: Path, turns: int) -> tuple[list[float], list[float]]:
    """Seconds of checks that find nothing kept from an earlier one, and of those after which one procedure was changed."""
    file = content / "procedures" / CHANGED
    before, first, next_ones = file.read_text("utf-8"), [], []
    check(content)
    try:
        for turn in range(turns):
            stored.place(content).unlink(missing_ok=True)
            first.append(timed(check, content)["time"])
            file.write_text(before.replace("achieves: Brings", f"achieves: In turn {turn + 1}, brings", 1), "utf-8")
            next_ones.append(timed(check, content)["time"])
    finally:
        file.write_text(before, "utf-8")
    return first, next_ones


def again(content: Path, site: Path, turns: int) -> list[float]:
    """Seconds of builds of what is built already."""
    _run("-c", AGAIN, str(content), str(site))
    return [float(_run("-c", AGAIN, str(content), str(site))) for _turn in range(turns)]


def edited(content: Path, turns: int) -> list[float]:
    """Seconds from a procedure saved until its page says so, in a process that serves while one writes."""
    file = content / "procedures" / CHANGED
    before = file.read_text("utf-8")
    script = ("import sys\nfrom pathlib import Path\nfrom tests.bench.build import watched\n"
              "watched(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]))\n")
    try:
        return json.loads(_run("-c", script, str(content), str(file), str(turns)))
    finally:
        file.write_text(before, "utf-8")


def watched(content: Path, file: Path, turns: int) -> None:
    """Save `file` several times while it is served, and print how long each page took."""
    import threading
    import urllib.request

    from macros import editing
    from macros.serve import Server

    one = editing.Editing(content)
    server = Server(one.folder, 0)
    server.before = one.answer
    server.start()
    one.look()
    ended = threading.Event()

    def look() -> None:
        while not ended.wait(editing.BETWEEN):
            one.look()

    threading.Thread(target=look, daemon=True).start()
    url = f"{server.url}procedures/{file.stem}/"
    before, found = file.read_text("utf-8"), []
    for turn in range(turns):
        words = f"Brings it about for the {turn + 1} time"
        file.write_text(before.replace("achieves: Brings", f"achieves: {words}", 1), "utf-8")
        began = time.monotonic()
        while words not in urllib.request.urlopen(url).read().decode():
            time.sleep(0.01)
        found.append(time.monotonic() - began)
    ended.set()
    server.close()
    one.close()
    print(json.dumps(found))


def whole_size(site: Path) -> float:
    """Bytes of all files."""
    return float(sum(file.stat().st_size for file in site.rglob("*") if file.is_file()))


def pages(site: Path) -> int:
    """How many pages a site has."""
    return sum(1 for _page in site.rglob("index.html"))


def weights(many: Path, most: Path) -> list[Line]:
    """The heaviest page of each kind, packed, in the two handbooks: one of ten times as many procedures weighs no more."""
    lines = []
    for kind in ("", "procedures", "machines", "parts", "calculators", "find", "tools", "seen",
                 "lists", "visit", "visits"):
        ours, theirs = (max(packed(page) for page in (site / kind).glob("*/index.html" if kind in FOLDERS else "index.html"))
                        for site in (most, many))
        lines.append(Line(NAME, f"the heaviest page: {kind or 'home'}", "bytes", [ours], "plain",
                          f"with {MANY:,} procedures", [theirs], Goal(1.1), note="packed by gzip"))
    return lines


FOLDERS = ("procedures", "machines", "parts", "calculators", "seen", "lists")


def packed(page: Path) -> int:
    """Bytes of a page as it travels."""
    return len(gzip.compress(page.read_bytes(), 6))


def _run(*arguments: str, env: dict[str, str] | None = None) -> str:
    ran = subprocess.run([sys.executable, *arguments], cwd=ROOT, capture_output=True, text=True, check=False, env=env)
    if ran.returncode:
        raise RuntimeError(f"a build failed: {ran.stderr[-1000:]}")
    return ran.stdout.strip().rpartition("\n")[2]
