"""How much of a visit is lost when the browser is killed while one types: a table of kills, keys lost and their age."""

import statistics
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from macros import building, chromium
from macros.serve import serve_folder
from tests.browser.killing import TYPING, Loss, killed

KILLS, SEED = 50, 20261127

BOUND = 1.0
"""Seconds: nothing older may be lost."""


def run(content: Path, cases: int | None = None) -> int:
    """Kill the browser `cases` times (50) and print what was lost. 1: something older than a second was."""
    program = chromium.get()
    if program is None:
        print("no Chromium was found: nothing was killed")
        return 1
    if building.build(content, quietly=True):
        return 1
    server = serve_folder(building.SITE)
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder, sync_playwright() as playwright:
        losses = list(killed(playwright, program, Path(folder), server.url, KILLS if cases is None else cases, SEED))
    server.close()
    print(table(losses))
    oldest = max(loss.age for loss in losses)
    print(f"seed {SEED}, typing for {TYPING[0]} to {TYPING[1]} s before each kill; "
          f"{'the bound is held' if oldest <= BOUND else 'THE BOUND IS MISSED'}: nothing older than {BOUND} s is lost")
    return 0 if oldest <= BOUND else 1


def table(losses: list[Loss]) -> str:
    """The losses of all kills, by the field that was typed in."""
    lines = ["typed in | kills | keys typed | keys lost | most lost at once | oldest lost, s | median of the oldest, s"]
    for field in [*dict.fromkeys(loss.field for loss in losses), ""]:
        own = [loss for loss in losses if not field or loss.field == field]
        lines.append(" | ".join(map(str, (
            field or "all", len(own), sum(loss.typed for loss in own), sum(loss.lost for loss in own),
            max(loss.lost for loss in own), f"{max(loss.age for loss in own):.3f}",
            f"{statistics.median(loss.age for loss in own):.3f}"))))
    return "\n".join(lines)
