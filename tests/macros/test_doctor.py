"""The doctor, at a sound address and at servers with one fault each."""

import gzip
import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from macros import cli, doctor, naming, offline, web
from macros.check import load_and_check
from macros.console import Stop
from macros.serve import Handler, Server, serve_folder
from tests.browser.tools import send
from tests.macros.contents import SMALL

LONG = "<p>" + "water " * 400


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small site, its files long enough to be compressed."""
    folder = tmp_path_factory.mktemp("doctor") / "site"
    for name, text in {
        "index.html": LONG + '<script src="./app/boot.js"></script>', "procedures/x/index.html": LONG,
        "404.html": '<html data-base="/"><p>There is no such page', "app/boot.js": "// " + LONG,
        "look/look.css": "/* */",
        "find.json": "[]", "sw.js": "event.respondWith(1)", "runtime/0123456789abcdef/python.wasm": LONG,
        "look/icon.svg": "<svg/>",
    }.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, "utf-8")
    naming.by_content(folder)
    offline.write(folder, 3, "2026-11-25", "field")
    return folder


Fault = Callable[[Handler, str], bool]


@pytest.fixture
def server(site: Path) -> Iterator[Server]:
    """Serves the site as publish's settings would, compressed too; `fault` is asked first about each request."""
    with serve_folder(site) as running:
        running.before = lambda handler: answer(handler, running)
        running.fault = lambda handler, name: False
        yield running


def answer(handler: Handler, server: Server) -> bool:
    name = handler.path.lstrip("/")
    return server.fault(handler, name) or plain(handler, server, name)


def plain(handler: Handler, server: Server, name: str, packed: bool = True, status: int = 200,
          body: bytes | None = None,
          **changed: str | None) -> bool:
    """The file as it is to be, but for what is `changed` (None: the header is left out)."""
    file = server.folder / (name + "index.html" if name.endswith("/") or not name else name)
    if not file.is_file():
        return False
    headers = {**web.HEADERS, "Content-Type": web.TYPES[file.suffix], "Cache-Control": web.caching(name)}
    for header, value in changed.items():
        headers[header.replace("_", "-")] = value
    data = file.read_bytes() if body is None else body
    packed = packed and file.suffix != ".zip"
    if packed:
        headers["Content-Encoding"] = "gzip"
        data = gzip.compress(data)
    handler.send_response(status)
    for header, value in headers.items():
        if value is not None:
            handler.send_header(header, value)
    handler.send_header("Content-Length", str(len(data)))
    handler.end_headers()
    handler.wfile.write(data)
    return True


def looked(server: Server, capsys: pytest.CaptureFixture[str]) -> tuple[int, list[str]]:
    status = doctor.run(server.url)
    return status, capsys.readouterr().out.splitlines()


def test_a_sound_address(server: Server, capsys: pytest.CaptureFixture[str]):
    assert looked(server, capsys) == (0, [])


def changed(where: Callable[[str], bool], **what) -> Callable[[Server], Fault]:
    """A fault: files whose names `where` takes are sent otherwise."""
    return lambda server: lambda handler, name: where(name) and plain(handler, server, name, **what)


def replied(where: Callable[[str], bool], status: int, body: bytes = b"", type: str = "text/html", **headers: str):
    """A fault: something else is answered in the place of files whose names `where` takes."""
    return lambda server: lambda handler, name: where(name) and send(handler, status, body, type, **headers)


every = lambda name: True  # noqa: E731
ends = lambda ending: lambda name: name.endswith(ending)  # noqa: E731

FAULTS = {
    "type of WebAssembly": (changed(ends(".wasm"), Content_Type="application/octet-stream"),
                            "Sent as application/octet-stream instead of application/wasm (1, first runtime/"),
    "type of scripts": (changed(ends("boot.js"), Content_Type="text/plain"),
                        "Set the type of .js in the server's settings."),
    "letters of pages": (changed(lambda name: name in ("", "procedures/x/"), Content_Type="text/html"),
                         "Sent as text/html instead of text/html; charset=utf-8 (2, first ./)"),
    "type of the service worker": (changed(ends("sw.js"), Content_Type="text/plain"), "first sw.js"),
    "content policy": (changed(every, Content_Security_Policy=None), "Header missing: Content-Security-Policy ("),
    "another content policy": (changed(every, Content_Security_Policy="default-src *"),
                               "Header other than it is to be: Content-Security-Policy: default-src *"),
    "guessing of types": (changed(every, X_Content_Type_Options=None),
                          'X-Content-Type-Options (9, first edition.json). Send "nosniff"'),
    "kept without asking": (changed(lambda name: name == "procedures/x/", Cache_Control="max-age=600"),
                            "May be kept by browsers without asking (Cache-Control: max-age=600) (1, first "
                            "procedures/x/)"),
    "nothing said of keeping": (changed(ends("find.json"), Cache_Control=None),
                                "(Cache-Control: none) (1, first find.json)"),
    "the service worker kept": (changed(ends("sw.js"), Cache_Control="max-age=86400"), "(1, first sw.js)"),
    "asked about again and again": (changed(ends("boot.js"), Cache_Control="no-cache"),
                                    "Named by its content, and yet not kept by browsers"),
    "not compressed": (changed(every, packed=False), "Not compressed (4, first ./)"),
    "a file missing": (replied(ends(".wasm"), 404),
                       "Missing: status 404 (1, first runtime/0123456789abcdef/python.wasm). Publish again"),
    "a file of another edition": (changed(ends("find.json"), body=b"[1]"),
                                  "Not the file of this edition (1, first find.json)"),
    "a sign-in page in the place of files": (replied(ends("find.json"), 200, b"<form>sign in"),
                                             "Not the file of this edition"),
    "a file sent on": (replied(ends("find.json"), 302, Location="/sign-in"),
                       "/sign-in (1, first find.json). Answer with the file itself"),
    "no service worker": (replied(ends("sw.js"), 404),
                          "Missing: status 404 (1, first sw.js). Without it no device can save"),
    "the service worker sent on": (replied(ends("sw.js"), 301, Location="/x.js"), "Without it no device can save"),
    "home page for what is missing": (replied(lambda name: name == doctor.MISSING, 200, b"<p>home"),
                                      "status 200 instead of 404"),
    "a page of the server's own for what is missing": (replied(lambda name: name == doctor.MISSING, 404, b"<h1>404"),
                                                       "not answered with the handbook's 404.html"),
    "the page for what is missing at another base": (
        replied(lambda name: name == doctor.MISSING, 404, b'<html data-base="/books/">'),
        "looks for its files at /books/ instead of /"),
    "the slash put on at another host": (replied(lambda name: name == "procedures/x", 301,
                                                 Location="http://inner:8080/procedures/x/"),
                                         "leads to http://inner:8080/procedures/x/ (status 301)"),
    "the slash not put on": (replied(lambda name: name == "procedures/x", 404), "without its last slash leads to"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_each_fault_is_named_with_what_to_do(server: Server, capsys: pytest.CaptureFixture[str], name: str):
    fault, says = FAULTS[name]
    server.fault = fault(server)
    status, lines = looked(server, capsys)
    assert status == 1 and len(lines) == 1, lines
    assert says in lines[0] and lines[0].endswith((".", "/")), lines[0]


def test_several_faults_are_one_line_each(server: Server, capsys: pytest.CaptureFixture[str]):
    server.fault = lambda handler, name: plain(handler, server, name, packed=False, Referrer_Policy=None,
                                               Cache_Control="no-cache")
    status, lines = looked(server, capsys)
    assert status == 1 and len(lines) == 3, lines


def test_a_connection_that_breaks_off(server: Server, capsys: pytest.CaptureFixture[str]):
    def fault(handler: Handler, name: str) -> bool:
        if name == "find.json":
            raise ConnectionAbortedError
        return False

    server.fault = fault
    status, lines = looked(server, capsys)
    assert status == 1 and "Does not answer: " in lines[0] and "first find.json" in lines[0]


def test_an_address_that_sends_readers_on(site: Path, capsys: pytest.CaptureFixture[str]):
    with serve_folder(site, base="/books/") as server:
        server.before = lambda handler: (handler.path.startswith("/books/") and plain(handler, server, handler.path[7:])
                                         or handler.path == "/old/"
                                         and send(handler, 301, b"", "text/html", Location=server.url))
        assert doctor.run(server.url.replace("/books/", "/old/")) == 1
        lines = capsys.readouterr().out.splitlines()
        assert f"sends readers on to {server.url}. Give readers that address" in lines[0]
        assert "Publish with --address" in lines[1] and len(lines) == 2, "it was published for the root"


def test_an_edition_that_is_not_the_contents_own(site: Path, server: Server, capsys: pytest.CaptureFixture[str]):
    assert cli.run(cli.parse(["doctor", server.url])) == 0
    listed = json.loads((site / "edition.json").read_text("utf-8"))
    capsys.readouterr()
    assert cli.run(cli.parse(["doctor", server.url, "--content", str(SMALL)])) == 1
    [line] = capsys.readouterr().out.splitlines()
    assert line.startswith(f"Edition {listed['edition']} of {listed['date']} is there")
    assert "is edition 1 of 2026-" in line
    assert line.endswith(f"python3 handbook.py publish FOLDER --content {SMALL}")
    server.fault = lambda handler, name: name == "edition.json" and plain(
        handler, server, name, body=_as_one_of(SMALL, listed))
    assert cli.run(cli.parse(["doctor", server.url, "--content", str(SMALL)])) == 0
    with pytest.raises(Stop, match="is not a folder"):
        cli.parse(["doctor", server.url, "--content", str(SMALL / "none")])


def _as_one_of(content: Path, listed: dict) -> bytes:
    """The list of files as it would be if this content were published there."""
    book = load_and_check(content)[0]
    files = tuple(offline.File(**{"shell": False, **one}) for one in listed["files"])
    return json.dumps(offline.Edition(book.edition, str(book.date), files, listed["for"]).as_json()).encode()


def test_costs_in_the_open(site: Path, server: Server, capsys: pytest.CaptureFixture[str]):
    listed = json.loads((site / "edition.json").read_text("utf-8"))
    server.fault = lambda handler, name: name == "edition.json" and plain(
        handler, server, name, body=json.dumps({**listed, "for": "office"}).encode())
    status, lines = looked(server, capsys)
    assert status == 1 and "holds costs, and it was read without signing on" in lines[0]


@pytest.mark.parametrize(("fault", "says"), [
    (replied(every, 401),
     "answers with status 401. Give the address of the home page; where a sign-on stands in front"),
    (replied(ends("edition.json"), 404), "edition.json is not the list of a handbook's files: status 404"),
    (replied(ends("edition.json"), 200, b"<form>"), "something else, perhaps a sign-in page"),
    (replied(ends("edition.json"), 302, Location="/sign-in"), "Sent on to http://127.0.0.1"),
    (replied(ends("edition.json"), 200, b'{"files": []}'), "something else"),
])
def test_what_cannot_be_looked_at(server: Server, fault, says: str):
    server.fault = fault(server)
    with pytest.raises(Stop) as stop:
        doctor.run(server.url)
    assert stop.value.status == 2 and says in str(stop.value) and "\n" not in str(stop.value)


def test_nobody_there(site: Path):
    server = serve_folder(site)
    server.close()
    with pytest.raises(Stop, match="does not answer: Connection refused") as stop:
        doctor.run(server.url)
    assert stop.value.status == 2


@pytest.mark.parametrize("given", ["handbook.example", "ftp://handbook.example/", "https://handbook.example/?q=1",
                                   "http://", ""])
def test_what_is_no_address(given: str):
    with pytest.raises(Stop, match="doctor: URL") as stop:
        cli.parse(["doctor", given])
    assert stop.value.status == 2


def test_without_https_no_device_saves():
    findings = doctor.Findings()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(doctor, "ask", lambda url: doctor.Answer(url, 200, {}, b"", False))
        doctor._home("http://handbook.example/", findings)
    assert "is not https" in findings.told()[0]
