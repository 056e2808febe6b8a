"""Visits put into a browser's record, and photographs for them."""

import base64
import io
import json
from pathlib import Path

from PIL import Image, ImageDraw
from playwright.sync_api import Page

from tests.browser.tools import alive
from tests.record.visits import Visit, full, moment

VISITS, SHEET = "visits/", "visits/sheet/?visit="

ASKED = "Nothing was taken from {file}; what is here is as it was."
"""What is said of every file that is refused."""

REFUSED = {
    "cut-off.json": ("The file is damaged, perhaps cut off", lambda whole: whole[:-40]),
    "altered.json": ("The file is damaged, at visits/0/changed", lambda whole: whole.replace(b'"changed"', b'"channged"', 1)
                     .replace(b'"begun"', b'"changed":7,"begun"', 1)),
    "picture.json": ("This is no file of visits of a handbook.", lambda _whole: b"\xff\xd8\xff\xe0" * 99),
    "other.json": ("This is no file of visits of a handbook.", lambda _whole: b'{"kind":"handbook-remarks","version":1}'),
    "newer.json": ("made by a newer edition of the handbook, in format 3", lambda whole: whole.replace(b'"version": 1', b'"version": 3', 1)),
    "empty.json": ("The file is empty.", lambda _whole: b""),
    "large.json": ("The file is larger than 100 MB", lambda whole: whole + b" " * 100_000_000),
}
"""Files that cannot be taken: what is said of each, and how it is made of one that can."""


def written(folder: Path, *visits: Visit, **more: object) -> Path:
    """An export file as another device makes it."""
    file = folder / "theirs.json"
    file.write_text(json.dumps({"kind": "handbook-visits", "version": 1, "made": moment(200), "edition": 1, "visits": visits} | more))
    return file


def photograph(colour: str = "navy", width: int = 640, height: int = 480) -> str:
    """A JPEG in base64."""
    drawn = Image.new("RGB", (width, height), colour)
    ImageDraw.Draw(drawn).ellipse((width // 5, height // 5, width // 2, height // 2), fill="white")
    out = io.BytesIO()
    drawn.save(out, "JPEG")
    return base64.b64encode(out.getvalue()).decode()


def photographed(id: str = "v-1", **more: object) -> tuple[Visit, dict[str, str]]:
    """A whole visit with one photograph, and its bytes."""
    visit = full(id, **more)
    visit["photographs"] = [{"id": f"{id}-photo", "at": visit["begun"], "type": "image/jpeg", "width": 640, "height": 480,
                             "about": "The hose behind the tank port"}]
    return visit, {f"{id}-photo": photograph()}


def put(page: Page, base: str, *visits: tuple[Visit, dict[str, str]]) -> None:
    """The page opened on a device that keeps these visits."""
    page.goto(base + "glossary/")
    alive(page)
    page.evaluate("""async (all) => {
      const store = await import(new URL("../record/store.js", document.querySelector("script").src));
      const blob = (text) => new Blob([Uint8Array.from(atob(text), (one) => one.charCodeAt(0))], { type: "image/jpeg" });
      await store.putAll(all.map(([visit, photographs]) => (
        { visit, photographs: new Map(Object.entries(photographs).map(([id, text]) => [id, blob(text)])) })));
    }""", [list(one) for one in visits])


def kept(page: Page) -> dict[str, Visit]:
    """Every visit that the browser keeps, by id; for each photograph the number of its bytes that are there."""
    return page.evaluate("""async () => {
      const store = await import(new URL("../record/store.js", document.querySelector("script").src));
      const found = {};
      for (const visit of await store.all()) {
        for (const one of visit.photographs) one.bytes = (await store.photograph(one.id))?.size ?? null;
        found[visit.id] = visit;
      }
      return found;
    }""")
