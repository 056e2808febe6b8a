"""The edition on the device: saved file by file, each checked, resumed, whole without a network."""

import hashlib
import json
from collections import Counter
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, expect

from macros.serve import Handler, Server, serve_folder
from macros.web import FOREVER
from tests.browser.tools import CALCULATOR, EDITION, SAVED, alive, drop, named, ready, save_edition, send, state

CUT = ("Failed to load resource", "net::ERR", "Failed to fetch")
"""What the browser says of requests that a test cuts off."""


def listed(site: Path) -> dict:
    return json.loads((site / "edition.json").read_text("utf-8"))


def kept(page: Page) -> dict[str, str]:
    """Every file kept in any edition's cache on the device: address -> SHA-256, read by the browser."""
    return page.evaluate("""async () => {
      const found = {};
      for (const name of (await caches.keys()).filter((name) => name.includes(":edition:"))) {
        const cache = await caches.open(name);
        for (const request of await cache.keys()) {
          const response = await cache.match(request);
          if (!response) throw new Error(`listed and not there: ${request.url}`);
          if (response.redirected || response.type !== "default") throw new Error(`kept as it came: ${request.url}`);
          const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", await response.arrayBuffer()));
          found[request.url] = [...digest].map((byte) => byte.toString(16).padStart(2, "0")).join("");
        }
      }
      return found;
    }""")


def right(page: Page, site: Path, base: str) -> int:
    """How many files are kept; each of them as the edition's list says."""
    wanted = {base + file["url"].removeprefix("./"): file["sha256"] for file in listed(site)["files"]}
    found = {url: digest for url, digest in kept(page).items() if "~record" not in url}
    assert found == {url: wanted[url] for url in found}
    return len(found)


def test_saved_with_the_network_cut_and_the_browser_started_again(profile, site: Path, addresses: list[str]):
    server = serve_folder(site)
    edition = listed(site)
    with profile() as context:
        page = context.new_page()
        save_edition(page, server)
        said = page.locator("[data-saved]").inner_text()
        assert f"Edition {edition['edition']}: all {len(edition['files'])} files checked, on " in said
        assert f"It takes {edition['bytes'] / 1e6:.0f} MB." in said
        assert right(page, site, server.url) == len(edition["files"])
    server.close()
    with profile() as context:
        context.watch.allowed = ("edition.json)", "sw.js)")  # looked for on the server, which is not there
        page = context.new_page()
        for address in addresses:
            page.goto(server.url + address.removeprefix("./"))
            assert page.locator("h1").first.is_visible(), address
            alive(page)
            if page.locator("[data-calculator]").count():
                answers_by_itself(page)
        finds_by_itself(page, server.url)
        expect(page.locator("[data-saved-line]").first).to_contain_text(f"{EDITION}, saved on this device")
        assert page.evaluate("fetch('./').then((page) => page.headers.get('Content-Security-Policy'))"), \
            "saved pages are guarded as served ones are"


def finds_by_itself(page: Page, home: str) -> None:
    """The search answers as it does with a server, in its worker."""
    page.goto(home)
    for width, height in ((1024, 768), (768, 1024), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        page.get_by_role("searchbox").fill("")
        expect(page.locator("[data-found] a")).to_have_count(0)
        page.get_by_role("searchbox").press_sequentially("leaves watr down the midle")
        expect(page.locator("[data-found] a").first).to_contain_text("One wet line along the middle")
    [worker] = page.workers
    assert worker.url.startswith(f"{home}scripts/") and worker.url.endswith("/search/worker.js")


def answers_by_itself(page: Page) -> None:
    """Every calculator of the page answers something that was not delivered: its first box with a number changed."""
    ready(page)
    for section in page.locator("[data-calculator]").all():
        for box in section.locator("input[inputmode=decimal]").all():
            if box.is_visible() and box.input_value():
                box.fill(box.input_value() + "1")
                break
        else:
            section.locator("input.box:visible").first.fill("1")
        section.locator("xpath=self::*[@data-outcome='answered' or @data-outcome='refused']").wait_for()


def test_a_page_that_is_not_saved_says_so_offline(profile, site: Path):
    server = serve_folder(site)
    with profile() as context:
        context.watch.allowed = CUT
        page = context.new_page()
        save_edition(page, server)
        page.goto(server.url)
        server.before = drop
        page.goto(server.url + "procedures/not-there/")
        expect(page.locator("[data-saved]")).to_contain_text(
            "procedures/not-there/ is not among what this device has saved, and there is no signal.")
        page.goto(server.url + CALCULATOR.rstrip("/"))
        assert urlsplit(page.url).path == "/" + CALCULATOR, "an address without its last slash finds its page"
    server.close()


def test_cut_off_saving_goes_on_where_it_stopped(profile, site: Path):
    server = serve_folder(site)
    asked: Counter[str] = Counter()

    def count(handler: Handler) -> bool:
        if handler.headers.get("X-Handbook-Save"):
            asked[urlsplit(handler.path).path] += 1
            if sum(asked.values()) > 20:
                drop(handler)
        return False

    server.before = count
    with profile() as context:
        context.watch.allowed = CUT
        page = context.new_page()
        page.goto(server.url + "saved/")
        page.get_by_role("button", name="Save on this device").click()
        expect(page.locator("[data-saved]")).to_contain_text("Saving stopped without signal. It goes on by itself")
        first = right(page, site, server.url)
        assert 0 < first < len(listed(site)["files"])
        had = {urlsplit(url).path for url in kept(page)}
    asked.clear()
    server.before = lambda handler: bool(handler.headers.get("X-Handbook-Save")
                                         and asked.update([urlsplit(handler.path).path]))
    with profile() as context:
        page = context.new_page()
        page.goto(server.url)  # goes on by itself, on any page
        expect(page.locator("[data-saved-line]").first).to_contain_text(f"{EDITION}, saved on this device", timeout=30000)
        assert right(page, site, server.url) == len(listed(site)["files"])
    again = {path for path in asked if path in had}
    assert not again, f"fetched a second time: {again}"
    assert sum(asked.values()) <= len(listed(site)["files"]) - first + 1, "each missing file once, and the list"
    server.close()


def test_half_an_edition_is_of_use_without_signal(profile, site: Path):
    server = serve_folder(site)
    server.before = lambda handler: bool(handler.headers.get("X-Handbook-Save")) and "/runtime/" in handler.path and drop(handler)
    with profile() as context:
        context.watch.allowed = CUT
        page = context.new_page()
        page.goto(server.url + "saved/")
        page.get_by_role("button", name="Save on this device").click()
        expect(page.locator("[data-saved]")).to_contain_text("Saving stopped")
        page.goto(server.url)
        server.before = drop
        page.goto(server.url)
        assert page.locator("h1").is_visible()
        expect(page.locator("[data-saved-line]").first).to_contain_text("not saved on this device")
    server.close()


def bad_answers() -> dict[str, object]:
    page = b"<!doctype html><title>Sign in to the network</title>"
    return {
        "sign-in page": lambda handler, body: send(handler, 200, page, "text/html"),
        "redirect": lambda handler, body: send(handler, 302, b"", "text/html", Location="/sign-in/"),
        "truncated": lambda handler, body: send(handler, 200, body[:-10], "application/json"),
        "broken off": lambda handler, body: send(handler, 200, body[:10], "application/json", length=len(body)),
        "error": lambda handler, body: send(handler, 500, b"", "text/plain"),
    }


@pytest.mark.parametrize("how", bad_answers())
def test_what_is_not_the_file_listed_is_not_kept(profile, site: Path, how: str):
    server = serve_folder(site)
    body = (site / "search/index.json").read_bytes()
    answer = bad_answers()[how]
    server.before = lambda handler: named(handler) == "index.json" and answer(handler, body)
    with profile() as context:
        context.watch.allowed = CUT
        page = context.new_page()
        page.goto(server.url + "saved/")
        page.get_by_role("button", name="Save on this device").click()
        expect(page.locator("[data-saved]")).to_contain_text("Files that came otherwise than listed and were not kept: 1, the first search/index.json.")
        assert right(page, site, server.url) == len(listed(site)["files"]) - 1
        assert "not saved" in page.locator("[data-saved-line]").first.inner_text(), "not in use before it is whole"
        server.before = None
        page.get_by_role("button", name="Go on saving").click()
        page.get_by_text(SAVED).wait_for()
        assert right(page, site, server.url) == len(listed(site)["files"])
    server.close()


@pytest.mark.parametrize("how", ["sign-in page", "another id", "not whole"])
def test_a_list_that_is_not_the_editions_own_is_refused(page: Page, served: Server, site: Path, how: str):
    edition = listed(site)
    if how == "another id":
        edition["files"][0]["sha256"] = hashlib.sha256(b"something else").hexdigest()
    body = {"sign-in page": b"<title>Sign in</title>", "another id": json.dumps(edition).encode(),
            "not whole": (site / "edition.json").read_bytes()[:-200]}[how]
    served.before = lambda handler: named(handler) == "edition.json" and send(handler, 200, body, "application/json")
    page.goto(served.url + "saved/")
    page.get_by_role("button", name="Save on this device").click()
    expect(page.locator("[data-saved]")).to_contain_text("Saving stopped: the server answered with something else than the list of files")
    assert kept(page) == {}


def test_saved_files_are_checked_again_and_mended(profile, site: Path):
    server = serve_folder(site)
    with profile() as context:
        page = context.new_page()
        save_edition(page, server)
        page.evaluate("""async () => {
          const name = (await caches.keys()).find((name) => name.includes(":edition:"));
          const url = new URL("../search/index.json", location.href).href;
          await (await caches.open(name)).put(url, new Response("{}"));
        }""")
        page.get_by_role("button", name="Check the saved files again").click()
        page.evaluate("""async (right) => {
          const kept = async () => (await caches.match(new URL("../search/index.json", location.href)))?.text();
          while (await kept() !== right) await new Promise((again) => setTimeout(again, 20));
        }""", (site / "search/index.json").read_text("utf-8"))
        expect(page.locator("[data-saved] .saved-more")).to_have_text("")
        page.get_by_text(SAVED).wait_for()
        assert right(page, site, server.url) == len(listed(site)["files"])
    server.close()


def test_removed_from_the_device(profile, site: Path):
    server = serve_folder(site)
    with profile() as context:
        page = context.new_page()
        save_edition(page, server)
        page.get_by_role("button", name="Remove from this device").click()
        page.get_by_role("button", name="Save on this device").wait_for()
        assert page.evaluate("caches.keys()") == []
        assert page.evaluate("navigator.serviceWorker.getRegistrations().then((all) => all.length)") == 0
    server.close()


def test_nothing_is_saved_unless_asked(page: Page, served: Server):
    for address in ("", "saved/", CALCULATOR):
        page.goto(served.url + address)
        alive(page)
    assert page.evaluate("caches.keys()") == []
    assert page.evaluate("navigator.serviceWorker.getRegistrations().then((all) => all.length)") == 0


def test_where_nothing_can_be_saved_it_says_so(page: Page, served: Server):
    page.add_init_script("delete Navigator.prototype.serviceWorker;")
    page.goto(served.url + "saved/")
    expect(page.locator("[data-saved]")).to_contain_text("cannot save the handbook on this device. A private window may be the reason.")


def test_an_address_that_is_not_secure_says_so(page: Page, served: Server):
    page.add_init_script("Object.defineProperty(window, 'isSecureContext', {value: false});")
    page.goto(served.url + "saved/")
    expect(page.locator("[data-saved]")).to_contain_text("this address is not a secure one (https)")


def test_python_without_a_network_reads_the_saved_edition(profile, site: Path):
    server = serve_folder(site)
    with profile() as context:
        page = context.new_page()
        save_edition(page, server)
        page.add_init_script("delete window.SharedWorker")  # one that is there already would fetch nothing
        page.goto(server.url + CALCULATOR)
        ready(page)
        assert "Worked example" in state(page)
        # The worker's own look into the cache, for browsers whose workers do not reach the service worker.
        page.route("**/runtime/**/pyodide.asm.wasm", lambda route: route.abort())
        page.reload()
        ready(page)
    server.close()


def test_the_runtime_may_be_kept_by_the_browser_for_ever():
    from macros.web import caching

    assert caching("runtime/0123456789abcdef/pyodide.js") == FOREVER
    assert caching("edition.json") == caching("sw.js") == "no-cache"
