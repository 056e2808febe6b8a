"""The handbook served by nginx and by Caddy with the settings that publish prints: at the root and at a base path,
online and off."""

import http.client
import json
import os
import urllib.error
import urllib.request
from contextlib import ExitStack
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, expect

from macros import doctor, placing
from macros.console import Stop
from macros.serve import serve_folder
from tests.browser import servers
from tests.browser.tools import CALCULATOR, SAVED, ready, send, state
from tests.macros import test_placing

SERVERS = ("nginx", "caddy")


@pytest.fixture(scope="session")
def published(site: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The demo, published for the root of a server and for a base path."""
    folder = tmp_path_factory.mktemp("published")
    for name, base in (("root", "/"), ("base", "/books/scrubber/")):
        placing.own(folder / name)
        placing.put(site, folder / name, base)
    return {"/": folder / "root", "/books/scrubber/": folder / "base"}


@pytest.mark.parametrize("base", ["/", "/books/scrubber/"])
@pytest.mark.parametrize("server", SERVERS)
def test_the_handbook_is_used_through_it_and_offline_afterwards(
        server: str, base: str, published: dict[str, Path], profile, tmp_path: Path,
        capsys: pytest.CaptureFixture[str]):
    with profile() as context:
        context.watch.allowed = ("ERR_CONNECTION_REFUSED",)  # once the server is stopped
        page = context.new_page()
        with servers.running(server, published[base], base, tmp_path / "server") as address:
            capsys.readouterr()
            assert doctor.run(address) == 0, capsys.readouterr().out
            answer = used_and_saved(page, address)
        used_offline(page, address, answer)


def used_and_saved(page: Page, address: str) -> str:
    """A reader's touches: find a part, calculate, save the handbook on the device. The answer that the calculator
    gave."""
    page.goto(address)
    page.get_by_role("link", name="Find").click()
    page.get_by_role("searchbox").fill("lid seal")
    page.get_by_role("link", name="Tank lid seal").first.click()
    expect(page.locator("h1")).to_have_text("Tank lid seal")
    page.goto(address + CALCULATOR)
    ready(page)
    answer = page.locator(".answer").first.inner_text()
    page.goto(address + "saved/")
    page.get_by_role("button", name="Save on this device").click()
    page.get_by_text(SAVED).wait_for()
    page.goto(address + "saved/")
    return answer


def used_offline(page: Page, address: str, answer: str) -> None:
    """The server is stopped: the calculator opens and answers as before."""
    page.goto(address + CALCULATOR)
    ready(page)
    assert "Worked example" in state(page)
    assert page.locator(".answer").first.inner_text() == answer


@pytest.mark.parametrize("server", SERVERS)
def test_by_https_it_is_used_and_saved_as_at_a_company(
        server: str, published: dict[str, Path], profile, tmp_path: Path, capsys: pytest.CaptureFixture[str],
        monkeypatch: pytest.MonkeyPatch):
    base = "/books/scrubber/"
    servers.found_here(monkeypatch)
    with ExitStack() as open_:
        running = open_.enter_context(servers.secure(server, published[base], base, tmp_path / "server"))
        monkeypatch.delenv("SSL_CERT_FILE", raising=False)
        with pytest.raises(Stop, match="its certificate is not trusted"):
            doctor.run(running.address)
        monkeypatch.setenv("SSL_CERT_FILE", str(running.authority))
        capsys.readouterr()
        assert doctor.run(running.address) == 0, capsys.readouterr().out
        with profile(*running.flags()) as context:
            context.watch.host = servers.NAME
            context.watch.allowed = ("ERR_CONNECTION_REFUSED",)  # once the server is stopped
            page = context.new_page()
            answer = used_and_saved(page, running.address)
            assert page.evaluate("isSecureContext && location.protocol == 'https:' && "
                                 "!!navigator.serviceWorker.controller")
            open_.close()
            used_offline(page, running.address, answer)


@pytest.mark.parametrize("server", SERVERS)
def test_nothing_but_the_site_and_nothing_but_reading(server: str, published: dict[str, Path], tmp_path: Path):
    with servers.running(server, published["/"], "/", tmp_path / "server") as address:
        for path in ("publish.json", "../publish.json", "%2e%2e/publish.json", "..%2fpublish.json", "site/index.html",
                     ".hidden"):
            assert _status(address, "GET", f"/{path}") in (400, 404), path
        for method in ("POST", "PUT", "DELETE"):
            assert _status(address, method, "/") in (403, 405), method
        assert _status(address, "HEAD", "/") == 200


def _status(address: str, method: str, path: str) -> int:
    connection = http.client.HTTPConnection(urlsplit(address).netloc, timeout=30)
    try:
        connection.request(method, path)
        return connection.getresponse().status
    finally:
        connection.close()


@pytest.mark.parametrize("base", ["/", "/books/scrubber/"])
@pytest.mark.parametrize("server", SERVERS)
def test_where_the_disk_has_no_links_the_server_looks_for_marks(
        server: str, base: str, site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str],
        monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(os, "symlink", test_placing.no_links)
    web, sites = tmp_path / "web", {number: test_placing.site(tmp_path / f"built-{number}", 1000 + number)
                                    for number in (1, 2, 3)}

    def published(built: Path) -> None:
        placing.own(web)
        placing.put(built, web, base)

    def edition() -> int:
        return json.loads(asked(address, "edition.json", 200))["edition"]

    published(site)
    assert not (web / placing.SERVED).exists()
    with servers.running(server, web, base, tmp_path / "server") as address:
        capsys.readouterr()
        assert doctor.run(address) == 0, capsys.readouterr().out
        for number in (1, 2, 3, 1):
            before = edition()
            published(sites[number])
            assert b"".join(asked(address, "", 200).splitlines()).endswith(str(1000 + number).encode())
            assert f'data-base="{base}"'.encode() in asked(address, "no-such-page/", 404)
            placing.back(web)
            assert edition() == before != 1000 + number
            published(sites[number])
            assert edition() == 1000 + number
        assert doctor.ask(address + "procedures/x").headers["Location"].endswith(f"{base}procedures/x/")
        for path in ("use-2", "../use-2", "..%2fuse-2", "editions/1/index.html", "publish.json"):
            assert _status(address, "GET", base + path) in (400, 404), path


def asked(address: str, path: str, status: int) -> bytes:
    answer = doctor.ask(address + path)
    assert answer.status == status
    return answer.body


@pytest.mark.parametrize("server", SERVERS)
def test_a_sign_on_of_the_companys_own_stands_in_front(server: str, published: dict[str, Path], tmp_path: Path):
    base = "/books/scrubber/"
    sign_on = serve_folder(tmp_path)
    sign_on.before = lambda handler: send(
        handler, 204, b"", "text/plain") if "signed=yes" in handler.headers.get("Cookie", "") else send(
        handler, 401, b"", "text/plain", Location="https://sign-on.example/")
    try:
        with servers.running(server, published[base], base, tmp_path / "server", f"{sign_on.url}check") as address:
            for path in ("", "edition.json", "sw.js", "no-such-page/"):
                answer = doctor.ask(address + path)
                assert (answer.status, answer.headers["Location"]) == (302, "https://sign-on.example/"), path
                assert b"<html" not in answer.body.replace(b"<html>", b"")
            asked = urllib.request.Request(f"{address}edition.json", headers={"Cookie": "signed=yes"})
            with urllib.request.urlopen(asked) as answer:
                assert answer.status == 200 and b'"files"' in answer.read()
            with pytest.raises(urllib.error.HTTPError) as missing:
                urllib.request.urlopen(urllib.request.Request(f"{address}no-such-page/",
                                                              headers={"Cookie": "signed=yes"}))
            assert missing.value.code == 404 and b"data-base" in missing.value.read()
    finally:
        sign_on.close()
