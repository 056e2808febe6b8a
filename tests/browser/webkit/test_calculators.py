"""The calculators in WebKit: the same bytes as CPython, an answer as one types; and with the server stopped, the search
too."""

import json
from pathlib import Path

from calculators import REGISTER, bridge, calculator, describe
from macros.serve import Server, serve_folder
from tests.browser.inputs import inputs
from tests.browser.tools import CALCULATOR, SAVED
from tests.browser.webkit.opening import Window

GENERATED = 20

ASK = """const { python } = await import(new URL("python.js", document.querySelector("script").src).href);
const replies = [];
for (const request of arguments[1]) replies.push(await python.ask(request));
return replies;"""

READY = "return document.querySelector('[data-calculator]').dataset.python === 'ready'"
FIRST = "return document.querySelector('[data-found] a b')?.textContent"
SAYS = "return document.querySelector('[data-outcome=answered] .answer:not([aria-busy]) .says')?.textContent"


def ready(window: Window, url: str) -> None:
    window.open(url + CALCULATOR)
    window.until(lambda: window.run(READY), "Python")


def test_webkit_answers_as_cpython_does(window: Window, kept_serving: Server):
    ready(window, kept_serving.url)
    for id in REGISTER:
        one = calculator(id)
        given = [one.example, *(inputs for _name, inputs in one.examples), *inputs(describe(id), GENERATED, seed=id)]
        requests = [json.dumps({"id": id, "inputs": each, "units": {}}) for each in given]
        replies = window.later(ASK, kept_serving.url, requests)
        assert [reply.encode() for reply in replies] == [bridge(request).encode() for request in requests]


def test_an_answer_comes_as_one_types_and_is_there_after_a_reload(window: Window, kept_serving: Server):
    ready(window, kept_serving.url)
    example = window.run("return document.querySelector('.answer .says').textContent")
    window.type('[name="readings/1/vacuum"]', "18")
    said = window.until(lambda: window.run(SAYS), "an answer")
    assert said != example
    ready(window, kept_serving.url)
    assert window.until(lambda: window.run(SAYS), "the answer again") == said
    window.press("[data-clear-example]")


def test_saved_the_calculators_and_the_search_answer_with_the_server_stopped(window: Window, site: Path):
    server = serve_folder(site)
    window.open(server.url + "saved/")
    window.press("[data-saved] button")
    window.until(lambda: SAVED in window.run("return document.body.textContent"), "the edition saved")
    server.close()
    ready(window, server.url)
    window.type('[name="readings/1/vacuum"]', "18")
    assert window.until(lambda: window.run(SAYS), "an answer")
    window.open(server.url)
    window.type("[data-find] input", "foaam from exaust")
    assert window.until(lambda: window.run(FIRST), "a hit") == "Foam from the exhaust"
