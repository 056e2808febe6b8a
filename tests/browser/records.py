"""Visits put into a browser's record, and photographs for them."""

import base64
import io

from PIL import Image, ImageDraw
from playwright.sync_api import Page

from macros.serve import Server
from tests.record.visits import Visit, full

VISITS, SHEET = "visits/", "visits/sheet/?visit="


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


def put(page: Page, served: Server, *visits: tuple[Visit, dict[str, str]]) -> None:
    """The page opened on a device that keeps these visits."""
    page.goto(served.url + "glossary/")
    page.locator("html[data-alive]").wait_for()
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
