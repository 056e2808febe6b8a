"""JSON Schema (draft-07) of the content's files, made from the model: what editors complete, explain and mark red.

A schema sees a document as YAML 1.2 reads it, the loader (`macros.load`) sees each value as it was written. Both
take the same files but for what JSON Schema cannot express:

- the range of a quantity with its unit, of a decimal number in quotes, and the table of known threads: the
  schema holds how they are written, the loader the rest;
- another spelling of the same number or flag (``0x1F``, ``5.0`` for a whole number, ``+5``, ``True``): to a
  schema it is the same value, the loader takes one spelling where the model does;
- what is not a value: anchors, aliases, tags, a second document, a key that stands twice, limits of size.

`tests/macros/test_schema.py` holds both together and measures that nothing else differs.
"""

import re
from functools import singledispatch
from typing import Any

from calculators import quantity as q
from macros import fields as f
from macros import model
from macros.folder import FILES
from macros.hover import SAYS
from macros.words import _

DRAFT = "http://json-schema.org/draft-07/schema#"
#: Characters that the loader strips from both ends of a value, and those that it refuses.
_SPACE = r"[ \t\n\u00a0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000]*"
_CONTROLS = r"[\u0000-\u0008\u000b-\u001f\u007f-\u009f]"
_SHOWN = rf"^(?![\s\S]*{_CONTROLS})"
_ID_KEYS = {"pattern": rf"^{_SPACE}{f.ID.pattern}{_SPACE}$"}
#: A mapping, a list or nothing, where one value is wanted. (Naming the types that are wanted would make editors
#: offer "true" and "false" for every text.)
_ONE_VALUE = {"not": {"type": ["array", "object", "null"]}}


def schemas() -> dict[str, dict[str, Any]]:
    """Every kind of content file -> its schema: ``handbook`` ... ``glossary`` and ``machine``, ``procedure``."""
    made = {name.removesuffix(".yml"): _object(cls) for name, cls in FILES.items()}
    made["machine"] = _machine()
    made["procedure"] = _procedure()
    comment = "Made from macros/model.py by: python3 handbook.py schema. Do not edit."
    return {name: {"$schema": DRAFT, "$comment": comment, **one} for name, one in made.items()}


def _machine() -> dict[str, Any]:
    made = _object(model.MachineHead)
    for section, figures in model.FIGURES.items():
        made["properties"][section] = {
            "description": _("Figures that calculators take: {names}.").format(names=", ".join(figures)),
            "type": "object", "additionalProperties": False,
            "properties": {name: _described(schema(kind), kind, section, name) for name, kind in figures.items()}}
    return made


def _procedure() -> dict[str, Any]:
    made = _object(model.ProcedureHead)
    alone = {"anyOf": [{"required": ["part"]}, {"required": ["message"]}]}
    item = {
        "type": "object",
        "if": {"required": ["part"]}, "then": _object(model.Heading),
        "else": {"if": {"required": ["message"]}, "then": _object(model.Placed), "else": _object(model.Step)},
    }
    made["properties"]["steps"] = {"description": _(SAYS["ProcedureHead"]["steps"]), "type": "array", "items": item,
                                   "contains": {"type": "object", "not": alone}}
    made["required"].append("steps")
    return made


def _object(cls: type) -> dict[str, Any]:
    """An object of the model: its entries, described, and which of them must be there."""
    entries = f.declared(cls)
    made: dict[str, Any] = {
        "description": (cls.__doc__ or "").strip().splitlines()[0], "type": "object", "additionalProperties": False,
        "properties": {name: _described(schema(entry.metadata["type"]), entry.metadata["type"], cls.__name__, name)
                       for name, entry in entries.items()},
    }
    made["required"] = [name for name, entry in entries.items() if entry.metadata["required"]]
    return made


def _described(made: dict[str, Any], kind: f.Type, owner: str, name: str) -> dict[str, Any]:
    """A schema with the words that an editor shows: what the entry is for, and what it takes."""
    says = SAYS.get(owner, {}).get(name, "")
    takes = _("Expected: {what}.").format(what=kind.words())
    return {**made, "description": " ".join(filter(None, [_(says) if says else "", takes])),
            "patternErrorMessage": takes}


@singledispatch
def schema(kind: f.Type) -> dict[str, Any]:
    """The schema of one type of the model. Raises `TypeError` for a type that is not known here."""
    raise TypeError(f"macros/schema.py does not know the type {type(kind).__name__}")


@schema.register
def _text(kind: f.Text) -> dict[str, Any]:
    return {**_ONE_VALUE, "pattern": rf"{_SHOWN}[\s\S]*\S"}


@schema.register
def _ref(kind: f.Ref) -> dict[str, Any]:
    # An id may be written 12, which YAML reads as a number.
    return {**_ONE_VALUE, **_ID_KEYS, "minimum": 0, "multipleOf": 1}


@schema.register
def _whole(kind: f.Whole) -> dict[str, Any]:
    digits = rf"^{_SPACE}(?=[0-9]{{1,9}}{_SPACE}$)0*(?:{_between(kind.low, kind.high)}){_SPACE}$"
    return {"anyOf": [{"type": "integer", "minimum": kind.low, "maximum": kind.high},
                      {"type": "string", "pattern": digits}]}


@schema.register
def _number(kind: f.Number) -> dict[str, Any]:
    return {"anyOf": [{"type": "number", "minimum": kind.low, "maximum": kind.high},
                      {"type": "string", "pattern": rf"^{_SPACE}(?:{f.DECIMAL.pattern}){_SPACE}$"}]}


@schema.register
def _money(kind: f.Money) -> dict[str, Any]:
    return {"anyOf": [{"type": "string", "pattern": rf"^{_SPACE}[0-9]{{1,9}}(\.[0-9]+)?{_SPACE}$"},
                      {"type": "number", "minimum": 0, "exclusiveMaximum": 1_000_000_000}]}


@schema.register
def _date(kind: f.Date) -> dict[str, Any]:
    leap = r"(?:[0-9]{2}(?:0[48]|[2468][048]|[13579][26])|(?:[02468][048]|[13579][26])00)-02-29"
    day = r"(?:(?:0[13578]|1[02])-(?:0[1-9]|[12][0-9]|3[01])|(?:0[469]|11)-(?:0[1-9]|[12][0-9]|30)|02-(?:0[1-9]|1[0-9]|2[0-8]))"
    return {"type": "string", "pattern": rf"^{_SPACE}(?!0000)(?:[0-9]{{4}}-{day}|{leap}){_SPACE}$"}


@schema.register
def _flag(kind: f.Flag) -> dict[str, Any]:
    return {"anyOf": [{"type": "boolean"}, {"type": "string", "pattern": rf"^{_SPACE}(?:true|false){_SPACE}$"}]}


@schema.register
def _choice(kind: f.Choice) -> dict[str, Any]:
    words = "|".join(map(re.escape, kind.words_taken))
    return {"anyOf": [{"enum": list(kind.words_taken)}, {"type": "string", "pattern": rf"^{_SPACE}(?:{words}){_SPACE}$"}]}


@schema.register
def _measure(kind: f.Measure) -> dict[str, Any]:
    units = sorted({"".join(f"[{ch.lower()}{ch.upper()}]" if ch.isalpha() and ch.isascii() else re.escape(ch) for ch in one)
                    for one in q.spellings(kind.quantity)}, key=lambda one: (-len(one), one))
    bare = "?" if kind.unit == "1" else ""
    space = _SPACE.removesuffix("*")
    return {"type": "string", "examples": [f"{kind.high:g} {kind.unit}".strip()],
            "pattern": rf"^{_SPACE}[+\u2212-]?[0-9.,](?:[0-9.,/eE+\u2212-]|{space})*(?:{'|'.join(units)}){bare}{_SPACE}$"}


@schema.register
def _checked(kind: f.Checked) -> dict[str, Any]:
    return {"type": "string", "pattern": kind.pattern}


@schema.register
def _list(kind: f.ListOf) -> dict[str, Any]:
    return {"type": "array", "items": schema(kind.item), **({"minItems": kind.least} if kind.least else {})}


@schema.register
def _map(kind: f.MapOf) -> dict[str, Any]:
    return {"type": "object", "propertyNames": _ID_KEYS, "additionalProperties": schema(kind.item),
            **({"minProperties": kind.least} if kind.least else {})}


@schema.register
def _plain(kind: f.Plain) -> dict[str, Any]:
    # Plain values nest; what they hold is the calculator's business. A character that no page can show is refused.
    inner: dict[str, Any] = {"pattern": _SHOWN}
    for _depth in range(3):
        inner = {"pattern": _SHOWN, "items": inner, "additionalProperties": inner, "propertyNames": {"pattern": _SHOWN}}
    return {"type": "object", "additionalProperties": inner, "propertyNames": {"pattern": _SHOWN}}


@schema.register
def _part(kind: f.Object) -> dict[str, Any]:
    whole = _object(kind.cls)
    if not kind.short:
        return whole
    short = f.declared(kind.cls)[kind.short].metadata["type"]
    return {"anyOf": [_described(schema(short), short, kind.cls.__name__, kind.short), whole]}


def _between(low: int, high: int) -> str:
    """A regular expression for the whole numbers from `low` to `high`, written without leading zeros."""
    found, begin = [], low
    while begin <= high:
        # The largest block of numbers from `begin` on that differ in their last digits alone.
        size = 1
        while begin % (size * 10) == 0 and begin + size * 10 - 1 <= high and begin > 0:
            size *= 10
        last = min(high, begin + size * (9 - begin // size % 10) + size - 1)
        while last - begin + 1 >= size and (last - begin + 1) % size:
            last -= (last - begin + 1) % size
        head, free = begin // size, len(str(size)) - 1
        stop = last // size
        lead, one, other = str(head)[:-1], str(head)[-1], str(stop)[-1]
        found.append(f"{lead}{one if one == other else f'[{one}-{other}]'}{f'[0-9]{{{free}}}' if free else ''}")
        begin = last + 1
    return "|".join(found)
