"""The whole examination of the advice by the rig: a table of marks, and content/marks.json for the handbook's page."""

import json
import os
import platform
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from pathlib import Path
from typing import Any

from macros import marks
from tests.rig.examine import examinations
from tests.rig.mark import Mark, table
from tests.rig.model.machine import Machine, load_all

CASES, SEED = 2000, 20261126
"""Machines of each make in the whole run, and what they are drawn from."""

SAMPLE = 40
"""Machines of each make whose marks are kept beside the whole, so that a test can see that the file is of today."""


def run(content: Path, cases: int | None = None) -> int:
    """Print every machine's marks and keep them in the content (not with `cases` of one's own). 1: a mark is missed."""
    whole = CASES if cases is None else cases
    found = examined(content, whole)
    print(f"{platform.python_implementation()} {platform.python_version()}, seed {SEED}, "
          f"{whole} machines of each make, examinations: {', '.join(examinations())}")
    for machine, given in found.items():
        print(f"\n{machine}\n{table(given)}")
    missed = [f"{machine}: {mark.id}" for machine, given in found.items() for mark in given if not mark.held]
    print(f"\nnot reached: {', '.join(missed)}" if missed else "\nevery bound is reached")
    if cases is None:
        write(content, found)
        print(f"written: {content.name}/{marks.FILE}")
    return 1 if missed else 0


def write(content: Path, found: dict[str, list[Mark]]) -> None:
    """Put the whole run's marks, and those of the sample, into the content folder."""
    kept = {"made_by": marks.COMMAND, "seed": SEED, "count": CASES,
            "machines": {machine: {"made_from": marks.made_from(content, machine), "marks": plain(given)}
                         for machine, given in found.items()},
            "sample": {machine: plain(given) for machine, given in examined(content, SAMPLE).items()}}
    (content / marks.FILE).write_text(json.dumps(kept, indent=1) + "\n", "utf-8", newline="\n")


def plain(given: Sequence[Mark]) -> list[dict[str, Any]]:
    """Marks as JSON holds them; figures at 6 significant digits."""
    return [asdict(mark) | {"value": float(f"{mark.value:.6g}")} for mark in given]


def examined(content: Path, cases: int) -> dict[str, list[Mark]]:
    """Every examination of every machine of the content; examinations side by side on all cores."""
    machines = load_all(content)
    jobs = [(name, machine, cases) for machine in machines for name in examinations()]
    with ProcessPoolExecutor(max_workers=os.cpu_count()) as pool:
        done = list(pool.map(_examine, *zip(*jobs, strict=True)))
    found: dict[str, list[Mark]] = {machine.id: [] for machine in machines}
    for (_name, machine, _cases), given in zip(jobs, done, strict=True):
        found[machine.id] += given
    return found


def _examine(name: str, machine: Machine, cases: int) -> list[Mark]:
    return examinations()[name].examine(machine, cases, SEED)
