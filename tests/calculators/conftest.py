"""Prints what the calculators were held against, once their tests have run."""

import pytest

from . import outside


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """The list of outside checks, made by the tests that ran."""
    if outside.NOTES:
        terminalreporter.section("outside checks of the calculators")
        terminalreporter.line("calculator | output | oracle | range | cases")
        for line in outside.lines():
            terminalreporter.line(line)
