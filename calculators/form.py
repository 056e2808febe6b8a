"""Reading of what was given to a calculator, and the words in which it is refused.

A calculator is described once, as data (`description`). Reading turns a plain JSON object into SI values
or raises `Refused` with *every* refusal at once.
"""

import datetime
import json
import math
import re
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from . import quantity as q
from .description import (
    KINDS,
    Calculator,
    Field,
    Figure,
    Lookup,
    Refusal,
    Refused,
    Result,
    Span,
    Table,
    Working,
)
from .words import _

__all__ = ["KINDS", "LONGEST_TEXT", "MOST_ROWS", "Calculator", "Field", "Figure", "Lookup", "Refusal", "Refused",
           "Result", "Span", "Table", "Working", "read", "refuse", "shown_input", "takes", "takes_object",
           "unknown"]

#: The most rows taken in a list and the longest text taken, so that no input can hang a calculation.
MOST_ROWS = 200
LONGEST_TEXT = 500


def refuse(path: str, got: Any, takes: str) -> Refused:
    """A `Refused` with a single refusal, for a combination that has no answer."""
    return Refused([Refusal(path, shown_input(got), takes)])


# ---- reading ----

def read(fields: Sequence[Field], inputs: Any) -> dict[str, Any]:
    """Inputs as a plain JSON object -> SI values by field name, defaults filled in.

    Values: quantity and number float (SI); place float (SI) or the code of a choice; integer int; decimal
    `Decimal` (a percentage stays in percent); date `datetime.date`; flag bool; thread `thread.Thread`; list of
    dicts; missing `None`.
    Raises `Refused` with all refusals; a path such as ``readings/2/vacuum`` counts rows from 0.
    """
    refusals: list[Refusal] = []
    values = _read_object(fields, inputs, "", refusals)
    if refusals:
        raise Refused(refusals)
    return values


def _read_object(fields: Sequence[Field], inputs: Any, path: str, refusals: list[Refusal]) -> dict[str, Any]:
    if not isinstance(inputs, Mapping):
        refusals.append(Refusal(path.rstrip("/") or "(input)", shown_input(inputs),
                                takes_object(fields)))
        return {}
    known = {f.name for f in fields}
    for name in [name for name in inputs if name not in known][:MOST_ROWS]:
        refusals.append(Refusal(path + shown_input(str(name)), shown_input(inputs[name]), unknown(str(name), fields)))
    values = {}
    for f in fields:
        given = inputs.get(f.name)
        if given is None or isinstance(given, str) and not given.strip():
            given = f.default
        if given is None:
            if f.kind == "list" and f.least == 0:
                values[f.name] = []
            elif f.required or f.kind == "list":
                refusals.append(Refusal(path + f.name, _("nothing"), takes(f)))
            else:
                values[f.name] = None
            continue
        values[f.name] = _read_value(f, given, path + f.name, refusals)
    return values


def _names(fields: Sequence[Field]) -> str:
    return ", ".join(f.name for f in fields)


def unknown(name: str, fields: Sequence[Field]) -> str:
    """What is said of a field that is not there: the nearest name, or all of them."""
    from difflib import get_close_matches

    close = get_close_matches(name[:60], [f.name for f in fields], 1)
    if close:
        return _("no such field; did you mean {name}?").format(name=close[0])
    return _("no such field; the fields are {names}").format(names=_names(fields))


def _read_value(f: Field, given: Any, path: str, refusals: list[Refusal]) -> Any:
    if f.kind == "list":
        return _read_list(f, given, path, refusals)
    if f.kind == "object":
        return _read_object(f.fields, given, path + "/", refusals)
    try:
        return _READERS[f.kind](f, given)
    except _Bad as bad:
        because = str(bad)
        refusals.append(Refusal(path, shown_input(given), f"{takes(f)} ({because})" if because else takes(f)))
    return None


def _read_list(f: Field, given: Any, path: str, refusals: list[Refusal]) -> list[dict]:
    most = min(f.most, MOST_ROWS)
    if not isinstance(given, list) or not f.least <= len(given) <= most:
        refusals.append(Refusal(path, shown_input(given), takes(f)))
        return []
    rows = []
    for number, row in enumerate(given):
        rows.append(_read_object(f.fields, row, f"{path}/{number}/", refusals))
    return rows


class _Bad(Exception):
    """A value that its field does not take; the text, if any, says why."""


def _number(given: Any) -> float:
    if isinstance(given, bool) or not isinstance(given, int | float | str):
        raise _Bad
    try:
        value = q.parse_number(given) if isinstance(given, str) else float(given)
    except (ValueError, OverflowError) as error:
        raise _Bad(str(error)) from None
    if not math.isfinite(value):
        raise _Bad
    return value


def _within(f: Field, number: float) -> bool:
    # A limit is a round number in the default unit; a converted value may miss it by the last bits.
    if f.low is not None and (number <= f.low if f.above else number < f.low - _slack(f.low)):
        return False
    return f.high is None or number <= f.high + _slack(f.high)


def _slack(limit: float) -> float:
    return 1e-12 * max(1.0, abs(limit))


def _limited(f: Field, number: float) -> float:
    """`number` at its limit where only the slack let it through: what follows may count on the limits."""
    if f.low is not None and not f.above:
        number = max(number, float(f.low))
    return number if f.high is None else min(number, float(f.high))


def _read_quantity(f: Field, given: Any) -> float:
    if isinstance(given, str):
        try:
            value = q.parse(given, f.quantity, f.unit)
        except (ValueError, OverflowError) as error:
            raise _Bad(str(error)) from None
    else:
        value = q.to_si(_number(given), f.quantity, f.unit)
    number = q.from_si(value, f.quantity, f.unit)
    if not math.isfinite(number) or not _within(f, number):
        raise _Bad
    limited = _limited(f, number)
    return value if limited == number else q.to_si(limited, f.quantity, f.unit)


def _read_place(f: Field, given: Any) -> str | float:
    try:
        return _read_choice(f, given)
    except _Bad:
        return _read_quantity(f, given)


def _read_number(f: Field, given: Any) -> float:
    value = _number(given)
    if not _within(f, value):
        raise _Bad
    return _limited(f, value)


def _read_integer(f: Field, given: Any) -> int:
    value = _number(given)
    if value != int(value) or not _within(f, value):
        raise _Bad
    return int(value)


def _read_decimal(f: Field, given: Any) -> Decimal:
    if isinstance(given, str):
        text = given.strip().removesuffix(f.unit).strip() if f.unit else given.strip()
        number = _number(text)
        text = text.replace("\u2212", "-").replace("\u00a0", "").replace("\u202f", "").replace("\u2009", "")
        if "/" in text:
            raise _Bad
        text = q.one_point(text)
    else:
        number = _number(given)
        text = repr(given)
    if not _within(f, number):
        raise _Bad
    try:
        value = Decimal(text)
    except InvalidOperation:
        raise _Bad from None
    if f.low is not None and value < Decimal(repr(f.low)) or f.high is not None and value > Decimal(repr(f.high)):
        raise _Bad  # exact: no conversion, so no slack
    if value.adjusted() > 12 or value.as_tuple().exponent < -12:
        raise _Bad(_("too many digits"))
    return value if value else abs(value)  # never minus zero


# Control characters and halves of surrogate pairs: neither XML nor UTF-8 can carry them.
_UNWRITABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


def _read_text(f: Field, given: Any) -> str:
    if not isinstance(given, str) or len(given) > LONGEST_TEXT:
        raise _Bad
    if _UNWRITABLE.search(given):
        raise _Bad(_("it holds a character that cannot be written"))
    return given.strip()


def _read_choice(f: Field, given: Any) -> str:
    codes = [code for code, _title in f.choices]
    if isinstance(given, str):
        wanted = given.strip().lower()
        for code, title in f.choices:
            if wanted in (code.lower(), _(title).lower()):
                return code
    if given in codes and not isinstance(given, bool):
        return given
    raise _Bad


def _read_date(f: Field, given: Any) -> datetime.date:
    if isinstance(given, str) and len(given.strip()) == 10:
        try:
            return datetime.date.fromisoformat(given.strip())
        except ValueError:
            pass
    raise _Bad


_FLAGS = {"true": True, "yes": True, "1": True, "on": True, "false": False, "no": False, "0": False, "off": False}


def _read_flag(f: Field, given: Any) -> bool:
    if isinstance(given, bool):
        return given
    if isinstance(given, str) and given.strip().lower() in _FLAGS:
        return _FLAGS[given.strip().lower()]
    raise _Bad


def _read_thread(f: Field, given: Any):
    from . import thread

    if not isinstance(given, str) or len(given) > q.LONGEST:
        raise _Bad
    try:
        return thread.parse(given)
    except ValueError as error:
        raise _Bad(str(error)) from None


_READERS: dict[str, Callable[[Field, Any], Any]] = {
    "quantity": _read_quantity, "place": _read_place, "number": _read_number, "integer": _read_integer,
    "decimal": _read_decimal, "text": _read_text, "choice": _read_choice, "date": _read_date, "flag": _read_flag,
    "thread": _read_thread,
}


# ---- saying ----

def shown_input(given: Any) -> str:
    """What was given, as a short text for a refusal."""
    if given is None or isinstance(given, str) and not given.strip():
        return _("nothing")
    if isinstance(given, str):
        text = given
    else:
        try:
            text = json.dumps(given, ensure_ascii=False)
        except (TypeError, ValueError, RecursionError):
            text = type(given).__name__
    text = "".join(ch if ch.isprintable() else "\ufffd" for ch in text[:100])
    return text if len(text) <= 60 else text[:57] + "..."


def takes_object(fields: Sequence[Field]) -> str:
    """The sentence part that says which fields an object may have."""
    return _("an object with these fields: {names}").format(names=_names(fields))


def takes(f: Field) -> str:
    """The sentence part that says what a field takes: "a vacuum from 0 to 101 kPa"."""
    if f.kind == "list":
        most = min(f.most, MOST_ROWS)
        return _("a list of {least} to {most} rows, each with {names}").format(
            least=f.least, most=most, names=_names(f.fields))
    if f.kind == "object":
        return takes_object(f.fields)
    if f.kind == "choice":
        return _("one of: {choices}").format(choices=", ".join(code for code, _title in f.choices))
    if f.kind == "date":
        return _("a date written year-month-day, such as 2026-11-25")
    if f.kind == "flag":
        return _("true or false")
    if f.kind == "text":
        return _("a text of at most {most} characters").format(most=LONGEST_TEXT)
    if f.kind == "thread":
        return _("a thread such as M10, M10x1.25 or 3/8-16 UNC")
    what = _(f.what) if f.what else (_("a whole number") if f.kind == "integer" else _("a number"))
    unit = f" {q.pretty(f.unit)}" if f.unit and f.unit != "1" else ""
    low = None if f.low is None else q.write(f.low, 6)
    high = None if f.high is None else q.write(f.high, 6)
    if low is not None and high is not None:
        pattern = _("{what} above {low}, to {high}{unit}") if f.above else _("{what} from {low} to {high}{unit}")
    elif low is not None:
        pattern = _("{what} above {low}{unit}") if f.above else _("{what} of {low}{unit} or more")
    elif high is not None:
        pattern = _("{what} of {high}{unit} or less")
    else:
        pattern = _("{what} in {unit}") if unit else "{what}"
        unit = unit.strip()
    says = pattern.format(what=what, low=low, high=high, unit=unit)
    if f.kind != "place":
        return says
    return _("one of: {choices}; or {quantity}").format(
        choices=", ".join(code for code, _title in f.choices), quantity=says)
