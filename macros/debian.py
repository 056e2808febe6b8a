"""Debian's packages, for what tests need of the system: installed only where nobody need be asked."""

import os
import shutil
from collections.abc import Sequence

from macros import running
from macros.console import CACHE, ROOT, Stop, passing, say


def may_install() -> bool:
    """Whether Debian's packages can be installed here without asking anybody."""
    return hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get") is not None


def install(packages: Sequence[str], doing: str) -> None:
    """Install `packages`; what stands in the way is said, not raised. `doing` completes "could not ..."."""
    env = {**os.environ, "DEBIAN_FRONTEND": "noninteractive", "LC_ALL": "C"}
    try:
        for command in (["apt-get", "update"], ["apt-get", "install", "-y", "--no-install-recommends", *packages]):
            running.run(command, doing=doing, cwd=ROOT, env=env, log=CACHE / "apt.log", notice=_notice)
    except Stop as stop:
        say(str(stop))


def _notice(line: str) -> None:
    """Show the packages as they are put in place."""
    if line.startswith(("Unpacking", "Setting up")):
        passing(line)
