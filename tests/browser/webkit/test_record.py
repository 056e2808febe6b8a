"""The record in WebKit: a visit typed in, ticked and photographed is there after the window has left and come back."""

from macros.serve import Server
from tests.browser.webkit.opening import Window

VISIT = """const store = await import(new URL("../record/store.js", document.querySelector("script").src).href);
return (await store.all())[0];"""

TAKEN = """const [{ take }, store] = await Promise.all(["photograph", "store"].map((name) =>
  import(new URL(`../record/${name}.js`, document.querySelector('script').src).href)));
const canvas = document.createElement("canvas");
[canvas.width, canvas.height] = [2400, 1200];
canvas.getContext("2d").fillRect(0, 0, 9, 9);
const { blob, about } = await take(await new Promise((done) => canvas.toBlob(done, "image/png")));
const visit = await store.current();
const { id } = await store.addPhotograph(visit.id, blob, about);
const kept = await createImageBitmap(await store.photograph(id));
return [kept.width, kept.height];"""


def test_a_visit_is_written_as_it_happens_and_is_there_again(window: Window, kept_serving: Server, no_visits: None):
    base = kept_serving.url

    def visit() -> dict:
        return window.later(VISIT, base)

    window.open(base + "visit/")
    window.press("[data-begin]")
    window.type("[data-name='machine.serial']", "A-17")
    window.until(lambda: visit()["machine"]["serial"] == "A-17", "the serial number, written")
    window.open(base + "procedures/survey-suction/")
    window.press(".tick[data-step]")
    window.until(lambda: [step["done"] for step in visit()["steps"]] == [True], "the tick, written")
    window.open(base + "seen/whole/")
    window.until(lambda: len(visit()["seen"]) == 1, "what was seen, written")
    assert window.later(TAKEN, base) == [1600, 800]
    window.open(base + "visit/")
    window.until(lambda: "A-17" in window.run("return document.querySelector('[data-visit-line]').textContent"),
                 "the line of the visit")
    window.until(lambda: window.run("return document.querySelector('[data-of=photographs] img')?.naturalWidth") == 1600,
                 "the photograph")
    window.press("[data-acts] button")
    assert window.until(lambda: visit()["ended"], "the end, written")
