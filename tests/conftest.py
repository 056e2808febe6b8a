"""For all tests: which of them drive a browser, and that none counts as passed without having run."""

import os
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

LONGEST = 12
"""So many files are named that took longest."""


def pytest_addoption(parser: pytest.Parser) -> None:
    """--no-browser, --no-webkit: leave out the tests that drive a browser, or WebKit."""
    parser.addoption("--no-browser", action="store_true", help="leave out the tests that drive a browser")
    parser.addoption("--no-webkit", action="store_true", help="leave out the tests that drive WebKit")


class _Account:
    """What did not run: left out on purpose, or skipped by itself (single tests, and files as a whole)."""

    def __init__(self) -> None:
        self.left_out: list[str] = []
        self.skipped: list[str] = []
        self.took: dict[str, float] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note each test that skipped itself, and what each file takes."""
        file = report.nodeid.split("::")[0]
        self.took[file] = self.took.get(file, 0) + report.duration
        if report.skipped:
            self.skipped.append(report.nodeid)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """Note each file that skipped itself: its tests are not even counted."""
        if report.skipped:
            self.skipped.append(report.nodeid)


_ACCOUNT = pytest.StashKey[_Account]()


def pytest_configure(config: pytest.Config) -> None:
    """Open the account."""
    config.stash[_ACCOUNT] = _Account()
    config.pluginmanager.register(config.stash[_ACCOUNT])


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark everything in tests/browser, and leave it out when asked to; first, so that `-m` sees the marks."""
    browser = ROOT / "tests" / "browser"
    for item in items:
        if browser in item.path.parents:
            item.add_marker("browser")
        if browser / "webkit" in item.path.parents:
            item.add_marker("webkit")
    unwanted = [name for name in ("browser", "webkit") if config.getoption(f"--no-{name}")]
    out = [item for item in items if any(item.get_closest_marker(name) for name in unwanted)]
    if out:
        items[:] = [item for item in items if item not in out]
        config.hook.pytest_deselected(items=out)
        config.stash[_ACCOUNT].left_out = [item.nodeid for item in out]


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """A run with skipped tests has failed."""
    if (
        exitstatus in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED)
        and session.config.stash[_ACCOUNT].skipped
    ):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Say plainly what did not run, and what took the time."""
    account = config.stash[_ACCOUNT]
    if len(account.took) > LONGEST:
        whole = sum(account.took.values())
        terminalreporter.section("what took the time")
        for file, took in sorted(account.took.items(), key=lambda one: -one[1])[:LONGEST]:
            terminalreporter.line(f"{took:7.1f} s {took / whole:5.1%}  {file}")
    if account.left_out:
        files: dict[str, int] = {}
        for nodeid in account.left_out:
            files[nodeid.split("::")[0]] = files.get(nodeid.split("::")[0], 0) + 1
        terminalreporter.section("not run: browser tests")
        for file, number in sorted(files.items()):
            terminalreporter.line(f"{file}: {number} not run")
        terminalreporter.line(f"{len(account.left_out)} browser tests were not run.")
    if account.skipped:
        terminalreporter.section("failed: tests that skipped themselves")
        for nodeid in account.skipped:
            terminalreporter.line(nodeid)
        terminalreporter.line(
            f"{len(account.skipped)} tests were skipped; a test that does not run has not passed."
        )


@pytest.fixture(scope="session")
def chromium_path() -> str:
    """The browser that the launcher found, or one found now."""
    from macros import chromium

    return os.environ.get(chromium.TESTED) or whole_chromium()


@pytest.fixture(scope="session")
def whole_chromium_path() -> str:
    """The same with the settings of its user."""
    return whole_chromium()


def whole_chromium() -> str:
    """An installed Chromium."""
    from macros import chromium  # here: some tests use this file without the rest of the project

    found = os.environ.get(chromium.VARIABLE) or chromium.find()
    assert found, "no Chromium was found: install one, or run with --no-browser"
    return found
