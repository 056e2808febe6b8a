"""A company's own job counts put into symptoms.yml: shares and minutes of causes, comments and layout kept.

The file is CSV with the columns symptom, cause, count and, where known, minutes or mean minutes (of
the remedy). Either every row is taken or nothing is changed.
"""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from macros.load import Node, load
from macros.problems import meant
from macros.words import _

COLUMNS = ("symptom", "cause", "count", "minutes")
MOST_BYTES = 2_000_000


class Refused(Exception):
    """Rows that cannot be taken; one line each, with the line of the file."""

    def __init__(self, lines: Sequence[str]):
        super().__init__("\n".join(lines))
        self.lines = list(lines)


@dataclass(frozen=True)
class Count:
    """One row: jobs counted for a cause of a symptom, and the mean minutes of its remedy (None: unknown)."""

    symptom: str
    cause: str
    count: str
    minutes: str | None


def update(counts: Path, symptoms: Path) -> list[str]:
    """Put the counts into the file `symptoms`; returns a line for each figure that changed.

    Raises `Refused` for rows that cannot be taken (nothing is changed) and `OSError`.
    """
    node, problems = load(symptoms, symptoms.name)
    if node is None or problems:
        raise Refused([str(problem) for problem in problems])
    text = symptoms.read_bytes().decode("utf-8-sig")
    rows = read(counts, _known(node))
    changes, said = _changes(node, rows)
    lines = text.splitlines(keepends=True)
    # From the end of the file to its front, so that places that were not yet changed stay where they are.
    for (_file, number, column), old, new in sorted(changes, reverse=True):
        line = lines[number - 1]
        begin = column - 1
        quote = line[begin] if line[begin] in "\"'" else ""
        lines[number - 1] = line[:begin] + quote + new + line[begin + len(quote) + len(old):]
    temporary = symptoms.with_suffix(".yml.new")
    temporary.write_bytes("".join(lines).encode())
    temporary.replace(symptoms)
    return said


def _known(node: Node) -> dict[str, dict[str, Node]]:
    """Symptom -> cause -> its node."""
    found = {}
    for name, symptom in _entries(_entries(node).get("symptoms")).items():
        found[name] = _entries(_entries(symptom).get("causes"))
    return found


def _entries(node: Node | None) -> dict[str, Node]:
    """The values of a mapping by key; empty for anything else."""
    return {key: value for key, (_at, value) in node.entries.items()} if node is not None and node.kind == "map" else {}


def read(path: Path, known: dict[str, dict[str, Node]]) -> list[Count]:
    """The rows of the CSV file, each checked against the symptoms and causes that are `known`."""
    raw = path.read_bytes()
    if len(raw) > MOST_BYTES:
        raise Refused([_("{file}: larger than {most} bytes").format(file=path.name, most=MOST_BYTES)])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refused([_("{file}: not UTF-8; save it as CSV with the encoding UTF-8").format(file=path.name)]) from None
    first = text.splitlines()[0] if text.strip() else ""
    reader = csv.DictReader(io.StringIO(text), delimiter=";" if ";" in first else ",", strict=True)
    wrong: list[str] = []
    rows: list[Count] = []
    seen: set[tuple[str, str]] = set()
    try:
        names = [name.strip().lower() for name in reader.fieldnames or ()]
        names = ["minutes" if name.replace("_", " ") == "mean minutes" else name for name in names]
        if not {"symptom", "cause", "count"} <= set(names) <= set(COLUMNS):
            raise Refused([_("{file}:1: the columns are {found}; they must be symptom, cause, count and, if known, "
                             "minutes").format(file=path.name, found=", ".join(names) or _("none"))])
        reader.fieldnames = names
        for row in reader:
            where = f"{path.name}:{reader.line_num}: "
            _row(row, known, where, seen, rows, wrong)
    except csv.Error as error:
        wrong.append(f"{path.name}:{reader.line_num}: {error}")
    if not rows and not wrong:
        wrong.append(_("{file}: no rows").format(file=path.name))
    if wrong:
        raise Refused(wrong)
    return rows


def _row(row, known, where: str, seen: set, rows: list[Count], wrong: list[str]) -> None:
    if None in row or any(value is None for name, value in row.items() if name != "minutes"):
        wrong.append(where + _("a row with more or fewer cells than the first line"))
        return
    cells = {name: (value or "").strip() for name, value in row.items()}
    symptom, cause = cells["symptom"], cells["cause"]
    if symptom not in known:
        wrong.append(where + _('unknown symptom "{name}".').format(name=symptom) + " " + meant(symptom, list(known)))
        return
    if cause not in known[symptom]:
        wrong.append(where + _('"{name}" is not a cause of {symptom}.').format(name=cause, symptom=symptom) + " "
                     + meant(cause, list(known[symptom])))
        return
    if (symptom, cause) in seen:
        wrong.append(where + _("{symptom} and {cause} stand twice").format(symptom=symptom, cause=cause))
    seen.add((symptom, cause))
    if not cells["count"].isascii() or not cells["count"].isdigit() or len(cells["count"]) > 6:
        wrong.append(where + _('count is "{got}"; it takes a whole number from 0 to 999999').format(got=cells["count"][:40]))
        return
    minutes = cells.get("minutes") or None
    if minutes is not None and not _positive(minutes):
        wrong.append(where + _('minutes is "{got}"; it takes a number from 0 to 10000').format(got=minutes[:40]))
        return
    rows.append(Count(symptom, cause, str(int(cells["count"])), None if minutes is None else minutes.replace(",", ".")))


def _positive(text: str) -> bool:
    whole, _point, rest = text.replace(",", ".").partition(".")
    return text.isascii() and whole.isdigit() and (not rest or rest.isdigit()) and float(text.replace(",", ".")) <= 10_000


def _changes(node: Node, rows: list[Count]):
    """What to write where, and what to say about it; a symptom whose counts are all 0 is refused."""
    known, changes, said = _known(node), [], []
    empty = [name for name in {row.symptom for row in rows}
             if all(_share(name, cause, known, rows) == 0 for cause in known[name])]
    if empty:
        raise Refused([_("{symptom}: every cause would have the count 0").format(symptom=name) for name in sorted(empty)])
    for row in rows:
        cause = _entries(known[row.symptom][row.cause])
        for key, new in (("share", row.count), ("minutes", row.minutes)):
            if new is not None and key in cause and cause[key].text != new:
                changes.append((cause[key].at, cause[key].text, new))
                said.append(_("{symptom}, {cause}: {key} {old} -> {new}").format(
                    symptom=row.symptom, cause=row.cause, key=key, old=cause[key].text, new=new))
    return changes, said


def _share(symptom: str, cause: str, known, rows: list[Count]) -> float:
    for row in rows:
        if (row.symptom, row.cause) == (symptom, cause):
            return float(row.count)
    return float(_entries(known[symptom][cause])["share"].text)
