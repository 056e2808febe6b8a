"""The record's modules without a browser: one Node process, asked call by call."""

import json
import os
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from macros import setup_npm
from macros.console import ROOT

RECORD = ROOT / "site_overrides" / "record"


class Node:
    """A Node process that has the record's modules."""

    def __init__(self, packages: Path) -> None:
        node, _npm = setup_npm.node_in(setup_npm._own_packages())
        library = packages / "@cfworker" / "json-schema" / "dist" / "esm"
        self._process = subprocess.Popen(
            [node, "--disable-warning=MODULE_TYPELESS_PACKAGE_JSON", Path(__file__).with_name("runner.mjs"), RECORD, library],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, encoding="utf-8", env={**os.environ, "NODE_OPTIONS": ""})

    def call(self, module: str, name: str, *given: Any) -> Any:
        """The result of the function `name` of record/`module`.js, plain JSON in and out."""
        return self._ask({"module": module, "name": name, "given": given})

    def do(self, name: str, **given: Any) -> Any:
        """The result of a call of runner.mjs, which takes or gives bytes."""
        return self._ask({"name": name, "given": given})

    def _ask(self, call: dict[str, Any]) -> Any:
        self._process.stdin.write(json.dumps(call) + "\n")
        self._process.stdin.flush()
        answer = json.loads(self._process.stdout.readline() or '{"error": "Node has ended"}')
        assert "error" not in answer, answer["error"]
        return answer.get("result")

    def end(self) -> None:
        """End the process."""
        self._process.stdin.close()
        self._process.wait(10)


@pytest.fixture(scope="session")
def node() -> Iterator[Node]:
    """One process for all tests."""
    started = Node(setup_npm.ensure())
    yield started
    started.end()


@pytest.fixture(scope="session")
def schema() -> dict[str, Any]:
    """The published schema."""
    return json.loads((RECORD / "visit.schema.json").read_text("utf-8"))
