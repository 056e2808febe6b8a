"""Inputs made from a calculator's own description: right ones, wrong ones, and what people really type."""

import random
from typing import Any

ODD = ["", " ", "abc", "-", "1,2,3", "1.2.3", "1,284", "١٢", "½", "0x10", "1e999", "NaN", "-0", "1/0", "3/8", "1 1/2",
       "<b>12</b>", "'; drop", "𝟙𝟚", "12 parsecs", "1" * 90, "\u22125", "5\u00a0", "null", "true"]
"""Texts for any field; most are refused, some mean something only to some fields."""

WRONG = [None, True, False, [], {}, [1], {"a": 1}, -1, 0, 1e300, -1e-300]
"""Values of a type that most fields do not take."""


def inputs(description: dict[str, Any], number: int, seed: str) -> list[Any]:
    """`number` inputs for the calculator described (JSON Schema), always the same ones for one `seed`.

    Most lie near the worked example with some fields changed, so that many are answered; about a third hold
    something wrong.
    """
    rng = random.Random(seed)
    example = description["examples"][0]
    made: list[Any] = []
    for index in range(number):
        if index % 40 == 39:
            made.append(rng.choice([None, [], "text", 7, {}, {"no_such_field": 1}]))
            continue
        wrong = rng.random() < 0.3
        made.append(_object(description, example, rng, wrong))
    return made


def _object(schema: dict[str, Any], example: dict[str, Any], rng: random.Random, wrong: bool) -> dict[str, Any]:
    made = {}
    for name, field in schema["properties"].items():
        given = example.get(name)
        draw = rng.random()
        if given is None:
            if draw < 0.06:
                made[name] = _value(field, None, rng, wrong)
        elif draw < 0.03:
            continue
        elif draw < 0.6:
            made[name] = given
        else:
            made[name] = _value(field, given, rng, wrong)
    if wrong:
        made[rng.choice([*schema["properties"], "unknown"])] = rng.choice(ODD + WRONG)
    return made


def _value(field: dict[str, Any], given: Any, rng: random.Random, wrong: bool) -> Any:
    if field.get("type") == "array":
        return _list(field, given, rng, wrong)
    if "enum" in field:
        return rng.choice(field["enum"])
    if field.get("format") == "date":
        return f"20{rng.randint(20, 39)}-{rng.randint(1, 12):02d}-{rng.randint(1, 28):02d}"
    if field.get("type") == ["boolean", "string"]:
        return rng.choice([True, False, "yes", "no"])
    if field.get("type") == "string":
        return rng.choice([given or "M10", "M10", "M12x1.25", "3/8-16 UNC", "EUR", "JPY", "Blade, rear"])
    return _number(field, given, rng)


def _list(field: dict[str, Any], given: Any, rng: random.Random, wrong: bool) -> Any:
    rows = given or [{}]
    if wrong and rng.random() < 0.5:
        return rng.choice([[], [1], ["x"], rows * 60, "rows", None])
    if isinstance(rows[0], dict) and rng.random() < 0.7:
        # All rows by one share, so that readings which must rise or fall still do.
        share = rng.uniform(0.9, 1.1)
        return [{name: value * share if isinstance(value, float) else value for name, value in row.items()} for row in rows]
    if not isinstance(rows[0], dict):
        return rows
    least = max(1, field.get("minItems", 1))
    kept = rows[: rng.randint(least, len(rows))] if len(rows) > least else rows
    return [_object(field["items"], row, rng, wrong and rng.random() < 0.3) for row in kept]


def _number(field: dict[str, Any], given: Any, rng: random.Random) -> Any:
    low = field.get("minimum", field.get("exclusiveMinimum", -100.0))
    high = field.get("maximum", max(low + 100, 1000.0))
    base = given if isinstance(given, int | float) and not isinstance(given, bool) else None
    if base is not None and rng.random() < 0.8:
        value = base * rng.uniform(0.85, 1.15)
    else:
        value = rng.choice([low, high, low + (high - low) * rng.random() ** 3, rng.uniform(low, high)])
    if "integer" in field["type"]:
        return rng.choice([round(value), str(round(value))])
    value = rng.choice([value, round(value, 3), round(value, 1), float(round(value))])
    return rng.choice([value, _text(value, rng), _with_unit(field, value, rng)])


def _text(value: float, rng: random.Random) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return text.replace(".", ",") if rng.random() < 0.4 else text


def _with_unit(field: dict[str, Any], value: float, rng: random.Random) -> Any:
    units = field.get("x-units")
    if not units:
        return value
    own, unit = units[0], rng.choice(units)
    number = (value * own["factor"] + own["offset"] - unit["offset"]) / unit["factor"]
    return f"{_text(number, rng)}{rng.choice(['', ' '])}{unit['unit']}"
