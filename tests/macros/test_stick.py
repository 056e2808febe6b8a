"""The folder edition's files: what is held where, links, names of modules; and the zip that is written."""

import base64
import gzip
import json
import re
import zipfile
from pathlib import Path

import pytest

from macros import cli, naming, stick
from macros.console import Stop


@pytest.fixture
def site(tmp_path: Path) -> Path:
    folder = tmp_path / "site"
    for name, text in {
        "index.html": '<link rel="manifest" href="./manifest.webmanifest"><script src="./app/boot.js"></script>'
                      '<a href="./#machine">m</a><a href="./find/">f</a><form action="./find/">',
        "parts/x/index.html": '<a href="../../">h</a><a href="../../find/#parts">p</a><a href="#main">s</a><a '
                              'href="../../a.txt">t</a>',
        "app/boot.js": "begin();",
        "app/main.js": 'import { a } from "./site.js";\nconst b = await import(`./${name}.js`);',
        "app/site.js": 'import { c } from "../record/store.js"; new URL("worker.js", import.meta.url); // \u2028',
        "record/store.js": 'import { d } from "../app/site.js";', "look/look.css": "*", "search/index.json": "[1]",
        "a.txt": "t",
        "runtime/0123456789abcdef/python.wasm": "wasm", "sw.js": "s", "edition.json": "{}", "404.html": "4",
        "manifest.webmanifest": "{}",
    }.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, "utf-8")
    naming.by_content(folder)
    return folder


def test_links_lead_to_pages(site: Path):
    made = stick.files(site)
    home = made["index.html"].decode()
    assert re.findall(r'(?:href|action)="([^"]*)"', home) == ["./index.html#machine", "./find/index.html",
                                                              "./find/index.html"]
    page = made["parts/x/index.html"].decode()
    assert re.findall(r'href="([^"]*)"', page) == ["../../index.html", "../../find/index.html#parts", "#main",
                                                   "../../a.txt"]


def test_modules_stand_in_the_one_script_and_name_each_other(site: Path):
    made = stick.files(site)
    assert {name for name in made if name.endswith(".js")} == {
        next(name for name in made if name.endswith("/app/boot.js")), "held/0.js", "held/1.js"}
    [boot] = [text.decode() for name, text in made.items() if name.endswith("/app/boot.js")]
    first, _rest = boot.split("\n", 1)
    given = json.loads(first.removeprefix("self.handbookHeld = ").removesuffix(";"))
    assert boot.endswith("begin();") and re.fullmatch(r"scripts/[0-9a-f]{16}/", given["top"])
    assert given["scripts"] == {
        "app/main.js": 'import { a } from "handbook/app/site.js";\nconst b = await import(`handbook/app/${name}.js`);',
        "app/site.js": 'import { c } from "handbook/record/store.js"; new URL("worker.js", '
                       'self.handbookAt("app/site.js")); // \u2028',
        "record/store.js": 'import { d } from "handbook/app/site.js";'}
    assert "\u2028" not in first
    assert given["files"] == {"runtime/0123456789abcdef/python.wasm": "held/0.js", "search/index.json": "held/1.js"}
    packed = re.fullmatch(rb'handbookHold\("search/index.json", "(.*)"\);\n', made["held/1.js"])
    assert packed and gzip.decompress(base64.b64decode(packed[1])) == b"[1]"


def test_what_only_a_server_needs_is_left_out(site: Path):
    assert not set(stick.files(site)) & {"sw.js", "edition.json", "404.html", "manifest.webmanifest",
                                         "search/index.json"}
    assert stick.files(site)["a.txt"] == b"t"


def test_the_same_site_gives_the_same_zip_over_the_one_before(site: Path, tmp_path: Path):
    file = stick.target(tmp_path / "handbook.zip")
    number = stick.write(site, file, "Ours & <theirs>")
    first = file.read_bytes()
    stick.write(site, stick.target(file), "Ours & <theirs>")
    assert file.read_bytes() == first
    with zipfile.ZipFile(file) as archive:
        assert len(archive.namelist()) == number and archive.testzip() is None
        start = archive.read("handbook.html").decode()
        assert "url=handbook/index.html" in start and "Ours &amp; &lt;theirs&gt;" in start
        assert {name.split("/")[0] for name in archive.namelist()} == {"handbook.html", "handbook"}
    assert sorted(path.name for path in tmp_path.iterdir()) == ["handbook.zip", "site"]


@pytest.mark.parametrize(("name", "says"), [
    ("handbook.tar", "must end in .zip"), ("none/handbook.zip", "stand in a folder that there is"),
    ("theirs.zip", "is no folder edition"),
    ("plain.zip", "is no folder edition")])
def test_another_file_is_not_written_over(tmp_path: Path, name: str, says: str):
    with zipfile.ZipFile(tmp_path / "theirs.zip", "w") as archive:
        archive.writestr("a", "b")
    (tmp_path / "plain.zip").write_text("no zip", "utf-8")
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    with pytest.raises(Stop, match=says) as stop:
        cli.parse(["publish", "--zip", str(tmp_path / name)])
    assert stop.value.status == 2
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before


@pytest.mark.parametrize("arguments", [["publish"], ["publish", "web", "--zip", "a.zip"]])
def test_where_to_must_be_said_once(arguments: list[str]):
    with pytest.raises(Stop, match="say where to"):
        cli.parse(arguments)
