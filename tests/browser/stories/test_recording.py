"""Stories of the record: a visit written as it happens, the next one, what is no number, no room, no storage."""

import json
from pathlib import Path

import jsonschema
from playwright.sync_api import expect

from calculators import calculate
from tests.browser.stories.hand import Hand
from tests.browser.tools import quota, ready
from tests.browser.visiting import EARLIER, EDGE, PICTURE, PRICE, PROCEDURE, SURVEY, field, seeded, until, visits

SCHEMA = json.loads((Path(__file__).parents[3] / "site_overrides" / "record" / "visit.schema.json").read_text("utf-8"))


def begin(hand: Hand) -> None:
    hand.open("visit/")
    hand.tap(hand.page.get_by_role("button", name="Begin the visit"))
    hand.page.locator("[data-fields]:not([hidden])").wait_for()


def test_visit(hand: Hand):
    """A visit: machine, what was seen, steps, a remark, readings, price, parts, a photograph, what remains; ended"""
    page = hand.page
    begin(hand)
    field(page, "machine.serial").fill("A-17")
    field(page, "customer").fill("Pier 4")
    field(page, "machine.hours").fill("812,5")
    until(page, "visit.machine.hours === 812.5")

    hand.open("seen/whole/")
    seen = page.locator("h1").inner_text()
    line = page.locator("[data-visit-line]")
    expect(line).to_have_text("Visit open: no. A-17, Pier 4")
    until(page, "visit.seen.length === 1")

    hand.open(PROCEDURE)
    for number in (0, 1, 2, 2):  # the third is taken off again
        hand.tap(page.locator(".tick[data-step]").nth(number))
    hand.tap(page.get_by_role("button", name="Write a remark on this step, 2", exact=True))
    page.get_by_label("Remark on step 2", exact=True).fill("This bolt is 13 mm on this one.")
    until(page, "visit.remarks.length === 1 && visit.steps.length === 3")

    hand.open(SURVEY)
    ready(page)
    page.locator("[name='readings/2/vacuum']").fill("17,2")
    expect(page.locator(".visited")).to_contain_text("Written into the visit.")
    answer = page.locator(".answer .says").first.inner_text()

    hand.open(PRICE)
    ready(page)
    page.locator(".calc input.box[inputmode=decimal]:visible").first.fill("3")
    expect(page.locator(".visited")).to_contain_text("Written into the visit.")

    hand.tap(line)
    page.locator("[data-part=visit]:not([hidden])").wait_for()
    expect(page.locator("[data-of=seen] .told")).to_contain_text(seen)
    expect(page.locator("[data-of=steps] summary")).to_contain_text("steps done 2")
    expect(page.locator("[data-of=answers] .told").first).to_contain_text(answer)
    expect(page.locator("[data-of=remarks] .told")).to_contain_text("This bolt is 13 mm on this one.")
    expect(field(page, "price")).not_to_have_value("")
    hand.tap("[data-add-part]")
    page.locator("[data-of=parts] .count .box").fill("3")
    page.locator("[data-photograph]").set_input_files(PICTURE)
    expect(page.locator("[data-of=photographs] img")).to_be_visible()
    page.get_by_label("What it shows").fill("the lid seal")
    field(page, "who").fill("J. Marsh")
    field(page, "minutes").fill("75")
    field(page, "notes").fill("Door code with the porter.\nKey at the desk.")
    field(page, "remains").fill("Order a rear blade.")
    hand.tap(page.get_by_role("button", name="End the visit"))
    expect(page.locator(".visit-state")).to_contain_text("Ended")
    expect(line).to_be_hidden()
    expect(page.locator("[data-said]")).to_contain_text("Order a rear blade.")
    hand.again()
    expect(page.locator("[data-said]")).to_contain_text("Key at the desk.")
    visit = until(page, "visit.ended")

    assert visit["machine"]["serial"] == "A-17" and visit["machine"]["hours"] == 812.5 and visit["customer"] == "Pier 4"
    assert visit["who"] == "J. Marsh" and visit["minutes"] == 75 and visit["when"] == visit["begun"][:10]
    assert [(one["procedure"], one["done"]) for one in visit["steps"]] == [("survey-suction", done) for done in (True, True, False)]
    survey, price = visit["answers"]
    assert survey["inputs"]["readings"][2]["vacuum"] == "17,2 kPa", "as it was given to the calculator"
    given = calculate("suction-drop", survey["inputs"])
    assert survey["result"] == json.loads(json.dumps(given)) and survey["answer"] == given["answer"]
    gross = price["result"]["figures"]["gross"]
    assert visit["price"] == f"{gross['value']} {gross['unit']}"
    assert [part["count"] for part in visit["parts"]] == [3]
    photograph, = visit["photographs"]
    assert photograph["about"] == "the lid seal" and max(photograph["width"], photograph["height"]) <= 1600, "scaled down"
    exported = {**visit, "photographs": [{**one, "data": None} for one in visit["photographs"]]}
    jsonschema.validate(exported, {**SCHEMA["definitions"]["visit"], "definitions": SCHEMA["definitions"]})


def test_next_visit(hand: Hand):
    """The next visit shows the last one and the trend, and offers the earlier and the healthy readings"""
    page = hand.open("visit/")
    seeded(page, page.locator("[data-machines] input").first.get_attribute("value"))
    hand.again()
    again = page.locator("[data-again] li")
    expect(again).to_have_count(2)
    hand.tap(again.filter(has_text="A-1").get_by_role("button"))
    last = page.locator("[data-earlier]")
    expect(last).to_contain_text("remains of 1")
    expect(last).to_contain_text("801 h")
    wear, suction = page.locator("[data-trends] svg").all()
    expect(wear).to_have_accessible_name("Worn flat over the hours Read at 2 moments: 25 h 0.02 in, 50 h 0.03 in.")
    expect(suction).to_have_accessible_name(
        "Sealed vacuum from visit to visit 15 January 2026: Motor inlet 80 inH₂O, Squeegee outlet 78 inH₂O. "
        "15 February 2026: Motor inlet 80 inH₂O, Squeegee outlet 60 inH₂O.")

    # Another number is another machine.
    hand.open("visit/")
    field(page, "machine.serial").fill("B 2")
    expect(last).to_contain_text("remains of 2")
    field(page, "machine.serial").fill("C3")
    expect(last).to_be_hidden()
    expect(page.locator("[data-trends]")).to_be_hidden()
    field(page, "machine.serial").fill("a 1")
    expect(last).to_contain_text("remains of 1")

    hand.open(EDGE)
    ready(page)
    expect(page.locator(".offer")).to_contain_text("Readings of this edge from earlier visits, the last on 15 February 2026: 2.")
    assert page.locator("[name='readings/0/flat']").input_value() != "0,02", "nothing is filled in unasked"
    hand.tap(page.get_by_role("button", name="Put these readings in"))
    page.locator("[data-outcome=answered]").wait_for()
    rows = [[page.locator(f"[name='readings/{row}/{name}']").input_value() for name in ("hours", "flat")] for row in range(3)]
    assert rows == [["25", "0,02"], ["50", "0.03"], ["", ""]]
    expect(page.locator("[name='unit:length'][value=in]").first).to_be_checked()
    assert not visits(page)[0]["answers"], "readings of earlier visits alone are no reading of this one"
    page.locator("[name='readings/2/hours']").fill("75")
    page.locator("[name='readings/2/flat']").fill("0.035")
    visit = until(page, "visit.answers.at(-1)?.inputs.readings.length === 3")
    assert visit["answers"][-1]["inputs"]["readings"] == [*EARLIER[1][0]["readings"], {"hours": "75 h", "flat": "0.035 in"}]

    hand.open(SURVEY)
    ready(page)
    expect(page.locator(".offer")).to_contain_text("Readings of this machine when it was well, on 15 January 2026: 4.")
    hand.tap(page.get_by_role("button", name="Put these readings in"))
    page.locator("[data-outcome=answered]").wait_for()
    hand.tap(page.get_by_role("button", name="Write this answer into the visit"))
    visit = until(page, "visit.answers.at(-1)?.calculator === 'suction-drop'")
    healthy = visit["answers"][-1]["inputs"]["healthy"]
    assert [{name: row[name] for name in ("station", "vacuum")} for row in healthy] == EARLIER[0][1]["readings"]


NONE = {
    "1,284": "1,284 may be read as 1284 or as 1.284: write one of these. Until then it stands as you typed it.",
    "about 1300": "about 1300 is no number such as 812.5. Until it is one, it stands as you typed it.",
    "-3": "-3 is no number such as 812.5. Until it is one, it stands as you typed it.",
}


def test_no_number(hand: Hand):
    """What is typed where a number is wanted and is none is said, stands as typed, also on the sheet, until it is one"""
    page = hand.page
    begin(hand)
    hand.tap("[data-add-part]")
    boxes = [field(page, "machine.hours"), field(page, "minutes"), page.locator("[data-of=parts] .count .box")]
    hours, minutes, count = NONE
    for box in boxes:
        box.fill("12")
    until(page, "visit.machine.hours === 12 && visit.minutes === 12 && visit.parts[0].count === 12")
    for box, typed in zip(boxes, NONE, strict=True):
        hand.tap(box)
        box.fill(typed)
    visit = until(page, "visit.unread?.minutes && visit.unread['machine.hours'] && visit.parts[0].unread")
    assert visit["unread"] == {"machine.hours": hours, "minutes": minutes} and visit["parts"][0]["unread"] == count
    assert visit["machine"]["hours"] is visit["minutes"] is None, "the number that it stands in the place of is no more"
    hand.again()
    for box, typed in zip(boxes, NONE, strict=True):
        expect(box).to_have_value(typed)
        expect(box).to_have_attribute("aria-invalid", "true")
        expect(box).to_have_accessible_description(NONE[typed])
    hand.tap(page.get_by_role("button", name="End the visit"))
    for typed in (hours, minutes):
        expect(page.locator("[data-said]")).to_contain_text(typed)
    hand.tap(page.get_by_role("link", name="Job sheet for the customer"))
    expect(page.locator("[data-sheet][data-ready]")).to_be_visible()
    for row, typed in zip((".sheet-facts", ".rows dt:text('Time') + dd", ".rows table"), NONE, strict=True):
        expect(page.locator(row)).to_contain_text(typed)

    hand.open(f"visit/?visit={visit['id']}")
    hand.tap(page.get_by_role("button", name="Open it again"))
    for box in boxes:
        box.fill("1284")
        expect(box).to_have_attribute("aria-invalid", "false")
        expect(box).to_have_accessible_description("")
    visit = until(page, "visit.machine.hours === 1284 && visit.minutes === 1284 && visit.parts[0].count === 1284")
    assert "unread" not in visit and "unread" not in visit["parts"][0]


def test_storage_full(hand: Hand):
    """The device is full: it is said, what was there stands, and it goes on when there is room"""
    page = hand.page
    with quota(page, hand.base, hand.used + 2_000_000):
        begin(hand)
        field(page, "customer").fill("Pier 4")
        until(page, "visit.customer === 'Pier 4'")
        field(page, "notes").fill("x" * 3_000_000)
        expect(page.locator("[data-trouble]")).to_contain_text("This device's storage is full")
        expect(page.locator("[data-visit-trouble]")).to_contain_text("This device's storage is full")
        assert visits(page)[0]["customer"] == "Pier 4" and visits(page)[0]["notes"] == ""
        hand.open("visit/")
        expect(field(page, "customer")).to_have_value("Pier 4")
        field(page, "notes").fill("short")
        until(page, "visit.notes === 'short'")
        expect(page.locator("[data-trouble]")).to_have_text("")


def test_storage_refused(hand: Hand):
    """A private window refuses storage: it is said, and all the rest goes on"""
    page = hand.page
    page.add_init_script("""Object.defineProperty(globalThis, 'indexedDB', { value:
      { open() { throw new DOMException('refused', 'SecurityError'); } } });""")
    hand.open("visit/")
    expect(page.locator("[data-trouble]")).to_contain_text("This browser or window keeps no record")
    expect(page.locator("[data-part]:visible")).to_have_count(0)
    for address, said in (("visits/", "[data-visits] [data-said]"), ("visits/sheet/?visit=v-1", "[data-sheet] [data-said]")):
        hand.open(address)
        expect(page.locator(said)).to_contain_text("This browser or window keeps no record")
    hand.open(PROCEDURE)
    hand.tap(".tick[data-step]")
    hand.again()
    expect(page.locator(".tick[data-step]").first).to_be_checked()
    expect(page.locator(".remark")).to_have_count(0)
    hand.open(SURVEY)
    ready(page)
    page.locator("[name='readings/2/vacuum']").fill("17.2")
    page.locator("[data-outcome=answered]").wait_for()
    expect(page.locator(".visited")).to_be_hidden()
