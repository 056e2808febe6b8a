"""``python -m tests.bench [NAME ...]``, as ``handbook.py bench`` calls it: one table of all that is timed, or those named.

A benchmark that is timed is a module with NAME, SAYS and ``measure(content, turns)``, which gives lines of the table. `rig` and
`record` are no timings but judge answers and records by bounds: they run when they are named, and tell their own tables.
"""

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from macros.console import Stop, say
from tests.bench import answer, build, machine, offline, pace, reading, record, rig, search, start, table
from tests.bench.line import Line

JUDGED = {"rig": rig.run, "record": record.run}
"""Name -> what is run with (content folder, number of cases or None for the whole); returns an exit status."""

TIMED = {module.NAME: module for module in (pace, reading, start, answer, search, offline, build)}
"""Name -> module, in the order of the table."""

TURNS = 5


def main(arguments: Sequence[str]) -> int:
    """Run what the command line names; 1 when one of JUDGED says so or a benchmark could not run. Times decide nothing."""
    parser = argparse.ArgumentParser(prog="handbook.py bench")
    parser.add_argument("names", nargs="*", choices=[[], *TIMED, *JUDGED], metavar="NAME")
    parser.add_argument("--content", type=Path, required=True)
    parser.add_argument("--cases", type=int)
    parser.add_argument("--turns", type=int, default=TURNS)
    parser.add_argument("--out", type=Path)
    chosen = parser.parse_args(arguments)
    names = chosen.names or list(TIMED)
    statuses = [JUDGED[name](chosen.content, chosen.cases) for name in names if name in JUDGED]
    timed = [name for name in names if name in TIMED]
    if timed:
        statuses.append(measure(timed, chosen.content, chosen.turns, chosen.out))
    return max(statuses)


def measure(names: Sequence[str], content: Path, turns: int, out: Path | None) -> int:
    """Measure, print the table and write it to `out` (.json, else Markdown). 1: a benchmark could not run."""
    told = machine.named()
    lines: list[Line] = []
    status = 0
    for name in names:
        print(f"Measuring {name}: {TIMED[name].SAYS}.", flush=True)
        try:
            lines += TIMED[name].measure(content, turns)
        except Stop as lack:
            say(str(lack))
            status = 1
    told.append(f"load at the end: {', '.join(f'{one:.2f}' for one in os.getloadavg())}; {turns} turns; times are medians, "
                "spread is from the least to the most; slow: what draws pages is stopped three quarters of the time")
    print(f"\n{table.as_text(lines, told)}")
    if out is not None:
        out.write_text((table.as_json if out.suffix == ".json" else table.as_markdown)(lines, told), "utf-8")
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
