"""For the tests of the build: the search asked through Node, and the table of its questions at the end of the run."""

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest

from macros import setup_npm
from tests.browser.tables import Table

ASK = Path(__file__).with_name("ask.mjs")

QUESTIONS = Table("the search: which page comes first", ("asked", "questions", "first", "among the first three", "not first"))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """The table that the test of the questions filled."""
    QUESTIONS.show(terminalreporter)


def ask(site: Path, questions: list[str]) -> list[list[dict[str, Any]]]:
    """The hits for each question, from the index in the built `site`; one process for all."""
    [engine] = site.rglob("search/engine.js")  # in a whole site among the scripts that are named by their content
    command = [str(setup_npm.node()), "--disable-warning=MODULE_TYPELESS_PACKAGE_JSON", str(ASK), str(engine),
               str(site / "search" / "index.json")]
    ran = subprocess.run(command, input=json.dumps(questions), capture_output=True, text=True, encoding="utf-8", check=False)
    assert ran.returncode == 0 and not ran.stderr, ran.stderr
    return json.loads(ran.stdout)


@pytest.fixture(scope="session")
def packages() -> Path:
    """npm's folder of packages."""
    return setup_npm.ensure()
