"""Tables for spreadsheets: read back by Python's own reader of CSV; no cell is a formula."""

import csv
import io
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.record.conftest import Node
from tests.record.visits import empty, full

BEGINS_A_FORMULA = tuple("=+-@\t\r\n＝＋－＠")


def read(text: str) -> list[list[str]]:
    assert text.startswith("\ufeff")
    return list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True))


@settings(derandomize=True, max_examples=200, deadline=None)
@given(st.lists(st.lists(st.text("ab,;\"\r\n=+-@\t1é" + chr(0x1F6BF), max_size=6), min_size=2, max_size=2), min_size=1))
def test_every_cell_comes_back_and_none_is_a_formula(node: Node, rows: list[list[str]]):
    text = node.call("table", "csv", rows)
    assert text.endswith("\r\n")
    for row, back in zip(rows, read(text), strict=True):
        for cell, came in zip(row, back, strict=True):
            assert came in (cell, f"'{cell}")
            assert not came.startswith(BEGINS_A_FORMULA) or float(came) <= 0


@pytest.mark.parametrize("cell, shown", [("=1+1", "'=1+1"), ("-2", "-2"), ("-2.5", "-2.5"), ("-2+3", "'-2+3"), ("+49", "'+49"),
                                         ("@sum", "'@sum"), ("\tx", "'\tx"), (-3, "-3"), (None, ""), (0, "0"), ("a=b", "a=b")])
def test_what_a_spreadsheet_would_calculate_is_text_and_numbers_stay_numbers(node: Node, cell: object, shown: str):
    assert read(node.call("table", "csv", [[cell, ""]])) == [[shown, ""]]


def test_one_row_for_each_visit(node: Node):
    heads, one, other = read(node.call("table", "csv", node.call("table", "ofVisits", [full(), empty("v-2")])))
    row = dict(zip(heads, one, strict=True))
    assert row["Customer's reference"] == "TH-0119" and row["Hour meter, h"] == "1284" and row["Time, min"] == "75"
    assert row["Notes"] == full()["notes"]
    assert row["Steps done"] == "Survey the suction: Take the key out.\nSurvey the suction: Read the gauge."
    assert row["Parts used"] == "2 × NQ-3201 Recovery hose, 38 mm"
    assert row["Photographs"] == "1" and row["Price"] == "194.81 EUR"
    assert dict(zip(heads, other, strict=True))["Hour meter, h"] == ""


def test_what_is_no_number_stands_in_the_table_as_typed(node: Node):
    visit = full(unread={"machine.hours": "1,284", "minutes": "=2*30"}, minutes=None)
    visit["parts"][0]["unread"] = "a few"
    heads, one = read(node.call("table", "csv", node.call("table", "ofVisits", [visit])))
    row = dict(zip(heads, one, strict=True))
    assert (row["Hour meter, h"], row["Time, min"], row["Parts used"][:5]) == ("1,284", "'=2*30", "a few")


def test_one_row_for_each_figure_of_an_answer(node: Node):
    bare = full("v-2")
    bare["answers"][0] |= {"figures": [], "result": {}}
    heads, *rows = read(node.call("table", "csv", node.call("table", "ofAnswers", [full(), empty("v-3"), bare])))
    hole, worst, none = (dict(zip(heads, row, strict=True)) for row in rows)
    assert (hole["Figure"], hole["As shown"], hole["Value"], hole["Unit"]) == ("a hole of", "8.9 mm", "0.0089", "m")
    assert (worst["Figure"], worst["As shown"], worst["Value"], worst["Unit"]) == ("worst", "hose", "hose", "")
    assert (none["Visit"], none["Answer"], none["Figure"]) == ("v-2", "Most of the suction is lost in the hose.", "")


def test_remarks_stand_by_procedure_and_step_and_name_no_customer(node: Node):
    other = full("v-2")
    other["remarks"] = [
        {**other["remarks"][0], "id": "r-2", "procedure": "a", "procedureTitle": "Align the blade", "text": "First"},
        {**other["remarks"][0], "id": "r-3", "at": "2026-10-01T00:00:00.000Z", "text": "Earlier"}]
    file = node.call("remarks", "file", [full(), other], {"made": full()["begun"], "edition": 1})
    assert [(group["title"], [(step["title"], [remark["text"] for remark in step["remarks"]]) for step in group["steps"]])
            for group in file["procedures"]] == [
        ("Align the blade", [("Read the gauge.", ["First"])]),
        ("Survey the suction", [("Read the gauge.", ["Earlier", "This bolt is 13 mm on this one."])])]
    rows = read(node.call("table", "csv", node.call("remarks", "rows", [full(), other])))
    assert [row[3] for row in rows] == ["Remark", "First", "Earlier", "This bolt is 13 mm on this one."]
    for told in (json.dumps(file), json.dumps(rows)):
        assert "TH-0119" not in told and "R. Ames" not in told and "v-1" not in told
