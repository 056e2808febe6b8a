"""What is said to the office alone: values of private fields never come back to a customer, not even in a refusal.

A calculator with private fields (`description.Field.private`) has a choice named ``audience``. Unless that
reads ``office``, a refusal neither repeats what a private field held nor anything it could have been part
of, and names no private field but the one that must be put right.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from .form import Field, Refusal, Refused, read, shown_input, takes, takes_object, unknown
from .words import _

#: The choice that says who reads, and its value for which nothing is held back.
AUDIENCE, OPEN = "audience", "office"


def has_private(fields: Sequence[Field]) -> bool:
    """Whether any of the fields, or of the fields of their rows, is private."""
    return any(f.private or has_private(f.fields) for f in fields)


def withheld(fields: Sequence[Field], inputs: Any) -> bool:
    """Whether private values are to be held back: always, unless the inputs say that the office reads."""
    if not has_private(fields):
        return False
    choice = [f for f in fields if f.name == AUDIENCE]
    if not isinstance(inputs, Mapping) or not choice:
        return True
    try:
        return read(choice, {AUDIENCE: inputs.get(AUDIENCE)})[AUDIENCE] != OPEN
    except Refused:
        return True


def sayable(fields: Sequence[Field], inputs: Any) -> dict[str, Any]:
    """Those of the inputs that may be repeated to the reader."""
    if not withheld(fields, inputs):
        return dict(inputs)
    hidden = {f.name for f in fields if f.private}
    return {name: value for name, value in inputs.items() if name not in hidden}


def guarded(fields: Sequence[Field], inputs: Any, refusals: Sequence[Refusal]) -> list[Refusal]:
    """The refusals as this reader may see them: same places, without private values."""
    if not withheld(fields, inputs):
        return list(refusals)
    return [_guarded(fields, refusal) for refusal in refusals]


def _guarded(fields: Sequence[Field], refusal: Refusal) -> Refusal:
    found, siblings = _find(fields, refusal.field)
    public = _public(siblings)
    said = refusal.takes
    if refusal.field == "(input)":
        said = takes_object(public)
    elif found is None:
        said = unknown(refusal.field.rpartition("/")[2], public)
    elif has_private(found.fields):
        row = refusal.field != found.name
        said = takes_object(_public(found.fields)) if row else takes(replace(found, fields=_public(found.fields)))
    elif not found.private and refusal.got[:1] not in ("{", "["):
        return refusal
    return Refusal(refusal.field, hidden(refusal.got), said)


def hidden(got: str) -> str:
    """What stands in a refusal for a value that may not be repeated."""
    return got if got == shown_input(None) else _("a value that is not shown")


def _public(fields: Sequence[Field]) -> tuple[Field, ...]:
    return tuple(f for f in fields if not f.private)


def _find(fields: Sequence[Field], path: str) -> tuple[Field | None, Sequence[Field]]:
    """The field at a path, and the fields among which it stands; a row is found as its list."""
    name, _slash, rest = path.partition("/")
    found = next((f for f in fields if f.name == name), None)
    if found is None or not rest:
        return found, fields
    inner = rest.partition("/")[2] if found.kind == "list" else rest
    return _find(found.fields, inner) if inner else (found, fields)
