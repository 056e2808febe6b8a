"""Debian's packages, for what tests need of the system: installed only where nobody need be asked."""

import os
import shutil
from collections.abc import Sequence
from pathlib import Path

from macros import running
from macros.console import CACHE, ROOT, Stop, passing, say
from macros.words import _


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


def fetched(package: str, program: str) -> str | None:
    """The path of `program`: an installed one, else out of Debian's package without installing it; None where neither is.

    Nothing is installed, so that no server starts by itself. The package's own needs must be met by the system.
    """
    found = shutil.which(program) or shutil.which(program, path="/usr/sbin:/usr/local/sbin:/sbin")
    if found or shutil.which("apt-get") is None or shutil.which("dpkg-deb") is None:
        return found
    target = CACHE / "debian" / package
    kept = next(iter(target.glob(f"usr/*bin/{program}")), None)
    if kept is None:
        try:
            _unpack(package, target)
        except Stop as stop:
            say(str(stop))
        kept = next(iter(target.glob(f"usr/*bin/{program}")), None)
    return str(kept) if kept else None


def _unpack(package: str, target: Path) -> None:
    """Fetch `package` and unpack it into `target`. Raises: Stop."""
    doing = _("fetch Debian's package {name}").format(name=package)
    env = {**os.environ, "LC_ALL": "C"}
    shutil.rmtree(target, ignore_errors=True)
    target.mkdir(parents=True)
    download = ["apt-get", "download", package]
    try:
        running.run(download, doing=doing, cwd=target, env=env, log=CACHE / "apt.log", notice=_notice)
    except Stop:
        if not may_install():
            raise
        # The list of packages may be old or missing.
        running.run(["apt-get", "update"], doing=doing, cwd=ROOT, env=env, log=CACHE / "apt.log", notice=_notice)
        running.run(download, doing=doing, cwd=target, env=env, log=CACHE / "apt.log", notice=_notice)
    [file] = target.glob("*.deb")
    running.run(["dpkg-deb", "-x", file, target], doing=doing, cwd=target, env=env, log=CACHE / "apt.log", notice=_notice)
