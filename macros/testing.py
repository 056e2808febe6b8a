"""The verb test: get what the tests need, run them, and count nothing as passed that did not run."""

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from macros import chromium
from macros.console import ROOT, say
from macros.words import _

CONTENT = "HANDBOOK_TEST_CONTENT"
"""Environment variable with the content folder whose pages are tested in place of the program's own."""

OF_ANY_CONTENT = "tests/macros/pages/test_every_page.py"
"""What holds for every page of every handbook."""


def run(no_browser: bool, arguments: Sequence[str], content: Path | None = None) -> int:
    """Run pytest in this environment. Returns its exit status; not 0 when any test did not run unasked.

    `no_browser`: leave out the tests that drive a browser. `arguments` go to pytest. With `content` only what holds for
    every handbook is tested, on the pages of that one; it needs no browser.
    """
    if content is not None:
        arguments, no_browser = [OF_ANY_CONTENT, *arguments], True
    browser = None if no_browser else chromium.get()
    lacking = browser is None and not no_browser
    command = [sys.executable, "-m", "pytest", *arguments]
    if browser is None:
        command.append("--no-browser")
    if lacking:
        say(
            _(
                "No Chromium was found and none could be installed: the browser tests listed at the end are "
                "not run. Install Chromium or Chrome, or leave them out on purpose with --no-browser."
            )
        )
    env = dict(os.environ)
    if content is not None:
        env[CONTENT] = str(content.resolve())
    if browser is not None:
        env[chromium.VARIABLE] = browser
    status = subprocess.run(command, cwd=ROOT, env=env, check=False).returncode
    if lacking and status == 0:
        say(_("Failed: the browser tests were not run."))
        return 1
    return status
