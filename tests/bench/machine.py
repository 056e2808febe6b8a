"""On what it was measured: no figure says anything without it."""

import os
import platform
import re
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

from macros import chromium, setup_npm, webkit


def named() -> list[str]:
    """The machine and what runs on it, as lines."""
    return [
        f"{os.cpu_count()} cores, {_model()}, {_memory()}, {platform.system()} {platform.release().split('-')[0]}",
        ", ".join(filter(None, (f"Python {platform.python_version()}", _version([str(setup_npm.node())], "Node"),
                                _version([chromium.find() or ""], ""), _webkit()))),
        f"load at the start: {', '.join(f'{one:.2f}' for one in os.getloadavg())}",
    ]


def _model() -> str:
    try:
        found = re.search(r"^model name\s*:\s*(.+)$", Path("/proc/cpuinfo").read_text(), re.MULTILINE)
    except OSError:
        found = None
    return found[1] if found else platform.processor() or platform.machine()


def _memory() -> str:
    return f"{os.sysconf('SC_PAGE_SIZE') * os.sysconf('SC_PHYS_PAGES') / 2**30:.0f} GiB of memory"


def _version(program: Sequence[str], name: str) -> str:
    if not program[0]:
        return ""
    said = subprocess.run([*program, "--version"], capture_output=True, text=True, check=False).stdout.strip().splitlines()
    return f"{name} {said[0]}".strip() if said else ""


def _webkit() -> str:
    """WebKitGTK's version as Debian's package has it: the programs themselves do not tell it."""
    dpkg = shutil.which("dpkg-query")
    if webkit.find() is None or dpkg is None:
        return ""
    told = subprocess.run([dpkg, "-W", "-f", "${Version}", "webkit2gtk-driver"], capture_output=True, text=True, check=False)
    return f"WebKitGTK {told.stdout}" if told.returncode == 0 else ""
