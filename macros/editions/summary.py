"""What a reader can see of an edition, as plain data: procedures with their steps, figures, safety messages, parts.

Kept in the content folder as ``editions/NUMBER.json``, so that a later edition can say what is new without the older
files. No amount of money is in it: of a price there is a mark, which another price changes, and of a cost there is
nothing. None of the program's own words are in it either, which may be of another language later.
"""

import hashlib
import json
from pathlib import Path
from typing import Any

from calculators import calculator
from calculators.private import has_private
from macros import guides
from macros.model import Handbook, Heading, Machine, Part, Placed, Procedure, Step, Symptom, Use
from macros.words import _

FOLDER = "editions"
MOST_BYTES = 10_000_000

#: What a summary holds, each id -> what is said of it.
KINDS = ("messages", "zones", "procedures", "machines", "symptoms", "parts", "guides")
#: What summaries kept by earlier programs do not hold.
LATER = ("handbook", "tools", "words")


class Unreadable(Exception):
    """A file of an edition is not as it was written; the text says why."""


def of(handbook: Handbook) -> dict[str, Any]:
    """The summary of a handbook without problems."""
    return {
        "edition": handbook.edition, "date": str(handbook.date),
        "messages": {name: {"signal": one.signal, "hazard": one.hazard, "harm": one.harm, "avoid": one.avoid,
                            "signs": list(one.signs)} for name, one in handbook.messages.items()},
        "zones": {name: {"title": one.title, "needs": _state(handbook, one.needs), "message": one.message,
                         "while_running": one.while_running} for name, one in handbook.zones.items()},
        "procedures": {name: _procedure(handbook, one) for name, one in handbook.procedures.items()},
        "machines": {name: _machine(handbook, one) for name, one in handbook.machines.items()},
        "symptoms": {name: _symptom(handbook, one) for name, one in handbook.symptoms.items()},
        "parts": {name: _part(handbook, one) for name, one in handbook.parts.items()},
        "guides": {name: {"title": one.title, "prose": _mark(one.text.encode())}
                   for name, one in guides.read(handbook)[0].items()},
        "handbook": {"handbook": _whole(handbook)},
        "tools": {name: {"title": one.title, "says": one.says} for name, one in handbook.tools.items()},
        "words": {name: {"title": one.title, "says": one.says} for name, one in handbook.words.items()},
    }


def _whole(handbook: Handbook) -> dict[str, Any]:
    """What is said once for all pages."""
    rates = (handbook.labour_rate, handbook.call_out, handbook.tax_rate, handbook.currency)
    return {
        "title": handbook.name, "company": handbook.company, "scenario": handbook.scenario,
        "above_all": handbook.above_all,
        "groups": [f"{one.title}: {one.says}" if one.says else one.title for one in handbook.groups.values()],
        "units": list(handbook.units.values()), "rates": _mark(" ".join(map(str, rates)).encode()),
    }


def _procedure(handbook: Handbook, one: Procedure) -> dict[str, Any]:
    steps, placed, part = {}, [], ""
    for item in one.items:
        if isinstance(item, Heading):
            part = item.title
        elif isinstance(item, Placed):
            placed.append(item.message)
        else:
            steps[item.id] = {**_step(handbook, one, item), "part": part, "messages": placed}
            placed = []
    return {
        "title": one.title, "group": handbook.groups[one.group].title, "achieves": one.achieves, "minutes": one.minutes,
        "starts": _state(handbook, one.starts), "machines": [handbook.machines[name].title for name in one.machines],
        "first": _titles(handbook.procedures, one.first),
        "bring": _titles(handbook.tools, one.bring), "done_when": one.done_when,
        "figure": _drawing(handbook, one.figure),
        "next": _titles(handbook.procedures, one.next), "steps": steps,
    }


def _step(handbook: Handbook, procedure: Procedure, one: Step) -> dict[str, Any]:
    branch, use = one.if_not, one.calculator
    to = next(step.do for step in procedure.steps if step.id == branch.to) if branch is not None and branch.to else ""
    return {
        "do": one.do, "text": one.text, "look_for": one.look_for, "if_not": branch.say if branch is not None else "",
        "then_procedure": handbook.procedures[branch.go].title if branch is not None and branch.go else "",
        "comes_back": branch is not None and branch.back, "then_step": to,
        "hands": _titles(handbook.zones, one.hands), "sets": _state(handbook, one.sets),
        "tools": _titles(handbook.tools, one.tools), "parts": _titles(handbook.parts, one.parts),
        "calculator": use.id if use is not None else "", "put_in": _put_in(use),
        "figure": _drawing(handbook, one.figure), "wait": one.wait, "minutes": one.minutes or "",
        "leaves": _state(handbook, one.leaves),
    }


def _put_in(use: Use | None) -> dict[str, Any]:
    """The values put in beforehand; nothing of a calculator that may be asked for costs."""
    return dict(use.inputs or {}) if use is not None and not has_private(calculator(use.id).fields) else {}


def _machine(handbook: Handbook, one: Machine) -> dict[str, Any]:
    figures = {f"{section}.{name}": value for section, held in one.figures.items() for name, value in held.items()}
    readings = figures.pop("vacuum.healthy", ())
    figures |= {f"vacuum.healthy.{row['station']}": row["vacuum"] for row in readings}
    care = {when: getattr(one.care, when) if one.care is not None else "" for when in ("daily", "weekly", "monthly")}
    return {"title": one.title, "kind": one.kind, "says": one.says, "drawing": _drawing(handbook, one.drawing),
            "parts": _titles(handbook.parts, one.parts), "figures": figures,
            **{when: handbook.procedures[name].title if name else "" for when, name in care.items()}}


def _symptom(handbook: Handbook, one: Symptom) -> dict[str, Any]:
    return {"title": one.title, "where": one.where, "means": one.means, "first_test": one.first_test,
            "drawing": _drawing(handbook, one.drawing), "go": _titles(handbook.procedures, one.go),
            "causes": [cause.title for cause in one.causes.values()], "mends": _titles(
                handbook.procedures, tuple(cause.mends for cause in one.causes.values())),
            "checks": [check.title for check in one.checks.values()], "told_in": _titles(
                handbook.procedures, tuple(check.go for check in one.checks.values())),
            "results": [result for check in one.checks.values() for result in check.results.values()],
            "counts": _mark(json.dumps([[(cause.share, cause.minutes) for cause in one.causes.values()],
                                        [(check.minutes, check.likely) for check in one.checks.values()]]).encode())}


def _part(handbook: Handbook, one: Part) -> dict[str, Any]:
    return {"title": one.title, "number": one.number, "does": one.does, "worn_when": one.worn_when, "unit": one.unit,
            "shelf": one.shelf, "price": _mark(f"{one.price:f}".encode()) if one.price is not None else "",
            "drawing": _drawing(handbook, one.drawing)}


def _titles(held: dict[str, Any], names: tuple[str, ...]) -> list[str]:
    return [held[name].title for name in names]


def _state(handbook: Handbook, state: dict[str, str]) -> list[str]:
    return [handbook.state[name].values[value].says for name, value in state.items()]


def _drawing(handbook: Handbook, name: str) -> str:
    """A drawing's name with a mark of what is drawn: another picture has another mark."""
    return f"{name} {_mark(handbook.drawings[name].read_bytes())}" if name else ""


def _mark(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:12]


# ---- files ----


def text(summary: dict[str, Any]) -> str:
    """The summary as its file has it."""
    return json.dumps(summary, indent=1, ensure_ascii=False) + "\n"


def path(content: Path, edition: int) -> Path:
    """The file of an edition."""
    return content / FOLDER / f"{edition}.json"


def read(file: Path) -> dict[str, Any]:
    """A summary from its file. Raises: Unreadable, OSError."""
    if file.stat().st_size > MOST_BYTES:
        raise Unreadable(_("the file is larger than {most} bytes").format(most=MOST_BYTES))
    try:
        found = json.loads(file.read_bytes())
    except (ValueError, RecursionError) as error:
        raise Unreadable(_("this is no JSON: {why}").format(why=error)) from None
    if not isinstance(found, dict):
        raise Unreadable(_("this is no summary of an edition"))
    held = [*(found.get(kind) for kind in KINDS), *(found[kind] for kind in LATER if kind in found)]
    if not all(isinstance(one, dict) for one in held):
        raise Unreadable(_("this is no summary of an edition"))
    if str(found.get("edition")) != file.stem or not isinstance(found.get("date"), str):
        raise Unreadable(_("the file's name is not the number of the edition in it"))
    if not all(isinstance(one, dict) for kind in held for one in kind.values()):
        raise Unreadable(_("this is no summary of an edition"))
    return found


def files(content: Path) -> dict[int, Path]:
    """The editions that are kept: number -> file, in order. Files with other names are left alone."""
    folder = content / FOLDER
    kept = folder.glob("*.json") if folder.is_dir() else ()
    found = {int(file.stem): file for file in kept if file.stem.isdecimal() and file.is_file()}
    return dict(sorted(found.items()))


def before(handbook: Handbook) -> dict[str, Any] | None:
    """The newest edition that is kept and older than the handbook. Raises: Unreadable, OSError."""
    older = [file for number, file in files(handbook.root).items() if number < handbook.edition]
    return read(older[-1]) if older else None
