"""The WebKit that browser tests drive: WebKitGTK of Debian's packages, the engine family of the iPad's browser."""

import shutil
from dataclasses import dataclass
from pathlib import Path

from macros import debian
from macros.console import say
from macros.words import _

PACKAGES = ("webkit2gtk-driver", "xvfb", "fonts-liberation")
"""Debian's packages: the browser with its driver, a screen that nobody sees, and letters."""

PLACES = ("/usr/lib/*/webkit2gtk-4.1", "/usr/libexec/webkit2gtk-4.1", "/usr/lib/webkit2gtk-4.1")
"""Folders of the browser window that the driver starts, by system."""


@dataclass(frozen=True)
class WebKit:
    """The programs by their paths: the driver, the window that it starts, the screen."""

    driver: str
    window: str
    screen: str


def find() -> WebKit | None:
    """An installed WebKitGTK; None when a program of it is missing."""
    windows = [found for place in PLACES for found in Path("/").glob(f"{place[1:]}/MiniBrowser")]
    programs = shutil.which("WebKitWebDriver"), next(map(str, windows), None), shutil.which("Xvfb")
    return WebKit(*programs) if all(programs) else None


def get() -> WebKit | None:
    """An installed WebKitGTK, installed first from Debian's packages where that can be done; else None."""
    found = find()
    if found or not debian.may_install():
        return found
    say(_("No WebKitGTK is installed: installing Debian's package."))
    debian.install(PACKAGES, doing=_("install WebKitGTK"))
    return find()
