"""`serve --edit`: what is saved is built, what is wrong is told to the pages, and the last good pages stay."""

import json
import shutil
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from macros import editing, runtime, serve, web
from macros.editing import asked
from tests.macros.test_serve import ask

SMALL = Path(__file__).parent / "pages" / "content"
SURVEY = "procedures/survey.yml"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    shutil.copytree(SMALL, tmp_path / "own")
    return tmp_path / "own"


@pytest.fixture
def edited(content: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[editing.Editing, serve.Server]]:
    monkeypatch.setattr(runtime, "put", lambda _site: None)
    one = editing.Editing(content)
    server = serve.Server(one.folder, 0)
    server.before = one.answer
    yield one, server.start()
    server.close()
    one.close()


def put(content: Path, old: str, new: str, file: str = SURVEY) -> None:
    text = (content / file).read_text("utf-8")
    assert old in text
    (content / file).write_text(text.replace(old, new, 1), "utf-8")


def news(server: serve.Server, turn: object = "") -> dict:
    return json.loads(ask(server, f"/~edit/now?turn={turn}")[2])


def test_pages_follow_what_is_saved_and_stay_while_it_is_wrong(content, edited, capsys):
    one, server = edited
    put(content, "title: ", "titel: ")
    assert one.look() and not one.look()
    first = news(server)
    assert "survey.yml:" in first["html"] and "Did you mean &quot;title&quot;?" in first["html"] and "^</pre>" in first["html"]
    status, headers, body = ask(server, "/procedures/survey/")  # nothing was in order yet: a bare page that waits
    assert status == 503 and b"~edit/editing.js?built=" in body
    assert headers["Content-Security-Policy"] == web.CSP and headers["Cache-Control"] == "no-store"

    put(content, "titel: ", "title: ")
    assert one.look()
    good = news(server, first["turn"])
    assert good["html"] == "" and good["built"] == first["built"] + 1
    page = ask(server, "/procedures/survey/")
    assert page[0] == 200 and f"editing.js?built={good['built']}".encode() in page[2]

    put(content, "minutes: ", "minutes: <b>x")
    put(content, "title: ", "titel: ", "tools.yml")
    assert one.look()
    wrong = news(server, good["turn"])
    assert wrong["built"] == good["built"] and wrong["turn"] > good["turn"]
    assert wrong["html"].count("<li>") == wrong["html"].count("^</pre>") >= 3 and "&lt;b&gt;x" in wrong["html"]
    assert "survey.yml:" in capsys.readouterr().out  # at the terminal too
    assert ask(server, "/procedures/survey/")[2] == page[2]


def test_what_mkdocs_alone_refuses_is_told_too(content, edited):
    one, server = edited
    (content / "floors.md").write_text("# Floors\n\n[gone](tools/#nowhere)\n", "utf-8")
    assert one.look()
    assert "nowhere" in news(server)["html"] and one.site is None


def test_only_pages_are_marked_and_nothing_is_saved_from_here(content, edited):
    one, server = edited
    one.look()
    status, _headers, body = ask(server, "/no/such/page/")
    assert status == 404 and b"editing.js" in body
    for path in (f"/{found.relative_to(one.site).as_posix()}" for name in ("look.css", "main.js", "manifest.webmanifest")
                 for found in one.site.rglob(name)):
        status, _headers, body = ask(server, path)
        assert status == 200 and body == (one.site / path[1:]).read_bytes() and b"~edit" not in body
    assert ask(server, "/sw.js")[0] == 404
    assert [ask(server, f"/~edit/{name}")[0] for name in (*editing.FILES, "__init__.py", "../serve.py", "")] == [200, 200, 404, 404, 404]
    assert not [path for path in one.site.rglob("*") if path.is_file() and b"~edit" in path.read_bytes()]


def test_pages_are_made_as_they_are_asked_for_and_nothing_else_is_built(content, edited, monkeypatch):
    one, server = edited
    one.look()
    built = one.site
    put(content, "title: ", "title: Newly said - ")
    shutil.copyfile(content / SURVEY, content / "procedures" / "second.yml")
    assert one.look() and one.site == built and news(server)["html"] == ""
    assert b"Newly said" in ask(server, "/procedures/survey/")[2] and b"Newly said" in ask(server, "/procedures/second/")[2]
    status, headers, _body = ask(server, "/procedures/second")
    assert (status, headers["Location"]) == (301, "second/")
    assert b"procedures/second/" in ask(server, "/find/")[2]

    index = built / "search" / "index.json"
    assert "Newly said" not in index.read_text("utf-8")
    monkeypatch.setattr(asked, "QUIET", 0)
    for _look in range(600):
        one.look()
        if "Newly said" in index.read_text("utf-8"):
            break
        time.sleep(0.05)
    assert index.read_text("utf-8").count("Newly said") >= 2

    (content / "procedures" / "second.yml").unlink()
    assert one.look() and one.site == built
    assert ask(server, "/procedures/second/")[0] == 404
    put(content, "name: ", "name: Another ", "handbook.yml")  # which stands in files beside the pages
    assert one.look() and one.site != built


def test_two_builds_are_kept_and_none_after_the_end(content, edited):
    one, _server = edited
    for number in range(3):
        put(content, "name: ", f"# {number}\nname: ", "handbook.yml")
        assert one.look()
    assert len(list(one.folder.iterdir())) == 2
    one.close()
    assert not one.folder.exists()
