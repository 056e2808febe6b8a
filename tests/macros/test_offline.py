"""The list of an edition's files: every file that readers use, by hash, the same for the same files."""

import hashlib
import json
from pathlib import Path

import pytest

from macros import offline


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A small built site."""
    for name, text in {
        "index.html": "home", "procedures/x/index.html": "x", "saved/index.html": "saved", "scripts/main.js": "1",
        "look/look.css": "2", "runtime/abc/pyodide.js": "3", "find.json": "{}", "drawings/ä b.svg": "<svg/>",
        "sw.js": "s", "404.html": "none", "sitemap.xml": "m", "scripts/main.js.map": "m", ".nojekyll": "",
    }.items():
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, "utf-8")
    return tmp_path


def test_lists_what_readers_use_under_its_address(site: Path):
    edition = offline.write(site, 3, "2026-11-25")
    assert [file.url for file in edition.files] == [
        "./", "drawings/ä b.svg", "find.json", "look/look.css", "procedures/x/", "runtime/abc/pyodide.js", "saved/",
        "scripts/main.js"]
    assert [file.url for file in edition.files if file.shell] == ["./", "look/look.css", "saved/", "scripts/main.js"]


def test_hash_and_size_are_those_of_the_files(site: Path):
    written = json.loads((offline.write(site, 3, "2026-11-25") and site / "edition.json").read_text("utf-8"))
    by_url = {file["url"]: file for file in written["files"]}
    assert by_url["procedures/x/"]["sha256"] == hashlib.sha256(b"x").hexdigest()
    assert by_url["drawings/ä b.svg"]["bytes"] == 6
    assert written["bytes"] == sum(file["bytes"] for file in written["files"])
    assert (written["edition"], written["date"]) == (3, "2026-11-25")


def test_the_same_files_give_the_same_list(site: Path):
    offline.write(site, 3, "2026-11-25")
    first = (site / "edition.json").read_bytes()
    offline.write(site, 3, "2026-11-25")  # the list itself is not in it
    assert (site / "edition.json").read_bytes() == first


@pytest.mark.parametrize("change", ["content", "name", "more", "less", "number", "date"])
def test_any_change_gives_another_id(site: Path, change: str):
    before = offline.write(site, 3, "2026-11-25").id
    if change == "content":
        (site / "procedures/x/index.html").write_text("y")
    elif change == "name":
        (site / "find.json").rename(site / "found.json")
    elif change == "more":
        (site / "new.svg").write_text("<svg/>")
    elif change == "less":
        (site / "find.json").unlink()
    number, date = 4 if change == "number" else 3, "2026-11-26" if change == "date" else "2026-11-25"
    assert offline.write(site, number, date).id != before


def test_what_is_not_listed_does_not_change_the_id(site: Path):
    before = offline.write(site, 3, "2026-11-25").id
    (site / "sitemap.xml").write_text("another")
    assert offline.write(site, 3, "2026-11-25").id == before
