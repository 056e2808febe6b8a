"""The verb bench: hand over to the benchmarks, which stand beside the tests and may use what the tests use."""

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from macros.console import ROOT


def run(names: Sequence[str], content: Path, cases: int | None = None, turns: int | None = None, out: Path | None = None) -> int:
    """Run the benchmarks `names` (all that are timed when empty) on a content folder. Returns their exit status.

    `cases`: machines of each make, instead of the whole run's number; then nothing is written. `turns`: how often each
    side of a comparison is measured; `out`: where the table goes besides.
    """
    command = [sys.executable, "-m", "tests.bench", *names, "--content", str(content.resolve())]
    if cases is not None:
        command += ["--cases", str(cases)]
    if turns is not None:
        command += ["--turns", str(turns)]
    if out is not None:
        command += ["--out", str(out.resolve())]
    return subprocess.run(command, cwd=ROOT, check=False).returncode
