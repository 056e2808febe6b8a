"""Reading of inputs: every kind of field, every refusal at once, and the words of each."""

import datetime
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.form import Field, Refused, read

FIELDS = (
    Field("vacuum", "Vacuum", "quantity", quantity="pressure", unit="kPa", low=0, high=101, what="a vacuum"),
    Field("pitch", "Pitch", "quantity", quantity="length", unit="mm", low=0, high=10, above=True, what="a pitch"),
    Field("ratio", "Ratio", "number", low=0.1, high=10), Field("edges", "Edges", "integer", low=1, high=8, default=4),
    Field("price", "Price", "decimal", low=0, what="an amount"), Field("rate", "Rate", "decimal", unit="%", high=100),
    Field("name", "Name", "text"), Field("on", "On", "flag", default=False), Field("day", "Day", "date"),
    Field("side", "Side", "choice", choices=(("left", "Left"), ("right", "Right"))),
    Field("thread", "Thread", "thread"),
    Field("rows", "Rows", "list", most=2, fields=(Field("hours", "Hours", "number", low=0, required=True),)),
)


def one(name, given):
    return read(FIELDS, {name: given})[name]


def refused(inputs, fields=FIELDS):
    with pytest.raises(Refused) as error:
        read(fields, inputs)
    return {r.field: r.takes for r in error.value.refusals}


@pytest.mark.parametrize("name, given, value", [
    ("vacuum", 19.4, 19400), ("vacuum", "19,4", 19400), ("vacuum", "40 inH2O", 9963.5564), ("vacuum", 0, 0),
    ("vacuum", 101, 101000), ("vacuum", "1010 mbar", 101000), ("pitch", "1.5", 0.0015), ("ratio", "3/4", 0.75),
    ("edges", "4", 4), ("edges", 4.0, 4), ("edges", None, 4), ("edges", "  ", 4), ("price", 9.99, Decimal("9.99")),
    ("price", "9,99", Decimal("9.99")), ("price", "1,284.50", Decimal("1284.50")), ("rate", "8.25 %", Decimal("8.25")),
    ("name", " ok ", "ok"), ("on", "yes", True), ("on", False, False), ("day", "2026-11-25", datetime.date(2026, 11, 25)),
    ("side", "RIGHT", "right"), ("rows", [{"hours": 1}], [{"hours": 1.0}]), ("rows", None, []), ("name", None, None),
])
def test_what_is_taken(name, given, value):
    assert one(name, given) == (pytest.approx(value) if isinstance(value, float | int) and value is not True else value)


@pytest.mark.parametrize("name, given, takes", [
    ("vacuum", "-4 kPa", "a vacuum from 0 to 101 kPa"), ("vacuum", 101.1, "a vacuum from 0 to 101 kPa"),
    ("vacuum", "x", "a vacuum from 0 to 101 kPa (no number in it)"),
    ("vacuum", "5 mm", "a vacuum from 0 to 101 kPa (unknown unit 'mm'; known are kPa, mbar, inH2O, mmH2O, hPa, Pa, bar, "
                       "psi, mmHg, inHg)"),
    ("vacuum", True, "a vacuum from 0 to 101 kPa"), ("vacuum", [1], "a vacuum from 0 to 101 kPa"),
    ("vacuum", float("nan"), "a vacuum from 0 to 101 kPa"), ("vacuum", float("inf"), "a vacuum from 0 to 101 kPa"),
    ("pitch", 0, "a pitch above 0, to 10 mm"), ("ratio", 0.05, "a number from 0.1 to 10"),
    ("edges", 2.5, "a whole number from 1 to 8"), ("edges", 9, "a whole number from 1 to 8"),
    ("price", "-1", "an amount of 0 or more"), ("price", "1/3", "an amount of 0 or more"),
    ("price", "1,284", "an amount of 0 or more (may be read as 1284 or as 1.284; write one of these)"),
    ("rate", "120", "a number of 100 % or less"), ("name", 3, "a text of at most 500 characters"),
    ("name", "x" * 501, "a text of at most 500 characters"), ("on", "perhaps", "true or false"),
    ("day", "25.11.2026", "a date written year-month-day, such as 2026-11-25"),
    ("day", "2026-02-30", "a date written year-month-day, such as 2026-11-25"),
    ("side", "up", "one of: left, right"), ("side", 3, "one of: left, right"),
    ("rows", [{"hours": 1}] * 3, "a list of 0 to 2 rows, each with hours"), ("rows", {}, "a list of 0 to 2 rows, each with hours"),
    ("vacum", 3, "no such field; did you mean vacuum?"),
])
def test_what_is_refused(name, given, takes):
    assert refused({name: given}) == {name: takes}


def test_every_refusal_comes_at_once_with_its_path():
    found = refused({"vacuum": -1, "edges": "x", "rows": [{"hours": -1}, {"hour": 1}], "side": "up", "zzz": 1})
    assert list(found) == ["zzz", "vacuum", "edges", "side", "rows/0/hours", "rows/1/hour", "rows/1/hours"]


def test_an_input_that_is_no_object():
    for given_ in ([], 3, "x", None):
        (takes,) = refused(given_).values()
        assert takes.startswith("an object with these fields: vacuum, pitch")


def test_required_and_missing():
    fields = (Field("a", "A", "number", required=True), Field("b", "B", "list", least=1, fields=FIELDS[:1]))
    assert refused({}, fields) == {"a": "a number", "b": "a list of 1 to 50 rows, each with vacuum"}


JSON = st.recursive(st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
                    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
                    max_leaves=8)


@settings(derandomize=True, max_examples=500)
@given(st.dictionaries(st.sampled_from([f.name for f in FIELDS]), JSON, max_size=4))
def test_any_json_is_read_or_refused(inputs):
    try:
        values = read(FIELDS, inputs)
    except Refused as error:
        assert all(r.field and r.got and r.takes and len(r.got) <= 60 for r in error.refusals)
    else:
        assert set(values) == {f.name for f in FIELDS}
