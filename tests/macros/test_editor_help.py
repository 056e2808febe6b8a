"""Editors complete, explain and mark the content: asked of the language server for YAML that most of them start.

It is spoken to as an editor does (Language Server Protocol, JSON by standard input and output), without any list of
schemas of its own: what it knows it knows from the first line of each file.
"""

import json
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from macros import schema_files, setup_npm, starting

from .contents import DEMO, SMALL

OWN = {"yaml": {"validate": True, "hover": True, "completion": True, "schemaStore": {"enable": False}}}
"""What an editor is set to; the store of schemas in the net is off."""


class Editor:
    """An editor with the server, and the files that are open in it."""

    def __init__(self, folder: Path) -> None:
        server = setup_npm.ensure(wanted=setup_npm.FOR_TESTS) / "yaml-language-server" / "bin" / "yaml-language-server"
        self._child = subprocess.Popen([setup_npm.node(), server, "--stdio"], stdin=subprocess.PIPE,
                                       stdout=subprocess.PIPE)
        self._asked = 0
        self.ask("initialize", processId=None, rootUri=folder.as_uri(), capabilities={
            "textDocument": {"hover": {}, "completion": {}, "publishDiagnostics": {}}})
        self._tell("initialized")
        self._tell("workspace/didChangeConfiguration", settings=OWN)

    def close(self) -> None:
        self._child.kill()
        self._child.communicate()

    def open(self, path: Path) -> list[tuple[int, str]]:
        """Open a file: its red lines, each with the line (from 1) and what is said."""
        self._tell("textDocument/didOpen", textDocument={
            "uri": path.as_uri(), "languageId": "yaml", "version": 1, "text": path.read_text("utf-8")})
        while True:
            heard = self._heard()
            if heard.get("method") == "textDocument/publishDiagnostics" and heard["params"]["uri"] == path.as_uri():
                return [(one["range"]["start"]["line"] + 1, one["message"]) for one in heard["params"]["diagnostics"]]

    def ask(self, method: str, **params: Any) -> Any:
        """The answer to a request."""
        self._asked += 1
        self._send({"id": self._asked, "method": method, "params": params})
        while True:
            heard = self._heard()
            if heard.get("id") == self._asked and "method" not in heard:
                assert "error" not in heard, heard
                return heard["result"]

    def at(self, method: str, path: Path, line: int, column: int) -> Any:
        """What is answered about a place (line and column from 1)."""
        return self.ask(method, textDocument={"uri": path.as_uri()},
                        position={"line": line - 1, "character": column - 1})

    def _tell(self, method: str, **params: Any) -> None:
        self._send({"method": method, "params": params})

    def _send(self, message: dict[str, Any]) -> None:
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        self._child.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self._child.stdin.flush()

    def _heard(self) -> dict[str, Any]:
        """The next message; what the server itself asks is answered."""
        length = 0
        while line := self._child.stdout.readline().strip():
            name, _colon, value = line.partition(b":")
            length = int(value) if name.lower() == b"content-length" else length
        assert length, "the server has ended"
        heard = json.loads(self._child.stdout.read(length))
        if "method" in heard and "id" in heard:
            wanted = heard["params"]["items"] if heard["method"] == "workspace/configuration" else None
            self._send({"id": heard["id"], "result": [OWN.get(one["section"]) for one in wanted] if wanted else None})
        return heard


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A company's own handbook, the demo and a small one, each with its schemas."""
    top = tmp_path_factory.mktemp("editor").resolve()
    starting.make(starting.Wanted(top / "own", "Our floors", "Our company", "#5A2D7E"), lambda _question,
                  proposal: proposal)
    shutil.copytree(DEMO, top / "demo")
    shutil.copytree(SMALL, top / "small")
    schema_files.write(top / "small")
    return top


@pytest.fixture(scope="module")
def editor(folder: Path) -> Iterator[Editor]:
    started = Editor(folder)
    yield started
    started.close()


def test_no_line_of_sound_content_is_red(editor: Editor, folder: Path):
    files = sorted(folder.rglob("*.yml"))
    red = {str(path.relative_to(folder)): found for path in files if (found := editor.open(path))}
    assert red == {} and len(files) > 40


@pytest.mark.parametrize("file, old, new, says", [
    ("procedures/survey.yml", "minutes: 2", "minuts: 2", "minuts"),
    ("procedures/survey.yml", "minutes: 2", "minutes: two", "integer"),
    ("machines/m.yml", "edges: 4", "edges: 9", "maximum of 8"),
    ("hazards.yml", "signal: warning", "signal: alarm", "warning"),
    ("glossary.yml", "title: tank port, ", "", "title"),
])
def test_what_is_wrong_is_red_where_it_stands(
        editor: Editor, folder: Path, tmp_path: Path, file: str, old: str, new: str, says: str):
    text = (folder / "small" / file).read_text("utf-8")
    assert old in text
    spoilt = folder / "small" / file.replace(".yml", f"-{tmp_path.name}.yml")
    spoilt.write_text(text.replace(old, new, 1), "utf-8")
    line = text[:text.index(old)].count("\n") + 1
    found = editor.open(spoilt)
    assert any(at == line and says in message for at, message in found), found


def test_an_entry_is_explained_and_what_may_follow_is_offered(editor: Editor, folder: Path):
    path = folder / "own" / "procedures" / "talk.yml"
    lines = (folder / "own" / "procedures" / "daily-care.yml").read_text("utf-8").splitlines()
    achieves = next(number for number, line in enumerate(lines, 1) if line.startswith("achieves:"))
    do = next(number for number, line in enumerate(lines, 1) if line.strip().startswith("do:"))
    path.write_text("\n".join([*lines[:do], "    ", *lines[do:], ""]), "utf-8")
    editor.open(path)
    said = editor.at("textDocument/hover", path, achieves, 3)["contents"]["value"]
    assert said.startswith("What is better afterwards, in one sentence.")
    offered = {one["label"] for one in editor.at("textDocument/completion", path, do + 1, 5)["items"]}
    step = json.loads((folder / "own" / "schema" / "procedure.json").read_text("utf-8"))
    assert {"sets", "needs", "leaves", "wait"} <= offered and not offered & {"do", "text", "hands", "title"}
    assert all(one in json.dumps(step) for one in offered)
