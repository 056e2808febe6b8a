"""The one table of a run: as text with aligned columns, as Markdown, as JSON."""

import json
import statistics
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from tests.bench.line import Line

COLUMNS = ("what", "pace", "ours", "spread", "peer", "theirs", "spread", "ratio", "to reach", "reached")


def figure(value: float, unit: str) -> str:
    """A figure with three digits that count: times in s or ms, bytes in B, kB, MB."""
    if unit == "bytes":
        for size, name in ((1e6, "MB"), (1e3, "kB")):
            if value >= size:
                return f"{value / size:.3g} {name}"
        return f"{value:.0f} B"
    if unit == "s" and value < 1:
        return f"{value * 1000:.3g} ms"
    return f"{value:.3g} {unit}".rstrip()


def spread(values: Sequence[float], unit: str) -> str:
    """The least and the most of all turns."""
    return f"{figure(min(values), unit)} to {figure(max(values), unit)}" if len(values) > 1 and min(values) < max(values) else ""


def cells(line: Line) -> tuple[str, ...]:
    """A line's cells, in the order of COLUMNS."""
    theirs = line.theirs and figure(statistics.median(line.theirs), line.unit) or ""
    ratio = "" if line.ratio is None else f"{line.ratio:.2g}"
    goal = "" if line.goal is None else f"{line.goal.most:g} of it" if line.goal.ratio else figure(line.goal.most, line.unit)
    if line.goal and line.goal.always:
        goal += ", in every turn"
    return (f"{line.bench}: {line.what}", line.pace, figure(statistics.median(line.ours), line.unit), spread(line.ours, line.unit),
            line.peer, theirs, spread(line.theirs, line.unit) if line.theirs else "", ratio, goal,
            {True: "yes", False: "NO", None: ""}[line.held])


def as_text(lines: Sequence[Line], machine: Sequence[str]) -> str:
    """For a terminal: the machine, the table, the notes."""
    rows = [COLUMNS, *map(cells, lines)]
    widths = [max(len(row[at]) for row in rows) for at in range(len(COLUMNS))]
    told = [" | ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    told.insert(1, "-+-".join("-" * width for width in widths))
    return "\n".join([*machine, "", *told, *notes(lines)])


def as_markdown(lines: Sequence[Line], machine: Sequence[str]) -> str:
    """For a document."""
    rows = [COLUMNS, ["---"] * len(COLUMNS), *map(cells, lines)]
    return "\n".join([*machine, "", *("| " + " | ".join(row) + " |" for row in rows), *notes(lines), ""])


def notes(lines: Sequence[Line]) -> list[str]:
    """What is to be said of lines, under the table; once for those of which the same is said."""
    said: dict[tuple[str, str], list[str]] = {}
    for line in lines:
        if line.note and line.what not in (of := said.setdefault((line.bench, line.note), [])):
            of.append(line.what)
    return ["", *(f"{bench}: {'; '.join(of)}: {note}" for (bench, note), of in said.items())]


def as_json(lines: Sequence[Line], machine: Sequence[str]) -> str:
    """Every figure of every turn."""
    plain: list[dict[str, Any]] = [{**asdict(line), "ratio": line.ratio, "held": line.held} for line in lines]
    return json.dumps({"machine": list(machine), "lines": plain}, indent=1, ensure_ascii=False) + "\n"
