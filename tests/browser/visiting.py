"""What tests of the visit share: a page opened, the record as it is on the disk, earlier visits."""

from pathlib import Path
from typing import Any

from playwright.sync_api import Locator, Page

from calculators import calculate
from tests.browser.tools import alive

PROCEDURE, SURVEY, EDGE, PRICE = (
    "procedures/survey-suction/", "calculators/suction-drop/", "calculators/edge-life/", "calculators/parts-cost/")
PICTURE = Path(__file__).parents[2] / "docs" / "home.png"


def opened(page: Page, url: str) -> Page:
    """A page of the handbook with its scripts in place."""
    page.goto(url)
    alive(page)
    return page


def visits(page: Page) -> list[dict[str, Any]]:
    """Every visit on the device as it is on the disk, the newest first."""
    return page.evaluate("import(new URL('../record/store.js', document.querySelector('script').src)).then((store) => store.all())")


def until(page: Page, holds: str) -> dict[str, Any]:
    """The newest visit once `holds`, a script's expression about `visit`, is true of it on the disk."""
    return page.evaluate(f"""async () => {{
      const store = await import(new URL("../record/store.js", document.querySelector("script").src));
      for (let look = 0; look < 600; look += 1) {{
        const [visit] = await store.all();
        if (visit && ({holds})) return visit;
        await new Promise((done) => setTimeout(done, 50));
      }}
      throw new Error(`not so: {holds.replace("`", "")}: ${{JSON.stringify((await store.all())[0])}}`);
    }}""")


def field(page: Page, name: str) -> Locator:
    """The box of one field of the visit."""
    return page.locator(f"[data-name='{name}']")


def begin(page: Page, base: str) -> Page:
    """A visit begun on the page of visits."""
    opened(page, base + "visit/")
    page.get_by_role("button", name="Begin the visit").click()
    page.locator("[data-fields]:not([hidden])").wait_for()
    return page


def survey(outlet: float) -> dict[str, Any]:
    """Readings of the air path, the last of them `outlet` inH2O."""
    vacuums = {"motor-inlet": 80, "tank-port": 79, "hose-end": 79, "squeegee-outlet": outlet}
    return {"readings": [{"station": station, "vacuum": f"{vacuum} inH2O"} for station, vacuum in vacuums.items()],
            "sealed_vacuum": "20 kPa"}


def edge(*readings: tuple[str, str]) -> dict[str, Any]:
    """Readings of one edge: hours and flat."""
    return {"readings": [{"hours": hours, "flat": flat} for hours, flat in readings], "edge_now": 2, "edges": 4,
            "hours_per_week": 30, "read_on": "2026-09-01"}


EARLIER = [
    (edge(("25 h", "0,02 in")), survey(78)),
    (edge(("25 h", "0,02 in"), ("50 h", "0.03 in")), survey(60)),
]
"""What was read at the visits before, the oldest first."""


def seeded(page: Page, machine: str) -> None:
    """Put earlier visits to number A1 of `machine` on the device, and one to another number."""
    put = []
    for number, (wear, suction) in enumerate([*EARLIER, (edge(("900 h", "1.9 mm")), survey(70))]):
        when = f"2026-0{number + 1}-15T09:00:00.000Z"
        answers = [{"id": f"{number}-{name}", "at": when, "calculator": name, "title": name, "procedure": None, "step": None,
                    "inputs": inputs, "figures": [], "result": (result := calculate(name, inputs)), "answer": result["answer"]}
                   for name, inputs in (("edge-life", wear), ("suction-drop", suction))]
        put.append({"kind": "visit", "version": 1, "id": str(number), "edition": 1, "begun": when, "changed": when, "ended": when,
                    "customer": "Pier 4", "machine": {"id": machine, "title": "Machine", "hours": 800 + number,
                                                      "serial": "A-1" if number < len(EARLIER) else "B-2"},
                    "who": "J. Marsh", "when": when[:10], "seen": [], "steps": [], "answers": answers, "parts": [], "minutes": None,
                    "price": None, "notes": "", "remarks": [], "photographs": [], "remains": f"remains of {number}", "removed": []})
    page.evaluate("(put) => import(new URL('../record/store.js', document.querySelector('script').src)).then((store) => store.putAll(put.map((visit) => ({ visit }))))", put)
