"""A copy of the program in a folder of its own, so that what it builds disturbs nobody."""

import os
import shutil
from pathlib import Path

from macros import building, setup_npm
from macros.console import CACHE, ROOT


def copied(folder: Path, age: int = 0) -> Path:
    """The program without content in `folder`, every file `age` seconds older than today's; what npm brings is shared."""
    setup_npm.ensure()
    folder.mkdir(parents=True)
    for name in (*building.INPUTS, "LICENSE", "handbook.py"):
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", "node_modules"))
        else:
            shutil.copy(ROOT / name, folder / name)
    (folder / ".cache").mkdir()
    (folder / ".cache" / "npm").symlink_to(CACHE / "npm")
    for path in folder.rglob("*"):
        if ".cache" not in path.parts:
            os.utime(path, (1_700_000_000 - age,) * 2)
    return folder
