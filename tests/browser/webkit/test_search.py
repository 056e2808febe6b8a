"""The search in WebKit: questions answered as Node answers them, and typed into the page, by the worker."""

import csv
from pathlib import Path

from macros.serve import Server
from tests.browser.webkit.opening import Window
from tests.macros.conftest import ask

QUESTIONS = Path(__file__).parents[2] / "macros" / "questions.csv"

FIND = """const { Engine } = await import(new URL("../search/engine.js", document.querySelector("script").src).href);
const load = async (address) => (await fetch(new URL(address, arguments[0]))).text();
const engine = new Engine(await load("search/index.json"), load);
return Promise.all(arguments[1].map((question) => engine.find(question, 10)));"""

FIRST = "return document.querySelector('[data-found] a b')?.textContent"


def test_webkit_finds_what_node_finds(window: Window, kept_serving: Server, site: Path):
    with QUESTIONS.open(encoding="utf-8", newline="") as file:
        questions = [row["question"] for row in csv.DictReader(file)][::4]
    window.open(kept_serving.url)
    assert window.later(FIND, kept_serving.url, questions) == ask(site, questions)


def test_a_symptom_typed_is_answered_by_the_worker(window: Window, kept_serving: Server):
    window.open(kept_serving.url)
    window.type("[data-find] input", "leaves watr down the midle")
    window.until(lambda: window.run(FIRST) == "One wet line along the middle", "the page of the symptom")
    asked = window.run("return performance.getEntriesByType('resource').map((one) => one.name)")
    assert [one for one in asked if one.endswith("/search/worker.js")]
    assert not [one for one in asked if one.endswith("/search/engine.js")]
