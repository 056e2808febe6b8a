"""Python starts beside the page; when it cannot, the page says why and keeps what was typed and what was delivered."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from macros.serve import Handler, Server
from tests.browser.tools import CALCULATOR, alive, drop, named, ready, send, state

BOX = '[name="readings/1/vacuum"]'
DELETE = "delete globalThis.WebAssembly;"
"""What a lockdown mode does."""


def opened(page: Page, server: Server) -> None:
    """Open the calculator's page, and type before anything can have started."""
    page.goto(server.url + CALCULATOR)
    page.locator(BOX).fill("17,25")


def still_useful(page: Page, why: str) -> None:
    """The page says `why`, keeps what was typed, now and after a reload, and has all that was delivered."""
    for again in (False, True):
        if again:
            page.reload()
        expect(page.locator(".calc-state").first).to_contain_text(why)
        expect(page.locator(".calc-state").first).to_have_attribute("role", "status")
        assert page.locator(BOX).input_value() == "17,25"
        assert "worked example" in state(page)
        assert page.locator(".answer .says").first.inner_text() in page.evaluate(DELIVERED)
        assert page.locator(".calc details.fold table").count() >= 1, "the table of results"
        for words in ("Formula", "Limits"):
            assert page.locator(".calc details.fold", has_text=re.compile(words, re.I)).count() >= 1, words


DELIVERED = "() => fetch(location.href).then((page) => page.text()).then((html) => " \
    "new DOMParser().parseFromString(html, 'text/html').querySelector('.answer').textContent)"


def test_python_starts_in_a_worker_and_says_so(page: Page, served: Server):
    page.goto(served.url + CALCULATOR)
    assert "Worked example" in state(page)
    ready(page)
    assert source(page) == "memory"
    assert workers(page) == ["shared_worker"]
    assert page.evaluate("typeof loadPyodide") == "undefined", "Python must not load on the page's own thread"
    expect(page.locator(".calc-state").first).to_have_text("Worked example. Type your own values over it.")


def workers(page: Page) -> list[str]:
    """The kinds of the workers that the page's window runs, as the browser itself lists them."""
    devtools = page.context.new_cdp_session(page)
    own = devtools.send("Target.getTargetInfo")["targetInfo"]["browserContextId"]
    listed = page.context.browser.new_browser_cdp_session().send("Target.getTargets")["targetInfos"]
    return sorted(one["type"] for one in listed if one.get("browserContextId") == own and one["type"].endswith("worker")
                  and one["type"] != "service_worker")


def source(page: Page) -> str:
    """What Python was started from."""
    return page.evaluate("async () => (await import(new URL('python.js', document.querySelector('script').src).href)).python.from")


def test_python_outlives_the_page(page: Page, served: Server):
    page.goto(served.url + CALCULATOR)
    ready(page)
    fetched = []
    served.before = lambda handler: fetched.append(handler.path) if "/runtime/" in handler.path else False
    for calculator in ("edge-life", "leak-size", "battery-charge"):
        page.goto(f"{served.url}calculators/{calculator}/")
        ready(page)
    assert fetched == []
    assert workers(page) == ["shared_worker"], "one interpreter, however many calculators were visited"


def test_where_no_worker_can_be_shared_each_page_has_its_own(page: Page, served: Server):
    page.add_init_script("delete window.SharedWorker")
    page.goto(served.url + CALCULATOR)
    ready(page)
    assert (source(page), workers(page)) == ("memory", ["worker"])


@pytest.mark.parametrize(("trouble", "name"), [
    ("missing", "memory.zst"), ("damaged", "memory.zst"), ("missing", "zstd.wasm"), ("damaged", "zstd.wasm"), ("does not start", "")])
def test_without_the_kept_memory_python_starts_from_its_files(page: Page, served: Server, site, trouble: str, name: str):
    page.context.watch.allowed = ("404", "integrity")
    if trouble == "does not start":
        worker = next(site.rglob("app/worker.js")).read_text("utf-8")
        assert "_loadSnapshot: memory" in worker
        served.before = replaced("worker.js", 200, worker.replace(
            "_loadSnapshot: memory", "_loadSnapshot: memory.subarray(8)").encode(), "text/javascript")
    else:
        status, body = {"missing": (404, b"not here"), "damaged": (200, b"12345")}[trouble]
        served.before = replaced(name, status, body, "text/plain")
    opened(page, served)
    ready(page)
    assert source(page) == "files"
    page.locator("[data-outcome=answered], [data-outcome=refused]").wait_for()
    assert page.locator(BOX).input_value() == "17,25"


#: Notes in which order the page came to life, drew a frame after it, and asked for Python.
ORDER = """
window.order = [];
new MutationObserver((changes) => changes.forEach(({ attributeName, target }) => {
  if (attributeName === "data-alive") {
    order.push("alive");
    requestAnimationFrame(() => order.push("drawn"));
  } else if (target.dataset.python === "starting") order.push("starting");
})).observe(document, { subtree: true, attributes: true, attributeFilter: ["data-alive", "data-python"] });
"""


@pytest.mark.parametrize("address", [CALCULATOR, "procedures/set-wheels/"])
def test_python_is_asked_for_once_the_page_is_drawn(page: Page, served: Server, address: str):
    page.add_init_script(ORDER)
    page.goto(served.url + address)
    page.wait_for_function("() => order.includes('starting')")
    assert page.evaluate("order.slice(0, 3)") == ["alive", "drawn", "starting"]


def test_a_page_that_is_not_drawn_has_python_too(page: Page, served: Server):
    page.add_init_script("window.requestAnimationFrame = () => 0;")
    page.goto(served.url + CALCULATOR)
    ready(page)


def test_loading_is_said(page: Page, served: Server):
    waiting = []

    def hold(handler: Handler) -> bool:
        if named(handler) == "pyodide.asm.wasm":
            waiting.append(handler.path)
            page_told.wait(30)
        return False

    import threading

    page_told = threading.Event()
    served.before = hold
    opened(page, served)
    expect(page.locator(".calc-state").first).to_contain_text(re.compile(r"Python is starting \(\d of 6 files\)\. Your values are kept"))
    page_told.set()
    ready(page)
    assert waiting


def test_typing_before_python_is_ready_is_answered_when_it_is(page: Page, served: Server):
    opened(page, served)
    assert page.locator("[data-calculator]").get_attribute("data-python") != "ready"
    page.locator("[data-outcome=answered], [data-outcome=refused]").wait_for()
    assert page.locator(BOX).input_value() == "17,25"
    assert state(page) in ("The answer to your values.", "Not calculated: under the fields it says what they take. "
                           "Nothing you typed is lost.")


def test_a_script_that_is_missing_takes_no_other_with_it(page: Page, served: Server):
    page.context.watch.allowed = ("404", "Failed to fetch dynamically imported module")
    served.before = replaced("print.js", 404, b"not here", "text/plain")
    opened(page, served)
    page.locator("[data-outcome=answered], [data-outcome=refused]").wait_for()
    assert page.locator(BOX).input_value() == "17,25"


@pytest.mark.parametrize("name", ["main.js", "site.js", "answers.js", "store.js"])
def test_a_script_that_is_not_given_once_is_asked_for_again(page: Page, served: Server, name: str):
    asked = []

    def first_refused(handler: Handler) -> bool:
        if named(handler) == name:
            asked.append(handler.path)
        return len(asked) == 1 and named(handler) == name and send(handler, 503, b"not now", "text/plain")

    page.context.watch.allowed = ("503",)
    served.before = first_refused
    opened(page, served)
    alive(page)
    page.locator("[data-outcome=answered], [data-outcome=refused]").wait_for()
    assert len(asked) == 2


def test_without_webassembly_in_the_page(page: Page, served: Server):
    page.add_init_script(DELETE)
    opened(page, served)
    still_useful(page, "This browser cannot calculate here: it has no WebAssembly")


def test_without_webassembly_in_the_worker(page: Page, served: Server, site):
    worker = DELETE.encode() + next(site.rglob("app/worker.js")).read_bytes()
    served.before = lambda handler: named(handler) == "worker.js" and send(handler, 200, worker, "text/javascript")
    opened(page, served)
    still_useful(page, "This browser cannot calculate here: it has no WebAssembly")


def replaced(name: str, status: int, body: bytes, type: str, without: str = "") -> Callable[[Handler], bool]:
    """Answers every request for the file `name` so; the file `without` is not there."""
    def answer(handler: Handler) -> bool:
        if named(handler) == name:
            return send(handler, status, body, type)
        return bool(without) and named(handler) == without and send(handler, 404, b"not here", "text/plain")

    return answer


@pytest.mark.parametrize("name", ["pyodide.asm.wasm", "python_stdlib.zip", "pyodide.js", "pyodide-lock.json"])
def test_a_missing_runtime_file(page: Page, served: Server, name: str):
    page.context.watch.allowed = ("404",)
    # What only a start without the kept memory needs is missed where there is none.
    without = "memory.zst" if name in ("python_stdlib.zip", "pyodide-lock.json") else ""
    served.before = replaced(name, 404, b"not here", "text/plain", without)
    opened(page, served)
    still_useful(page, f"Python cannot start: the server has no {name} (status 404).")


def test_a_missing_list_of_the_runtime(page: Page, served: Server):
    page.context.watch.allowed = ("404",)
    served.before = replaced("runtime.json", 404, b"not here", "text/plain")
    opened(page, served)
    still_useful(page, "Python cannot start: the server has no runtime.json (status 404).")


@pytest.mark.parametrize("name", ["pyodide.asm.wasm", "pyodide.asm.js"])
@pytest.mark.parametrize("secure", [True, False])
def test_a_damaged_runtime_file(page: Page, served: Server, site, name: str, secure: bool):
    page.context.watch.allowed = ("integrity",)
    body = bytearray(next(site.glob(f"runtime/*/{name}")).read_bytes())
    body[len(body) // 2] ^= 1
    damaged = replaced(name, 200, bytes(body), "application/wasm")
    served.before = damaged if secure else lambda handler: insecure(handler, site) or damaged(handler)
    opened(page, served)
    still_useful(page, f"Python cannot start: {name} is not the file that belongs to this edition")


def test_a_sign_in_page_in_the_place_of_a_runtime_file(page: Page, served: Server):
    page.context.watch.allowed = ("integrity",)
    served.before = replaced("pyodide.js", 200, b"<title>Sign in</title>", "text/html")
    opened(page, served)
    still_useful(page, "Python cannot start: pyodide.js is not the file that belongs to this edition")


def test_no_network_after_the_page(page: Page, served: Server):
    page.context.watch.allowed = ("Failed to load resource",)
    served.before = lambda handler: "/runtime/" in handler.path and drop(handler)
    opened(page, served)
    still_useful(page, "cannot be fetched. Save the handbook on this device while there is signal.")


def insecure(handler: Handler, site: Path) -> bool:
    """Answers a request for the worker with one whose address gives it no digests, as one without https does."""
    if named(handler) != "worker.js":
        return False
    worker = b"Object.defineProperty(crypto, 'subtle', { value: undefined });" + next(site.rglob("app/worker.js")).read_bytes()
    return send(handler, 200, worker, "text/javascript")


def test_python_starts_where_an_address_is_not_secure(page: Page, served: Server, site):
    served.before = lambda handler: insecure(handler, site)
    page.goto(served.url + CALCULATOR)
    ready(page)
    assert source(page) == "memory"


@pytest.mark.parametrize("types", [{".wasm": "text/plain"}, {".wasm": "application/octet-stream", ".zip": "text/html",
                                                              ".whl": "text/plain", ".json": "text/plain", ".zst": "text/html"}])
def test_wrong_types_are_put_right(page: Page, served: Server, types: dict[str, str]):
    served.types.update(types)
    page.goto(served.url + CALCULATOR)
    ready(page)


def test_runtime_scripts_with_a_wrong_type_are_put_right(page: Page, served: Server, site):
    page.context.watch.allowed = ("MIME type", "Refused to execute script")

    def text_plain(handler: Handler) -> bool:
        name = named(handler)
        wrong = "/runtime/" in handler.path and name.endswith(".js") or name == "worker.js"
        if wrong:
            file = site / handler.path.lstrip("/").split("?")[0]
            return send(handler, 200, file.read_bytes(), "text/plain", X_Content_Type_Options="nosniff")
        return False

    served.before = text_plain
    page.goto(served.url + CALCULATOR)
    ready(page)


def test_modules_with_a_wrong_type(page: Page, served: Server, site):
    page.context.watch.allowed = ("MIME type", "Failed to fetch dynamically imported module")
    served.before = lambda handler: named(handler).endswith(".js") and send(
        handler, 200, next(site.rglob(named(handler))).read_bytes(), "text/plain")
    page.goto(served.url + CALCULATOR)
    expect(page.locator(".calc-state").first).to_contain_text("The page's scripts did not load, so it cannot calculate.")
    assert page.locator(".answer .says").first.is_visible()


def test_a_browser_that_refuses_workers(page: Page, served: Server):
    page.add_init_script("window.Worker = window.SharedWorker = class { constructor() { throw new DOMException('no', 'SecurityError'); } };")
    opened(page, served)
    still_useful(page, "Python cannot start: this browser refuses to run it beside the page.")


def test_a_calculation_that_does_not_end(page: Page, served: Server, site):
    source = next(site.rglob("app/worker.js")).read_text("utf-8")
    call = "bridge(data.text)"
    assert call in source
    endless = source.replace(call, "(data.text.includes('17,25') && (() => { for (;;); })(), bridge(data.text))")
    served.before = replaced("worker.js", 200, endless.encode(), "text/javascript")
    page.clock.install()
    page.goto(served.url + CALCULATOR)
    ready(page)
    page.locator(BOX).fill("17,25")
    page.clock.run_for(1000)
    page.locator(".answer[aria-busy]").wait_for()
    page.clock.run_for(10000)
    expect(page.locator(".calc-state").first).to_contain_text(
        "The calculation did not end in 10 seconds and was stopped. What you typed is kept")
    assert page.locator(BOX).input_value() == "17,25"
    ready(page)
    page.locator(BOX).fill("17.24")
    page.clock.run_for(1000)
    page.locator("[data-outcome=answered], [data-outcome=refused]").wait_for()
