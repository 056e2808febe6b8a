"""The verb test: get what the tests need, run them, and count nothing as passed that did not run."""

import contextlib
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from macros import chromium, webkit
from macros.console import ROOT, say
from macros.words import _

CONTENT = "HANDBOOK_TEST_CONTENT"
"""Environment variable with the content folder whose pages are tested in place of the program's own."""

OF_ANY_CONTENT = "tests/macros/pages/test_every_page.py"
"""What holds for every page of every handbook."""

LANES = (("-m", "browser"), ("-m", "not browser", "-o", "cache_dir=.cache/pytest-beside"))
"""A whole run goes in two lanes at once: a browser waits much, and the rest is arithmetic."""


def run(no_browser: bool, no_webkit: bool, arguments: Sequence[str], content: Path | None = None) -> int:
    """Run pytest in this environment. Returns its exit status; not 0 when any test did not run unasked.

    `no_browser`: leave out the tests that drive a browser; `no_webkit`: those that drive WebKit. `arguments` go
    to pytest. With `content` only what holds for every handbook is tested, on the pages of that one; it needs no browser.
    """
    if content is not None:
        arguments, no_browser = [OF_ANY_CONTENT, *arguments], True
    browser = None if no_browser else chromium.get()
    second = None if browser is None or no_webkit else webkit.get()
    env = dict(os.environ)
    if content is not None:
        env[CONTENT] = str(content.resolve())
    left_out = []
    if browser is None:
        left_out.append("--no-browser")
        if not no_browser:
            say(_("No Chromium was found and none could be installed: the browser tests listed at the end are "
                  "not run. Install Chromium or Chrome, or leave them out on purpose with --no-browser."))
    else:
        env[chromium.TESTED] = chromium.windowless() or browser
        env[chromium.VARIABLE] = browser
        if second is None:
            left_out.append("--no-webkit")
            if not no_webkit:
                say(_("No WebKitGTK was found and none could be installed: the tests listed at the end are not run. Install "
                      "webkit2gtk-driver and xvfb, or leave them out on purpose with --no-webkit."))
    lacking = (browser is None and not no_browser) or (browser is not None and second is None and not no_webkit)
    lanes = LANES if browser is not None and not arguments else ((),)
    status = _run([[sys.executable, "-m", "pytest", *arguments, *left_out, *lane] for lane in lanes], env)
    if lacking and status == 0:
        say(_("Failed: not all browser tests were run."))
        return 1
    return status


def _run(commands: list[list[str]], env: dict[str, str]) -> int:
    """Run the commands at once: the first is shown as it goes, what the others say follows. The first status not 0."""
    first, *others = commands
    with contextlib.ExitStack() as open_:
        beside = []
        for command in others:
            said = open_.enter_context(tempfile.TemporaryFile())
            beside.append((subprocess.Popen(command, cwd=ROOT, env=env, stdout=said, stderr=subprocess.STDOUT), said))
        statuses = [subprocess.run(first, cwd=ROOT, env=env, check=False).returncode]
        for process, said in beside:
            statuses.append(process.wait())
            said.seek(0)
            sys.stdout.write(said.read().decode(errors="replace"))
    return next((status for status in statuses if status), 0)
