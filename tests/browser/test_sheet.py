"""The job sheet that the customer gets: everything of the visit, on A4 and Letter, with lines to sign, without cost or margin."""

from collections.abc import Iterable, Iterator
from typing import Any

import pypdfium2
import pytest
from playwright.sync_api import Page

from calculators import calculate, calculator
from calculators.present import shown
from macros.serve import Server
from tests.browser.records import SHEET, photographed, put
from tests.browser.tools import EDITION
from tests.record.visits import Visit, moment

PAPERS = {"A4": (595, 842), "Letter": (612, 792)}

#: What the office's answer tells and the customer must never read: costs like no other number of the sheet.
OFFICE = {"lines": [{"part": "NQ-3201", "description": "Recovery hose", "quantity": 1, "price": "48.00", "cost": "77.13"}],
          "labour_hours": "0.75", "labour_rate": "58.00", "call_out": "45.00", "tax_rate": 20, "audience": "office",
          "target_margin": "31.7", "currency": "EUR"}
RENEWAL = calculator("renewal-interval").example


def answer(id: str, inputs: dict[str, Any], at: str) -> dict[str, Any]:
    """An answer as the visit keeps it."""
    one, result = calculator(id), calculate(id, inputs)
    said = shown(one, result)
    return {"id": f"{id}-{at}", "at": at, "calculator": id, "title": one.question, "procedure": None, "step": None,
            "inputs": inputs, "answer": said["answer"], "result": result,
            "figures": [{"name": f["name"], "title": f["title"], "text": f"{f['value']} {f['unit']}".strip()} for f in said["figures"]]}


def priced(**more: object) -> tuple[Visit, dict[str, str]]:
    visit, photographs = photographed("v-1", price=None, **more)
    visit["answers"] += [answer("parts-cost", OFFICE, moment(50)), answer("renewal-interval", RENEWAL, moment(51))]
    return visit, photographs


def filled(page: Page, served: Server, *visits: tuple[Visit, dict[str, str]]) -> Page:
    put(page, served.url, *visits)
    page.goto(served.url + SHEET + "v-1")
    page.locator("[data-sheet][data-ready]").wait_for()
    return page


def secrets(visit: Visit) -> Iterator[str]:
    """Every text in which an answer for the office tells cost, margin or markup, and the numbers in it."""
    for one in visit["answers"]:
        if one["calculator"] in ("parts-cost", "renewal-interval"):
            yield from (one["answer"], *one["result"]["cautions"], *(note for note in one["result"]["notes"] if "cost" in note))
            for figure in one["figures"]:
                if figure["name"] in ("cost", "margin_share", "markup_share", "cost_rate", "run_to_failure_rate"):
                    yield from (figure["title"], figure["text"])
    yield from ("77.13", "31.7", "29.13", "margin", "markup", "cost us", "costs us", "cost to us", "and to us", "Below cost", "below cost")


def words(text: str) -> str:
    """Texts of page and paper compare without regard to line ends and kinds of spaces."""
    return " ".join(text.split())


def paper(page: Page, format: str) -> pypdfium2.PdfDocument:
    return pypdfium2.PdfDocument(page.pdf(format=format))


def read(sheets: Iterable[pypdfium2.PdfPage]) -> str:
    return words(" ".join(sheet.get_textpage().get_text_range() for sheet in sheets))


@pytest.mark.parametrize("format", PAPERS)
def test_everything_of_the_visit_is_on_paper_with_lines_to_sign(page: Page, served: Server, format: str):
    visit, photographs = priced()
    filled(page, served, (visit, photographs))
    document = paper(page, format)
    assert all(size == pytest.approx(PAPERS[format], abs=1.5) for size in (sheet.get_size() for sheet in document))
    assert len(document) <= 2
    text = read(document)
    for said in ("Job sheet", "Ride-on, 90 cm squeegee, no. 7", "1284 h", "1 November 2026", "TH-0119", "1 h 15 min",
                 "Leaves water over the whole width", "Most of the suction is lost in the hose.", "8.9 mm",
                 "Survey the suction (2 steps)", "Recovery hose, 38 mm", "NQ-3201", "The hose rubs on the frame,",
                 "Turn the rear blade by January.", "to pay, with tax", "The hose behind the tank port", f"edition {EDITION}"):
        assert words(said).lower() in text.lower(), said
    # The lines stand together on the sheet with what they are signed for.
    [signed] = [one for one in map(read, ([sheet] for sheet in document)) if "For the customer" in one]
    assert "Technician: R. Ames" in signed and "Date" in signed and "to pay, with tax" in signed
    page.emulate_media(media="print")
    lines = page.locator(".sign-here p").evaluate_all("(all) => all.map((e) => [getComputedStyle(e).borderTopWidth, e.clientWidth])")
    assert len(lines) == 3 and all(width != "0px" and length > 60 for width, length in lines)


def test_cost_and_margin_are_nowhere_on_the_sheet(page: Page, served: Server):
    visit, photographs = priced()
    told = set(secrets(visit))
    assert any("Below cost" in one for one in told) and "77.13 EUR" in told, "the visit holds what must not be shown"
    filled(page, served, (visit, photographs))
    whole = words(page.locator("main").evaluate("(e) => e.textContent"))
    texts = [whole, words(page.locator("main").evaluate("(e) => e.querySelector('[data-filled]').outerHTML")),
             *(read(paper(page, format)) for format in PAPERS)]
    for text in texts:
        assert "to pay, with tax" in text
        assert [one for one in told if words(one).lower() in text.lower()] == []


def test_an_unknown_calculators_answer_is_not_shown(page: Page, served: Server):
    visit, photographs = photographed("v-1")
    visit["answers"].append({**visit["answers"][0], "id": "x", "calculator": "profit", "answer": "We earn 12.", "title": "Profit"})
    text = filled(page, served, (visit, photographs)).locator("main").inner_text()
    assert "We earn" not in text and "Profit" not in text


@pytest.mark.parametrize("price, made_up", [("as worked out", True), ("120.00 EUR, agreed", False), (None, True)])
def test_the_price_is_what_is_charged_and_is_made_up_only_where_it_adds_up(
    page: Page, served: Server, price: str | None, made_up: bool
):
    visit, photographs = priced()
    [to_pay] = [f["text"] for one in visit["answers"] for f in one["figures"] if f["name"] == "gross"]
    visit["price"] = to_pay if price == "as worked out" else price
    text = words(filled(page, served, (visit, photographs)).locator("main").inner_text())
    assert (visit["price"] or to_pay) in text and ("call-out, without tax" in text) == (to_pay in text) == made_up


def test_a_visit_that_is_not_here_says_so(page: Page, served: Server):
    page.goto(served.url + SHEET + "nowhere")
    page.get_by_text("This visit is not on this device.").wait_for()
    assert not page.get_by_role("button", name="Print the sheet").is_visible()
