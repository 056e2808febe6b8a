"""The JSON Schema of the inputs: draft-07, true to the form, and enough to build the page's form from."""

import json
from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest

from calculators import REGISTER, calculate, calculator, describe
from calculators import quantity as q
from calculators.form import LONGEST_TEXT, Field, Refused, read, takes
from calculators.schema import _object

BOUNDED = ("quantity", "number", "integer", "decimal", "place")


def refused_by_schema(fields: tuple[Field, ...], inputs: Any) -> bool:
    return not jsonschema.Draft7Validator(_object(fields, {})).is_valid(inputs)


def refused_by_form(fields: tuple[Field, ...], inputs: Any) -> bool:
    try:
        read(fields, inputs)
    except Refused:
        return True
    return False


def must_be_given(f: Field) -> bool:
    return f.default is None and (f.required or f.kind == "list" and f.least > 0)


def all_fields(fields: tuple[Field, ...], path: str = "") -> Iterator[tuple[str, Field]]:
    for f in fields:
        yield path + f.name, f
        yield from all_fields(f.fields, f"{path}{f.name}/")


def schema_at(schema: dict[str, Any], path: str) -> dict[str, Any]:
    for name in path.split("/"):
        schema = schema.get("items", schema)["properties"][name]
    return schema


FIELDS = [(id, path, f) for id in REGISTER for path, f in all_fields(calculator(id).fields)]
NAMES = [f"{id}:{path}" for id, path, _f in FIELDS]


@pytest.mark.parametrize("id", REGISTER)
def test_the_schema_is_draft_07_and_plain_json(id):
    schema = describe(id)
    assert schema["$schema"] == "http://json-schema.org/draft-07/schema#"
    jsonschema.Draft7Validator.check_schema(schema)
    assert json.loads(json.dumps(schema, allow_nan=False)) == schema


@pytest.mark.parametrize("id", REGISTER)
def test_the_schema_takes_every_example_that_is_answered(id):
    one = calculator(id)
    validator = jsonschema.Draft7Validator(describe(id))
    assert describe(id)["examples"] == [one.example]
    for name, inputs in (("worked", one.example), *one.examples):
        if "refused" not in calculate(id, inputs):
            # To the form a null is a field left empty; the schema has such a field left out.
            given = {field: value for field, value in inputs.items() if value is not None}
            assert not [error.message for error in validator.iter_errors(given)], name
            assert not refused_by_form(one.fields, inputs) and calculate(id, given) == calculate(id, inputs)


@pytest.mark.parametrize("id, path, f", FIELDS, ids=NAMES)
def test_every_field_is_described(id, path, f):
    schema = schema_at(describe(id), path)
    assert schema["title"] == f.title and schema["x-kind"] == f.kind and schema["x-takes"] == takes(f)
    assert schema.get("description", "") == f.help
    assert schema.get("default") == f.default and schema.get("x-machine", "") == f.machine
    assert schema.get("x-private", False) == f.private
    if f.kind == "quantity":
        first, *_others = schema["x-units"]
        assert schema["x-unit"] == first["unit"] == f.unit
        assert {u["unit"] for u in schema["x-units"]} == set(f.units or (f.unit,))
        for u in schema["x-units"]:  # si = number * factor + offset, as the page converts
            assert 3 * u["factor"] + u["offset"] == q.to_si(3, f.quantity, u["unit"])
    if f.kind == "choice":
        assert schema["enum"] == [code for code, _title in f.choices]


@pytest.mark.parametrize("id, path, f", FIELDS, ids=NAMES)
def test_a_default_is_taken_by_schema_and_form(id, path, f):
    if f.default is not None:
        assert not refused_by_schema((f,), {f.name: f.default}) and not refused_by_form((f,), {f.name: f.default})


@pytest.mark.parametrize("id, path, f", [(i, p, f) for i, p, f in FIELDS if f.kind in BOUNDED],
                         ids=[n for n, (_i, _p, f) in zip(NAMES, FIELDS, strict=True) if f.kind in BOUNDED])
def test_schema_and_form_have_the_same_limits(id, path, f):
    """At a limit, just inside and just outside: both take the number or both refuse it, as the field says."""
    numbers = {}
    step = 1 if f.kind == "integer" else 1e-3
    for limit, outward in ((f.low, -1), (f.high, 1)):
        if limit is None:
            continue
        numbers[limit] = not (f.above and limit is f.low)
        numbers[limit + outward * step * max(1, abs(limit))] = False
    inside = 1 if f.low is None and f.high is None else f.high if f.low is None else f.low + step
    numbers[inside] = f.high is None or inside <= f.high
    for number, taken in numbers.items():
        assert refused_by_schema((f,), {f.name: number}) is not taken, number
        assert refused_by_form((f,), {f.name: number}) is not taken, number


@pytest.mark.parametrize("id, path, f", FIELDS, ids=NAMES)
@pytest.mark.parametrize("given", [True, [], {}, [[1]], {"a": 1}], ids=repr)
def test_what_is_of_another_shape_is_refused_by_both(id, path, f, given):
    fits = (f.kind == "flag" and given is True or f.kind == "list" and given == [] and f.least == 0
            or f.kind == "object" and given == {} and not any(map(must_be_given, f.fields)))
    assert refused_by_schema((f,), {f.name: given}) is not fits
    assert refused_by_form((f,), {f.name: given}) is not fits


@pytest.mark.parametrize("id", REGISTER)
def test_what_is_missing_or_unknown_is_refused_by_both(id):
    one = calculator(id)
    validator = jsonschema.Draft7Validator(describe(id))
    assert not validator.is_valid({**one.example, "no_such_field": 1})
    assert "no_such_field" in [r["field"] for r in calculate(id, {**one.example, "no_such_field": 1})["refused"]]
    for f in one.fields:
        if must_be_given(f):
            rest = {name: value for name, value in one.example.items() if name != f.name}
            assert not validator.is_valid(rest) and f.name in [r["field"] for r in calculate(id, rest)["refused"]]


@pytest.mark.parametrize("inputs", [[], "x", 3, None, True])
@pytest.mark.parametrize("id", REGISTER)
def test_what_is_no_object_is_refused_by_both(id, inputs):
    assert not jsonschema.Draft7Validator(describe(id)).is_valid(inputs)
    assert calculate(id, inputs)["refused"][0]["field"] == "(input)"


def test_rows_are_counted_by_both():
    fields = (Field("rows", "Rows", "list", least=2, most=3, fields=(Field("n", "N", "number"),)),)
    for number in range(6):
        inputs = {"rows": [{"n": 1}] * number}
        assert refused_by_schema(fields, inputs) == refused_by_form(fields, inputs) == (not 2 <= number <= 3)


@pytest.mark.parametrize("kind", ["text", "thread"])
def test_texts_are_bounded_by_both(kind):
    fields = (Field("t", "T", kind),)
    longest = describe_length(fields)
    assert longest == LONGEST_TEXT if kind == "text" else longest == q.LONGEST
    for text in ("x" * (longest + 1), 3, ["x"]):
        assert refused_by_schema(fields, {"t": text}) and refused_by_form(fields, {"t": text})


def describe_length(fields: tuple[Field, ...]) -> int:
    return _object(fields, {})["properties"]["t"]["maxLength"]


@pytest.mark.parametrize("day, taken", [("2026-11-25", True), ("2026-02-30", False), ("25.11.2026", False), ("", True)])
def test_dates_are_checked_by_both(day, taken):
    # jsonschema's own check of "format": "date" as oracle; an empty text counts as not given to the form.
    fields = (Field("d", "D", "date"),)
    if day:
        checker = jsonschema.Draft7Validator(_object(fields, {}), format_checker=jsonschema.FormatChecker())
        assert checker.is_valid({"d": day}) is taken
    assert refused_by_form(fields, {"d": day}) is not taken
