"""The browser's Python and CPython give the same answer to the same input, byte for byte."""

import json

import pytest
from playwright.sync_api import Page

from calculators import REGISTER, answer_json, bridge, calculator, describe
from macros.serve import Server
from tests.browser.inputs import inputs
from tests.browser.tools import CALCULATOR, ready

GENERATED = 200

ASK = """async (requests) => {
  const { python } = await import(new URL("python.js", document.querySelector("script").src).href);
  const replies = [];
  for (const request of requests) replies.push(await python.ask(request));
  return replies;
}"""


def requests(id: str) -> list[str]:
    """Every example and the generated inputs, as the page's script sends them."""
    one = calculator(id)
    given = [one.example, *(inputs for _name, inputs in one.examples), *inputs(describe(id), GENERATED, seed=id)]
    units = [{}, {"pressure": "inH2O", "length": "in", "temperature": "degF"}]
    return [json.dumps({"id": id, "inputs": each, "units": units[number % 2]}) for number, each in enumerate(given)]


@pytest.fixture
def python(page: Page, served: Server) -> Page:
    """A page in which Python runs."""
    page.goto(served.url + CALCULATOR)
    ready(page)
    return page


@pytest.mark.parametrize("id", REGISTER)
def test_the_browser_answers_as_cpython_does(python: Page, id: str):
    asked = requests(id)
    replies = python.evaluate(ASK, asked)
    assert len(replies) == len(asked) >= GENERATED + 1
    refused = 0
    for request, reply in zip(asked, replies, strict=True):
        assert reply.encode() == bridge(request).encode(), request
        given = json.loads(request)
        result = answer_json(id, json.dumps(given["inputs"]))
        assert reply.encode().startswith(f'{{"result":{result},"shown":'.encode()), request
        refused += result.startswith('{"refused":')
    # Both kinds are there in number, so that the comparison is of answers and of refusals.
    assert refused >= GENERATED // 10
    assert len(asked) - refused >= GENERATED // 10, f"only {len(asked) - refused} of {len(asked)} inputs are answered"


OVER_ANOTHER = """async (requests) => {
  const script = (name) => import(new URL(name, document.querySelector("script").src).href);
  const [{ python }, { render }] = [await script("python.js"), await script("answer.js")];
  const folded = (place) => {
    const copy = place.cloneNode(true);
    for (const fold of copy.querySelectorAll("details")) fold.open = false; // these stay as they stood
    return copy;
  };
  const place = document.createElement("div");
  const wrong = [];
  let pictures = 0;
  for (const request of requests) {
    const { result, shown } = JSON.parse(await python.ask(request));
    const alone = document.createElement("div");
    render(alone, { ...result, ...shown });
    const picture = place.querySelector("svg");
    render(place, { ...result, ...shown });
    pictures += picture !== null && picture === place.querySelector("svg");
    if (!folded(place).isEqualNode(folded(alone))) wrong.push(request);
  }
  return { wrong, pictures };
}"""


def test_an_answer_put_over_another_stands_as_one_laid_out_alone(python: Page):
    found = python.evaluate(OVER_ANOTHER, [request for id in REGISTER for request in requests(id)[::4]])
    assert found["wrong"] == []
    assert found["pictures"] > len(REGISTER), "nothing that stood was kept: every answer was laid out anew"
