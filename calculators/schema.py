"""A calculator's fields as JSON Schema (draft-07), for ``calc ID --describe``, editors and the page."""

from typing import Any

from . import quantity as q
from .form import LONGEST_TEXT, MOST_ROWS, Calculator, Field, takes
from .words import _


def describe(calculator: Calculator) -> dict[str, Any]:
    """JSON Schema of the inputs, with ``x-`` keys for what the standard has no word for.

    ``x-quantity``, ``x-unit`` (default unit), ``x-units`` (unit, factor, offset: si = number * factor +
    offset), ``x-choices``, ``x-machine`` (path of the machine's figure), ``x-takes`` (the words of a
    refusal), ``x-private`` (for the office alone).
    """
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": _(calculator.question),
        "description": _(calculator.summary),
        "examples": [calculator.example],
        **_object(calculator.fields, calculator.example),
    }


def _object(fields: tuple[Field, ...], example: dict[str, Any]) -> dict[str, Any]:
    schema: dict[str, Any] = {
        "type": "object",
        "additionalProperties": False,
        "properties": {f.name: _field(f, example.get(f.name)) for f in fields},
    }
    required = [f.name for f in fields if f.default is None and (f.required or f.kind == "list" and f.least)]
    if required:
        schema["required"] = required
    return schema


def _field(f: Field, example: Any) -> dict[str, Any]:
    schema: dict[str, Any] = {"title": _(f.title)}
    if f.help:
        schema["description"] = _(f.help)
    schema |= _type(f, example)
    if f.default is not None:
        schema["default"] = f.default
    if example is not None and f.kind not in ("list", "object"):
        schema["examples"] = [example]
    if f.machine:
        schema["x-machine"] = f.machine
    if f.private:
        schema["x-private"] = True
    schema["x-kind"] = f.kind
    schema["x-takes"] = takes(f)
    return schema


def _type(f: Field, example: Any) -> dict[str, Any]:
    if f.kind == "list":
        row = example[0] if isinstance(example, list) and example else {}
        return {"type": "array", "minItems": f.least, "maxItems": min(f.most, MOST_ROWS),
                "items": _object(f.fields, row), "x-row": _(f.row_title)}
    if f.kind == "object":
        return _object(f.fields, example if isinstance(example, dict) else {})
    if f.kind == "choice":
        return {"type": "string", "enum": [code for code, _title in f.choices],
                "x-choices": [{"value": code, "title": _(title)} for code, title in f.choices]}
    if f.kind == "flag":
        return {"type": ["boolean", "string"]}
    if f.kind == "date":
        return {"type": "string", "format": "date"}
    if f.kind in ("text", "thread"):
        return {"type": "string", "maxLength": LONGEST_TEXT if f.kind == "text" else q.LONGEST}
    schema: dict[str, Any] = {"type": ["integer" if f.kind == "integer" else "number", "string"]}
    if f.low is not None:
        schema["exclusiveMinimum" if f.above else "minimum"] = f.low
    if f.high is not None:
        schema["maximum"] = f.high
    if f.kind == "place":
        schema["x-choices"] = [{"value": code, "title": _(title)} for code, title in f.choices]
    if f.kind == "quantity":
        kind = q.QUANTITIES[f.quantity]
        schema |= {"x-quantity": f.quantity, "x-unit": f.unit, "x-units": [
            {"unit": u.symbol, "shown": q.pretty(u.symbol) or u.symbol, "factor": u.factor, "offset": u.offset}
            for u in sorted((kind.unit(s) for s in (f.units or (f.unit,))), key=lambda u: u.symbol != f.unit)]}
    elif f.unit:
        schema["x-unit"] = f.unit
    return schema
