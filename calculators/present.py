"""A result in words and figures for a person: one shape for the page, the browser and the command line.

Everything is text here, so that the page made at build time, the script in the browser and the
terminal only lay it out.
"""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from . import quantity as q
from .form import Calculator, Field, Figure, takes
from .money import written
from .words import _


def shown(calculator: Calculator, result: Mapping[str, Any], units: Mapping[str, str] | None = None) -> dict[str, Any]:
    """The plain result of `calculators.calculate` -> texts to lay out.

    `units` maps a quantity's name to the unit the reader works in (``{"pressure": "inH2O"}``). Returns
    outcome, answer, figures (name, title, value, unit, range, minor), tables (name, title, columns,
    rows), notes, cautions, workings, sources, picture; or, for a refusal, refused (field, title, got,
    takes, text).
    """
    if "refused" in result:
        return {"refused": [_refusal(calculator, r) for r in result["refused"]]}
    units = _by_figure(calculator.fields, units or {})
    tables = {t.name: t for t in calculator.tables}
    return {
        "outcome": result["outcome"],
        "answer": result["answer"],
        "figures": [_figure(f, result["figures"][f.name], units)
                    for f in calculator.figures if f.name in result["figures"]],
        "tables": [_table(tables[name], rows, units) for name, rows in result["tables"].items() if rows],
        "notes": result["notes"], "cautions": result["cautions"], "workings": result["workings"],
        "sources": result["sources"], "picture": result["picture"],
    }


def _by_figure(fields: tuple[Field, ...], chosen: Mapping[str, str]) -> dict[tuple[str, str], str]:
    """(quantity, a figure's own unit) -> the unit to write it in.

    A choice holds for figures whose own unit was among the units to choose from: feet chosen for an
    altitude say nothing about a hole in millimetres.
    """
    found: dict[tuple[str, str], str] = {}
    for f in fields:
        found |= _by_figure(f.fields, chosen)
        if chosen.get(f.quantity) in f.units:
            found |= {(f.quantity, own): chosen[f.quantity] for own in f.units}
    return found


def _refusal(calculator: Calculator, refusal: Mapping[str, str]) -> dict[str, str]:
    title = field_title(calculator.fields, refusal["field"])
    text = _("{title}: {got} was given. Takes {takes}.").format(title=title, **refusal)
    return {"title": title, "text": text, "field": refusal["field"], "got": refusal["got"],
            "takes": refusal["takes"]}


def field_title(fields: tuple[Field, ...], path: str) -> str:
    """The title of the field at a path such as ``readings/2/vacuum``; the path itself when unknown."""
    head, _slash, rest = path.partition("/")
    for f in fields:
        if f.name == head:
            if f.kind not in ("list", "object") or not rest:
                return _(f.title)
            if f.kind == "object":
                return _("{row}, {field}").format(row=_(f.title), field=field_title(f.fields, rest))
            number, _slash, inner = rest.partition("/")
            row = _(f.row_title or f.title)
            if not (number.isascii() and number.isdigit()):
                return row
            row = _("{row} {number}").format(row=row, number=int(number) + 1)
            return _("{row}, {field}").format(row=row, field=field_title(f.fields, inner)) if inner else row
    return path


def _figure(f: Figure, cell: Any, units: Mapping[tuple[str, str], str]) -> dict[str, Any]:
    value, unit, low, high = _cell(f, cell, units)
    span = ""
    if low and high:
        span = _("{low} to {high}").format(low=low, high=high)
    return {"name": f.name, "title": _(f.title), "value": value, "unit": unit, "range": span, "minor": f.minor}


def _cell(f: Figure, cell: Any, units: Mapping[tuple[str, str], str]) -> tuple[str, str, str, str]:
    """Value, unit, low and high of a figure as texts."""
    if not isinstance(cell, Mapping):
        return _plain(cell), "", "", ""
    if f.kind == "decimal":
        return written(Decimal(cell["value"])), cell["unit"], "", ""
    own = f.show or f.unit
    unit = units.get((f.quantity, own), own)
    decimals = f.decimals if unit == own else None

    def text(name: str) -> str:
        if cell.get(name) is None:
            return ""
        si = q.to_si(cell[name], f.quantity, f.unit)
        return q.write(q.from_si(si, f.quantity, unit), 3, decimals)

    return text("value") or _("unknown"), q.pretty(unit), text("low"), text("high")


def _plain(cell: Any) -> str:
    if cell is None:
        return "\u2013"
    if isinstance(cell, bool):
        return _("yes") if cell else _("no")
    return str(cell)


def _table(table, rows: list[Mapping[str, Any]],
           units: Mapping[tuple[str, str], str]) -> dict[str, Any]:
    columns = [c for c in table.columns if any(row.get(c.name) is not None for row in rows)]
    heads, lines = [], [[] for _row in rows]
    for c in columns:
        unit = ""
        for line, row in zip(lines, rows, strict=True):
            cell = row.get(c.name)
            value, cell_unit, low, high = _cell(c, cell, units)
            unit = unit or cell_unit
            if low and high:
                value = _("{value} ({low} to {high})").format(value=value, low=low, high=high)
            if isinstance(cell, str) and cell in table.words:  # a code; any other text is the reader's own
                value = _(table.words[cell])
            line.append(value)
        heads.append(_("{title}, {unit}").format(title=_(c.title), unit=unit) if unit else _(c.title))
    return {"name": table.name, "title": _(table.title), "columns": heads, "rows": lines}


def inputs_shown(calculator: Calculator) -> list[tuple[str, str]]:
    """Field title and what it takes, for help texts."""
    return [(_(f.title), takes(f)) for f in calculator.fields]
