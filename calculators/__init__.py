"""Calculators of floor-scrubber service: plain JSON in, plain JSON out.

Standard library only, SI inside, no input or output, no clock, no random number: the same source
answers in CPython and in the reader's browser, with the same bytes.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from importlib import import_module
from typing import Any

from .form import Calculator, Figure, Refusal, Refused, Result, Span, read, shown_input
from .present import shown
from .private import guarded, has_private, hidden
from .quantity import from_si, rounded
from .words import _

#: The register: id -> module that holds the calculator as ``CALCULATOR``. Imported when asked for.
REGISTER: dict[str, str] = {
    "suction-drop": "suction_drop",
    "edge-life": "edge_life",
    "wheel-adjust": "wheel_adjust",
    "blade-level": "blade_level",
    "parts-cost": "parts_cost",
    "leak-size": "leak_size",
    "hose-airspeed": "hose_airspeed",
    "renewal-interval": "renewal_interval",
    "battery-charge": "battery_charge",
    "charging-air": "charging_air",
    "recovery-rate": "recovery_rate",
    "fault-order": "fault_order",
}


def calculator(id: str) -> Calculator:
    """The calculator with this id. Raises `KeyError` for an id that is not in `REGISTER`."""
    return import_module(f"{__name__}.{REGISTER[id]}").CALCULATOR


def calculators() -> Iterator[Calculator]:
    """Every calculator, in the order of the register."""
    return map(calculator, REGISTER)


def describe(id: str) -> dict[str, Any]:
    """JSON Schema (draft-07) of a calculator's inputs; see `schema.describe`."""
    from .schema import describe as describe_fields

    return describe_fields(calculator(id))


def calculate(id: str, inputs: Any) -> dict[str, Any]:
    """Answer one question: a plain JSON object in, a plain JSON object out.

    Out: calculator, outcome, answer, figures, tables, notes, cautions, workings, sources, picture; or
    ``{"refused": [{field, got, takes}]}`` with every refusal at once. Numbers have 10 significant
    digits and carry their unit. Raises `KeyError` for an unknown id, and nothing for any input.
    """
    one = calculator(id)
    try:
        values = read(one.fields, inputs)
    except Refused as refused:
        return _refused(guarded(one.fields, inputs, refused.refusals))
    try:
        result = one.run(values)
    except Refused as refused:
        return _refused(refused.refusals)
    return _plain(one, result)


def _refused(refusals: Sequence[Refusal]) -> dict[str, Any]:
    return {"refused": [{"field": r.field, "got": r.got, "takes": r.takes} for r in refusals]}


def _plain(one: Calculator, result: Result) -> dict[str, Any]:
    figures = {f.name: _cell(f, result.figures[f.name]) for f in one.figures if f.name in result.figures}
    tables = {t.name: [{c.name: _cell(c, row[c.name]) for c in t.columns if c.name in row}
                       for row in result.tables[t.name]]
              for t in one.tables if t.name in result.tables}
    undeclared = set(result.figures) - set(figures) | set(result.tables) - set(tables)
    if undeclared:
        raise AssertionError(f"{one.id} returned what it does not declare: {sorted(undeclared)}")
    return {
        "calculator": one.id, "outcome": result.outcome, "answer": result.answer,
        "figures": figures, "tables": tables, "notes": result.notes, "cautions": result.cautions,
        "workings": [{"formula": w.formula, "numbers": w.numbers, "result": w.result} for w in result.workings],
        "sources": result.sources or [_(source) for source in one.sources], "picture": result.picture,
    }


def _cell(figure: Figure, value: Any) -> Any:
    """A figure or a cell as plain JSON: numbers and money carry their unit; text and flags stay."""
    if value is None or isinstance(value, bool | str) or figure.kind == "count":
        return value
    if isinstance(value, tuple):  # money: amount and currency, or a decimal and its unit
        amount, unit = value
        return {"value": str(amount), "unit": unit}
    if isinstance(value, Decimal):
        return {"value": str(value), "unit": figure.unit}
    if not isinstance(value, Span):
        value = Span(float(value))
    plain: dict[str, Any] = {"value": _number(figure, value.value), "unit": figure.unit}
    if value.low is not None:
        plain["low"] = _number(figure, value.low)
    if value.high is not None:
        plain["high"] = _number(figure, value.high)
    return plain


def _number(figure: Figure, si: float | None) -> float | None:
    return None if si is None else rounded(from_si(si, figure.quantity, figure.unit))


def to_json(plain: Mapping[str, Any]) -> str:
    """The one way in which results are written as JSON text."""
    return json.dumps(plain, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def answer_json(id: str, text: str) -> str:
    """`calculate` on JSON text, answering with JSON text: byte for byte the same everywhere."""
    try:
        inputs = json.loads(text)
    except (ValueError, RecursionError):
        got = shown_input(text)
        if has_private(calculator(id).fields):  # who reads cannot be told
            got = hidden(got)
        return to_json({"refused": [{"field": "(input)", "got": got, "takes": _("a JSON object")}]})
    return to_json(calculate(id, inputs))


def bridge(text: str) -> str:
    """What the browser's worker calls: a JSON request in, a JSON reply out.

    Request: ``{"id", "inputs", "units": {quantity: unit}, "origin": {field title: where it came from}}``;
    reply: ``{"result": calculate(...), "shown": texts to lay out}``. What is shown as the result has it (the
    answer, the picture ...) is not sent a second time: it stands in the result alone.
    """
    request = json.loads(text)
    result = calculate(request["id"], request["inputs"])
    texts = shown(calculator(request["id"]), result, request.get("units"))
    own = {name: said for name, said in texts.items() if said is not result.get(name)}
    return to_json({"result": result, "shown": own})
