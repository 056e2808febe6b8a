"""Reading of inputs: every kind of field, every refusal at once, and the words of each."""

import datetime
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.form import Field, Refused, read, refuse, shown_input

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


@pytest.mark.parametrize("name, given", [
    ("vacuum", 10**400), ("vacuum", -10**400), ("ratio", 10**400), ("edges", 10**400), ("price", 10**400),
    ("price", 10**5000), ("edges", 10**5000), ("vacuum", "9" * 80), ("price", "9" * 80), ("edges", "1e308"),
    ("price", "1e-300"), ("price", 0.1 + 0.2), ("rate", "1e-13"), ("price", "\u0663"), ("price", "1_000"), ("price", "0x1"),
    ("vacuum", "x" * 10**6), ("name", "x" * 10**6), ("thread", "M" * 10**6), ("day", "2" * 10**6), ("side", "l" * 10**6),
    ("on", "t" * 10**6), ("rows", [[]] * 10**5), ("rows", "[]"), ("rows", {"0": {"hours": 1}}), ("name", ["x"]),
    ("name", {"x": 1}), ("name", True), ("day", 20261125), ("day", ["2026-11-25"]), ("on", 1), ("on", None or []),
    ("side", ["left"]), ("side", True), ("thread", 10), ("ratio", True), ("edges", False), ("price", True), ("price", [1]),
    ("price", {"value": 1}), ("price", float("nan")), ("price", float("-inf")), ("edges", float("nan")), ("ratio", "nan"),
    ("price", "nan"), ("price", "Infinity"), ("price", "sNaN"), ("name", "a\x00b"), ("name", "half \ud800"),
], ids=lambda value: repr(value)[:30] if not isinstance(value, int) or abs(value) < 10**9 else "huge")
def test_what_is_huge_long_or_of_another_shape_is_refused_in_a_few_words(name, given):
    with pytest.raises(Refused) as error:
        read(FIELDS, {name: given})
    (refusal,) = error.value.refusals
    assert refusal.field == name and 0 < len(refusal.got) <= 60 and len(refusal.takes) < 250
    (refusal.got + refusal.takes).encode("utf-8")


def test_deep_nesting_is_refused():
    deep = []
    for _level in range(100_000):
        deep = [deep]
    for name in [f.name for f in FIELDS]:
        assert list(refused({name: deep})) == [f"{name}/0" if name == "rows" else name]
    assert list(refused({"rows": [{"hours": deep}]})) == ["rows/0/hours"]


@pytest.mark.parametrize("number, inclusive, above", [
    (-1, False, False), (-1e-9, False, False), (0, True, False), (1e-9, True, True), (10, True, True), (10.000001, False, False),
])
def test_limits_are_inclusive_unless_the_value_must_exceed_them(number, inclusive, above):
    for kind in ("number", "decimal", "quantity"):
        more = {"quantity": "length", "unit": "mm"} if kind == "quantity" else {}
        for exceed, taken in ((False, inclusive), (True, above)):
            fields = (Field("x", "X", kind, low=0, high=10, above=exceed, **more),)
            try:
                read(fields, {"x": number})
            except Refused:
                assert not taken, (kind, exceed)
            else:
                assert taken, (kind, exceed)


@pytest.mark.parametrize("unit", ["kPa", "mbar", "inH2O", "psi", "mmHg", "inHg", "bar", "Pa"])
def test_a_limit_typed_in_another_unit_is_taken_and_is_the_limit(unit):
    from calculators import quantity as q

    at_limit = q.from_si(101e3, "pressure", unit)
    assert one("vacuum", f"{at_limit!r} {unit}") == pytest.approx(101e3, rel=1e-12)
    assert q.from_si(one("vacuum", f"{at_limit!r} {unit}"), "pressure", "kPa") <= 101
    assert refused({"vacuum": f"{at_limit * 1.001!r} {unit}"})


def test_a_high_upper_limit_loosens_no_lower_one():
    for kind in ("number", "decimal"):
        assert refused({"x": -0.0001}, (Field("x", "X", kind, low=0, high=1e9),)) == {
            "x": "a number from 0 to 1\u202f000\u202f000\u202f000"}


@pytest.mark.parametrize("given", ["100.0000000001", "100.000000000001", "-0.000000000001", 100.00000000000001])
def test_a_decimal_beyond_its_limit_by_the_last_digit_is_refused(given):
    assert refused({"x": given}, (Field("x", "X", "decimal", unit="%", low=0, high=100),)) == {"x": "a number from 0 to 100 %"}


@pytest.mark.parametrize("given, text", [
    ("9.99", "9.99"), ("9,990", None), ("0,125", "0.125"), ("1e3", "1000"), ("1.284,50", "1284.50"), (3, "3"), (0.1, "0.1"),
    ("-0", "0"), (-0.0, "0.0"), ("1\u202f234.5", "1234.5"), ("+7", "7"), ("\u22121", None), (1e12, "1000000000000.0"),
])
def test_decimals_keep_their_digits(given, text):
    if text is None:
        assert refused({"price": given})
    else:
        value = one("price", given)
        assert value == Decimal(text) and not value.is_signed() and f"{value:f}" == text


@pytest.mark.parametrize("field, takes", [
    (Field("x", "X", "number"), "a number"), (Field("x", "X", "integer"), "a whole number"),
    (Field("x", "X", "number", low=1), "a number of 1 or more"), (Field("x", "X", "number", low=1, above=True), "a number above 1"),
    (Field("x", "X", "number", high=2), "a number of 2 or less"), (Field("x", "X", "number", low=1, high=2), "a number from 1 to 2"),
    (Field("x", "X", "quantity", quantity="temperature", unit="degC", low=-40, high=60, what="a temperature"),
     "a temperature from \u221240 to 60 °C"),
    (Field("x", "X", "quantity", quantity="pressure", unit="inH2O", what="a vacuum"), "a vacuum in inH₂O"),
    (Field("x", "X", "quantity", quantity="ratio", unit="1", low=0, high=1, what="a share"), "a share from 0 to 1"),
    (Field("x", "X", "object", fields=(Field("a", "A", "text"),)), "an object with these fields: a"),
])
def test_the_words_for_what_a_field_takes(field, takes):
    assert refused({"x": [1]}, (field,)) == {"x": takes}


def test_an_object_is_read_by_its_own_fields():
    fields = (Field("air", "Air", "object", fields=(Field("height", "Height", "number", low=0, required=True),)),)
    assert read(fields, {"air": {"height": "3"}}) == {"air": {"height": 3.0}}
    assert refused({"air": {"heigth": 3}}, fields) == {
        "air/heigth": "no such field; did you mean height?", "air/height": "a number of 0 or more"}
    assert read(fields, {}) == {"air": None}


@pytest.mark.parametrize("given, text", [
    (None, "nothing"), ("", "nothing"), (" \t", "nothing"), (-4, "-4"), (True, "true"), ([1, 2], "[1, 2]"), ("-4 kPa", "-4 kPa"),
    ("a\nb\x00", "a\ufffdb\ufffd"), ("x" * 61, "x" * 57 + "..."), ("x" * 60, "x" * 60), ("\ud800", "\ufffd"),
    ({"é": "ü"}, '{"é": "ü"}'),
])
def test_what_was_given_is_repeated_in_short(given, text):
    assert shown_input(given) == text


def test_a_number_too_long_to_write_is_named():
    assert shown_input(10**5000) == "int"


def test_many_unknown_fields_are_refused_without_end_of_words():
    refusals = refused({f"field{number}": 1 for number in range(5000)})
    assert len(refusals) == 200


def test_a_refusal_raised_by_a_calculator():
    error = refuse("a/0/b", -4, "a thing")
    assert [(r.field, r.got, r.takes) for r in error.refusals] == [("a/0/b", "-4", "a thing")] and "a/0/b" in str(error)


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
