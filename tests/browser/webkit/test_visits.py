"""Visits in WebKit: a file is taken once, a damaged one is refused, what was taken goes out again and onto the job
sheet."""

import json

from jsonschema import Draft7Validator

from macros.serve import Server
from tests.browser.records import SHEET, VISITS, photograph, photographed
from tests.browser.webkit.opening import Window
from tests.record.visits import empty, moment

CHOOSE = """const chosen = new DataTransfer();
chosen.items.add(new File([arguments[0]], "theirs.json", { type: "application/json" }));
const field = document.querySelector("[data-file]");
field.files = chosen.files;
field.dispatchEvent(new Event("change", { bubbles: true }));"""

EXPORT = """const top = new URL("../record/", document.querySelector("script").src);
const [{ files }, store] = await Promise.all(["export", "store"].map((name) => import(new URL(`${name}.js`, top))));
let text = "";
for await (const parts of files(await store.all(), store.photograph, arguments[1])) text += parts.join("");
return text;"""


def told(window: Window, text: str, line: str) -> None:
    """The file `text` is chosen, and the page says `line`."""
    window.run(CHOOSE, text)
    window.until(lambda: line in window.run("return document.querySelector('[data-said]').textContent"), line)


def test_visits_come_in_go_out_and_stand_on_the_sheet(window: Window, kept_serving: Server, no_visits: None):
    about = {"made": moment(200), "edition": 1}
    visit, _bytes = photographed("v-1")
    visit["photographs"][0]["data"] = photograph()
    file = {"kind": "handbook-visits", "version": 1, **about, "visits": [visit, empty("v-2")]}
    window.open(kept_serving.url + VISITS)
    told(window, json.dumps(file), "visits new here 2, brought up to date 0, already here 0.")
    told(window, json.dumps(file), "visits new here 0, brought up to date 0, already here 2.")
    told(window, json.dumps(file)[:-40], "The file is damaged, perhaps cut off")
    out = json.loads(window.later(EXPORT, kept_serving.url, about))
    schema = json.loads(window.later("return (await fetch(`${arguments[0]}record/visit.schema.json`)).text();",
                                     kept_serving.url))
    assert list(Draft7Validator(schema).iter_errors(out)) == []
    assert {one["id"]: one for one in out["visits"]} == {one["id"]: one for one in file["visits"]}
    window.open(kept_serving.url + SHEET + "v-1")
    window.one("[data-sheet][data-ready]")
    sheet = window.run("return document.querySelector('[data-sheet]').innerText")
    assert "Most of the suction is lost in the hose." in sheet
    assert window.run("return document.querySelector('.photographs img').naturalWidth") == 640
