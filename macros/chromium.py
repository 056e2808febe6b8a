"""The Chromium that browser tests drive: an installed one, else Debian's package where it can be had."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

from macros import debian
from macros.console import say
from macros.words import _

VARIABLE = "HANDBOOK_CHROMIUM"
"""Environment variable that names the browser to use, before any other."""

TESTED = "HANDBOOK_CHROMIUM_TESTED"
"""Environment variable by which the verb test tells its tests which one most of them drive."""

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
"""Programs that are a Chromium, looked for on the PATH in this order."""

WINDOWLESS = "chromium-headless-shell"
"""The same engine without windows, bars and settings: program, and Debian's package. Tests with it take two thirds of the time."""

PACKAGES = ("chromium", "fonts-liberation")
"""Debian's packages: the browser, and letters for it to draw."""

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
"""How tests start it: nothing asked of other hosts, and as any user."""


def find() -> str | None:
    """The path of an installed Chromium that starts; None when there is none."""
    named = os.environ.get(VARIABLE)
    for candidate in [named] if named else [*map(shutil.which, NAMES), *_usual_places()]:
        if candidate and _starts(candidate):
            return str(candidate)
    return None


def _usual_places() -> list[str]:
    """Where it stands on systems that do not put it on the PATH."""
    if sys.platform == "darwin":
        return [
            "/Applications/Chromium.app/Contents/MacOS/Chromium",
            "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
        ]
    if os.name == "nt":
        bases = [os.environ.get(name, "") for name in ("ProgramFiles", "ProgramFiles(x86)", "LocalAppData")]
        return [str(Path(base, "Google/Chrome/Application/chrome.exe")) for base in bases if base]
    return []


def _starts(program: str) -> bool:
    """Whether `program` runs at all: some systems have a stand-in that only says where to get it."""
    if os.name == "nt":
        # There, asking for the version opens a window.
        return Path(program).is_file()
    try:
        return (
            subprocess.run(
                [program, "--version"],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                timeout=60,
                check=False,
            ).returncode
            == 0
        )
    except (OSError, subprocess.TimeoutExpired):
        return False


def get() -> str | None:
    """The path of a Chromium, installed first from Debian's packages where that can be done; else None."""
    found = find()
    if found or os.environ.get(VARIABLE) or not debian.may_install():
        return found
    say(_("No Chromium is installed: installing Debian's package."))
    debian.install(PACKAGES, doing=_("install Chromium"))
    return find()


def windowless() -> str | None:
    """The path of a Chromium without windows, installed where that can be done; None when there is none or another is named."""
    if os.environ.get(VARIABLE):
        return None
    if not shutil.which(WINDOWLESS) and debian.may_install():
        debian.install((WINDOWLESS, *PACKAGES[1:]), doing=_("install Chromium"))
    found = shutil.which(WINDOWLESS)
    return found if found and _starts(found) else None
