"""The server, asked over a real connection."""

import http.client
import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from macros import serve, web
from macros.console import Stop


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A small site, with a file outside it that must never be served."""
    folder = tmp_path / "site"
    for name, text in {
        "index.html": "<p>home",
        "404.html": "<p>not here",
        "sw.js": "1",
        "edition.json": "{}",
        "app/boot.js": "2",
        "app/a.mjs": "3",
        "scripts/fedcba9876543210/app/main.js": "4",
        "procedures/x/index.html": "<p>x",
        "runtime/0123456789abcdef/py.wasm": "wasm",
        "runtime/0123456789abcdef/own-1-py3-none-any.whl": "whl",
        "look/sign.svg": "<svg/>",
        "runtime/0123456789abcdef/std.zip": "zip",
        "runtime.json": "{}",
        "a b.html": "<p>space",
    }.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, "utf-8")
    (tmp_path / "secret.txt").write_text("secret", "utf-8")
    (tmp_path / "site-other").mkdir()
    (tmp_path / "site-other" / "index.html").write_text("secret", "utf-8")
    return folder


@pytest.fixture
def server(site: Path) -> Iterator[serve.Server]:
    with serve.serve_folder(site) as running:
        yield running


def ask(
    server: serve.Server, path: str, method: str = "GET", headers: dict[str, str] | None = None
) -> tuple[int, http.client.HTTPMessage, bytes]:
    """One request with `path` sent exactly as written."""
    connection = http.client.HTTPConnection(serve.HOST, server.server_address[1], timeout=10)
    try:
        connection.putrequest(method, path, skip_accept_encoding=True)
        for name, value in (headers or {}).items():
            connection.putheader(name, value)
        connection.endheaders()
        answer = connection.getresponse()
        return answer.status, answer.headers, answer.read()
    finally:
        connection.close()


@pytest.mark.parametrize(
    ("path", "type_", "caching"),
    [
        ("/", "text/html; charset=utf-8", "no-cache"),
        ("/procedures/x/", "text/html; charset=utf-8", "no-cache"),
        ("/sw.js", "text/javascript; charset=utf-8", "no-cache"),
        ("/edition.json", "application/json", "no-cache"),
        ("/runtime.json", "application/json", "no-cache"),
        ("/app/boot.js", "text/javascript; charset=utf-8", "no-cache"),
        ("/app/a.mjs", "text/javascript; charset=utf-8", "no-cache"),
        ("/scripts/fedcba9876543210/app/main.js", "text/javascript; charset=utf-8", web.FOREVER),
        ("/look/sign.svg", "image/svg+xml", "no-cache"),
        ("/runtime/0123456789abcdef/py.wasm", "application/wasm", web.FOREVER),
        ("/runtime/0123456789abcdef/own-1-py3-none-any.whl", "application/zip", web.FOREVER),
        ("/runtime/0123456789abcdef/std.zip", "application/zip", web.FOREVER),
    ],
)
def test_type_and_caching(server: serve.Server, site: Path, path: str, type_: str, caching: str) -> None:
    status, headers, body = ask(server, path)
    file = site / path.strip("/") / "index.html" if path.endswith("/") else site / path.strip("/")
    assert (status, headers["Content-Type"], headers["Cache-Control"]) == (200, type_, caching)
    assert body == file.read_bytes()
    assert headers["Content-Length"] == str(len(body))


@pytest.mark.parametrize("path", ["/", "/sw.js", "/nothing/", "/procedures/x"])
def test_security_headers_on_every_answer(server: serve.Server, path: str) -> None:
    headers = ask(server, path)[1]
    for name, value in web.HEADERS.items():
        assert headers.get_all(name) == [value]
    scripts = next(
        rule for rule in headers["Content-Security-Policy"].split("; ") if rule.startswith("script-src")
    )
    assert scripts == "script-src 'self' 'wasm-unsafe-eval'"  # so neither unsafe-inline nor another host


@pytest.mark.parametrize(
    "path",
    [
        "/../secret.txt",
        "/%2e%2e/secret.txt",
        "/..%2fsecret.txt",
        "/procedures/../../secret.txt",
        "/..\\secret.txt",
        "/%5c..%5csecret.txt",
        "//secret.txt",
        "/../site-other/",
        "/%00",
        "/C:/secret.txt",
        "/./../secret.txt",
        "/sw.js/",
        "/nothing",
        "/app/",
        "/%ff",
    ],
)
def test_nothing_outside_and_nothing_invented(server: serve.Server, path: str) -> None:
    status, headers, body = ask(server, path)
    assert (status, body) == (404, b"<p>not here")
    assert headers["Content-Type"] == "text/html; charset=utf-8"


def test_link_out_of_the_folder_is_not_followed(server: serve.Server, site: Path) -> None:
    (site / "out.txt").symlink_to(site.parent / "secret.txt")
    assert ask(server, "/out.txt")[0] == 404


def test_missing_page_without_a_page_for_it(server: serve.Server, site: Path) -> None:
    (site / "404.html").unlink()
    status, headers, body = ask(server, "/nothing")
    assert (status, headers["Content-Type"]) == (404, "text/plain; charset=utf-8")
    assert body


def test_folder_without_its_slash_is_sent_on(server: serve.Server) -> None:
    status, headers, _body = ask(server, "/procedures/x")
    assert (status, headers["Location"]) == (301, "x/")


def test_spaces_and_queries(server: serve.Server) -> None:
    assert ask(server, "/a%20b.html?q=1")[2] == b"<p>space"


def test_unchanged_file_is_not_sent_again_and_a_changed_one_is(server: serve.Server, site: Path) -> None:
    tag = ask(server, "/sw.js")[1]["ETag"]
    status, headers, body = ask(server, "/sw.js", headers={"If-None-Match": tag})
    assert (status, body, headers["ETag"]) == (304, b"", tag)
    (site / "sw.js").write_text("12", "utf-8")
    status, _headers, body = ask(server, "/sw.js", headers={"If-None-Match": tag})
    assert (status, body) == (200, b"12")


def test_head_has_the_length_and_no_body(server: serve.Server) -> None:
    status, headers, body = ask(server, "/", "HEAD")
    assert (status, headers["Content-Length"], body) == (200, "7", b"")


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
def test_nothing_can_be_sent(server: serve.Server, method: str) -> None:
    status, headers, _body = ask(server, "/", method)
    assert (status, headers["Allow"]) == (405, "GET, HEAD")


def test_base_path(site: Path) -> None:
    with serve.serve_folder(site, base="/books/scrubber/") as server:
        assert server.url.endswith("/books/scrubber/")
        assert ask(server, "/books/scrubber/")[2] == b"<p>home"
        assert ask(server, "/sw.js")[0] == 404
        assert ask(server, "/")[1]["Location"] == "/books/scrubber/"


def test_wrong_types_and_faults_on_purpose(site: Path) -> None:
    with serve.serve_folder(site, types={".wasm": "text/plain"}) as server:
        assert ask(server, "/runtime/0123456789abcdef/py.wasm")[1]["Content-Type"] == "text/plain"

        def cut_off(handler: serve.Handler) -> bool:
            if not handler.path.startswith("/app/"):
                return False
            handler.send_error(503)
            return True

        server.before = cut_off
        assert ask(server, "/app/boot.js")[0] == 503
        assert ask(server, "/sw.js")[0] == 200


def test_many_at_once(server: serve.Server) -> None:
    answers: list[int] = []
    threads = [threading.Thread(target=lambda: answers.append(ask(server, "/")[0])) for _number in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [200] * 20


def test_only_this_machine_is_answered(server: serve.Server) -> None:
    assert server.server_address[0] == "127.0.0.1"


def test_close_gives_the_port_back(site: Path) -> None:
    server = serve.serve_folder(site)
    port = server.server_address[1]
    server.close()
    with serve.serve_folder(site, port) as again:
        assert ask(again, "/")[0] == 200


def test_taken_port_is_one_line(site: Path) -> None:
    with socket.create_server((serve.HOST, 0)) as holder:
        port = holder.getsockname()[1]
        with pytest.raises(Stop) as refused, serve.port_refusals(port):
            serve.serve_folder(site, port)
    assert f"Port {port} " in str(refused.value)
    assert "--port" in str(refused.value)
    assert refused.value.status == 1
