"""From what is seen to the cause: the first check of a symptom, and the whole path as a chart for paper."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from markupsafe import Markup

from calculators import calculate
from macros.faults import faults
from macros.model import Handbook, Symptom
from macros.pages.site import script
from macros.words import _

#: Rows that a chart may have on one page of paper; rarer branches end in the likeliest cause.
MOST_ROWS = 9
#: A branch met less often than this is not followed further.
RARE = 0.02


@dataclass
class End:
    """Where a result leads: to another row, or to the likeliest cause with its certainty (0 to 1)."""

    result: str
    row: "Row | None" = None
    cause: str = ""
    certain: float = 0.0


@dataclass
class Row:
    """One check of a chart: what was found before it, how often it is met, and where its results lead."""

    found: tuple[tuple[str, str], ...]
    met: float
    check: str
    ends: list[End] = field(default_factory=list)
    number: int = 0


def ask(symptom: Symptom, found: tuple[tuple[str, str], ...] = ()) -> dict[str, Any]:
    """The answer of `fault-order` after the results `found` (check, result)."""
    return calculate("fault-order", {
        "symptom": symptom.id, "faults": faults(symptom),
        "found": [{"check": check, "result": symptom.checks[check].results[result]} for check, result in found]})


def chart(symptom: Symptom) -> list[Row]:
    """The rows of the chart, the most travelled branches first, at most `MOST_ROWS`."""
    first = ask(symptom)
    rows: list[Row] = []
    waiting = [Row((), 1.0, first["tables"]["checks"][0]["check"])] if first["outcome"] == "check-next" else []
    while waiting:
        waiting.sort(key=lambda row: (-row.met, row.found))
        row = waiting.pop(0)
        rows.append(row)
        row.number = len(rows)
        for end, onward in _ends(symptom, row):
            row.ends.append(end)
            if onward is not None and len(rows) + len(waiting) < MOST_ROWS:
                end.row = onward
                waiting.append(onward)
    return sorted(rows, key=lambda row: row.number)


def _ends(symptom: Symptom, row: Row) -> Iterator[tuple[End, Row | None]]:
    """Each result of a row's check: the end as it stands, and the row that may follow it."""
    before = ask(symptom, row.found)
    shares = {cause["cause"]: cause["probability"]["value"] for cause in before["tables"]["causes"]}
    table = {(cell["cause"], cell["result"]): cell["share"]
             for check in faults(symptom)["checks"] if check["check"] == row.check for cell in check["likely"]}
    for result, words in symptom.checks[row.check].results.items():
        met = row.met * sum(p * table[cause, words] for cause, p in shares.items())
        found = (*row.found, (row.check, result))
        answer = ask(symptom, found)
        if answer["outcome"] == "contradiction":
            continue
        certain = {row["cause"]: row["probability"]["value"] for row in answer["tables"]["causes"]}
        cause = answer["tables"].get("remedies", answer["tables"]["causes"])[0]["cause"]
        end = End(result, None, cause, certain[cause])
        onward = None
        if answer["outcome"] == "check-next" and met >= RARE:
            onward = Row(found, met, answer["tables"]["checks"][0]["check"])
        yield end, onward


def data(handbook: Handbook, symptom: Symptom) -> Markup:
    """What the page's script needs, as JSON for a data block (never able to end it)."""
    plain = {
        "id": symptom.id, "faults": faults(symptom),
        "checks": {name: {"title": one.title, "go": one.go, "procedure": handbook.procedures[one.go].title,
                          "minutes": float(one.minutes), "results": list(one.results.values())} for name, one in symptom.checks.items()},
        "causes": {name: {"title": one.title, "go": one.mends, "procedure": handbook.procedures[one.mends].title}
                   for name, one in symptom.causes.items()},
        "go": {one: handbook.procedures[one].title for one in symptom.go},
    }
    return script(plain)


def first(symptom: Symptom) -> dict[str, Any]:
    """What the page shows before anything is found: the next check with its reason, the causes with their weights."""
    answer = ask(symptom)
    check = answer["tables"]["checks"][0] if answer["tables"].get("checks") else None
    return {
        "answer": answer["answer"], "check": check["check"] if check else "", "why": check["why"] if check else "",
        "minutes": answer["figures"].get("expected_minutes", {}).get("value", 0),
        "causes": [(row["cause"], row["probability"]["value"]) for row in answer["tables"]["causes"]],
    }


def percent(share: float) -> str:
    """A share from 0 to 1 as a whole percentage; nothing is said to be certain that only nearly is."""
    return _("{number} %").format(number=min(99, round(share * 100)) if share < 1 else 100)
