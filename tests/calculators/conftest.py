"""For the calculators' tests: the same cases on every run; then prints what the calculators were held against."""

import pytest
from hypothesis import settings

from calculators import calculators

from . import outside

# No case fails for being slow, and none hangs on chance or on what an earlier run has kept.
settings.register_profile("calculators", derandomize=True, deadline=None, database=None)
settings.load_profile("calculators")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """The list of outside checks, made by the tests that ran."""
    if outside.NOTES:
        terminalreporter.section("outside checks of the calculators")
        terminalreporter.line("calculator | output | oracle | range | cases")
        for line in outside.lines():
            terminalreporter.line(line)
        for line in outside.without({one.id: [figure.name for figure in one.figures] for one in calculators()}):
            terminalreporter.line(f"{line}: held against nothing outside in this run")
