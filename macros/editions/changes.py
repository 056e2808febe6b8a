"""What is new from one edition to the next: added, taken out, changed with before and after. Safety comes first."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from calculators import REGISTER, calculator
from macros.words import _, mark

#: What a value of a summary is called where its change is told; a value without words here is told through another one.
WORDS = {
    "signal": mark("Signal word"), "hazard": mark("Hazard"), "harm": mark("What can happen"),
    "avoid": mark("How to avoid it"),
    "signs": mark("Signs"), "title": mark("Title"), "needs": mark("What it needs"), "message": mark("Safety message"),
    "while_running": mark("Hands while it runs"), "group": mark("Heading"), "achieves": mark("What it achieves"),
    "minutes": mark("Minutes"), "machines": mark("Machines"), "first": mark("First"), "bring": mark("Bring"),
    "done_when": mark("Done when"), "next": mark("Next"), "do": mark("What to do"), "text": mark("How"),
    "look_for": mark("Look for"), "if_not": mark("If it is not so"),
    "then_procedure": mark("Then the procedure"), "then_step": mark("Then the step"), "hands": mark("Hands go to"),
    "tools": mark("Tools"),
    "parts": mark("Parts"), "calculator": mark("Calculator"), "wait": mark("Wait"), "leaves": mark("It leaves"),
    "part": mark("Under the heading"), "messages": mark("Safety messages before it"), "says": mark("About it"),
    "where": mark("Where"), "means": mark("What it means"), "first_test": mark("First test"), "go": mark("Procedures"),
    "causes": mark("Causes"), "checks": mark("Checks"), "number": mark("Number"), "does": mark("What it does"),
    "worn_when": mark("Worn when"), "unit": mark("Sold as"), "shelf": mark("Kept at"), "kind": mark("Kind of machine"),
    "daily": mark("Daily care"), "weekly": mark("Weekly care"), "monthly": mark("Monthly care"),
    "starts": mark("The machine before it"),
    "sets": mark("The machine after it"), "comes_back": mark("Then come back to this step"),
    "put_in": mark("Values put in"),
    "mends": mark("What mends them"), "told_in": mark("How they are done"), "results": mark("What they may show"),
    "company": mark("Company"), "scenario": mark("Scenario"), "above_all": mark("Above all"),
    "groups": mark("Headings"),
    "units": mark("Units"),
}
#: Values that are told without what they were: what is said of one that came, changed, went.
MARKED = {
    "figure": (mark("Drawing"), mark("a drawing"), mark("drawn anew")),
    "drawing": (mark("Drawing"), mark("a drawing"), mark("drawn anew")),
    "prose": (mark("Text"), mark("a text"), mark("written anew")),
    "price": (mark("Price"), mark("a price"), mark("another price")),
    "rates": (mark("Labour, call-out and tax"), mark("rates"), mark("other rates")),
    "counts": (mark("Order of the checks"), mark("figures"), mark("found anew, from other figures")),
}

#: Values of a procedure, a step or a zone that make work safe.
SAFETY = ("messages", "hands", "first", "starts", "sets", "leaves", "needs", "message", "while_running", "above_all")

#: Kind -> (its heading, the address of a page of it).
KINDS = {
    "messages": (mark("Safety messages"), ""), "zones": (mark("Where hands go"), ""),
    "procedures": (mark("Procedures"), "procedures/{}/"),
    "machines": (mark("Figures and parts of machines"), "machines/{}/"),
    "symptoms": (mark("What is seen on the floor"), "seen/{}/"), "parts": (mark("Parts"), "parts/{}/"),
    "tools": (mark("Tools and protection"), "tools/#{}"), "guides": (mark("Guides"), "guides/{}/"),
    "words": (mark("Words of the trade"), "glossary/#{}"), "handbook": (mark("The handbook as a whole"), ""),
}
ADDED, GONE, CHANGED = "added", "gone", "changed"


@dataclass(frozen=True)
class Row:
    """One value that changed: what it is, and how it was and is said; "" where it was not or is not there."""

    what: str
    was: str
    now: str
    safety: bool = False


@dataclass(frozen=True)
class Change:
    """One thing that is new, gone or changed: its title, its page ("" without one), its rows, and those of its own
    parts."""

    kind: str
    id: str
    how: str
    title: str
    url: str = ""
    rows: tuple[Row, ...] = ()
    inside: "tuple[Change, ...]" = field(default=())

    @property
    def became(self) -> str:
        """What became of it, in a word."""
        return {ADDED: _("new"), GONE: _("taken out")}.get(self.how, _("changed"))

    @property
    def safety(self) -> bool:
        """Whether it touches what keeps hands safe."""
        return (self.kind in ("messages", "zones") or any(row.safety for row in self.rows)
                or any(one.safety for one in self.inside))


def between(old: dict[str, Any], new: dict[str, Any], unread: Sequence[str] = ()) -> list[Change]:
    """Every change from one summary to another, kind by kind in the order of `KINDS`.

    What a summary of an earlier program does not hold is not compared, nor are values named in `unread`, which those
    who read the changes are not told.
    """
    old, new = _told(old, unread), _told(new, unread)
    return [change for kind in KINDS if kind in old and kind in new for change in _kind(kind, old, new)]


def _told(summary: dict[str, Any], unread: Sequence[str]) -> dict[str, Any]:
    """A summary without the values named in `unread`."""
    return {kind: {id: {key: value for key, value in one.items() if key not in unread}
                   for id, one in summary[kind].items()}
            for kind in KINDS if kind in summary}


def groups(changes: list[Change]) -> list[tuple[str, list[Change]]]:
    """The changes under their headings; what touches safety under the first one."""
    first = [change for change in changes if change.safety]
    rest = {kind: [change for change in changes if change.kind == kind and not change.safety] for kind in KINDS}
    found = [(_("For your safety"), first), *((_(KINDS[kind][0]), held) for kind, held in rest.items())]
    return [(title, held) for title, held in found if held]


def _kind(kind: str, old: dict[str, Any], new: dict[str, Any]) -> Iterator[Change]:
    was, now = old[kind], new[kind]
    page = KINDS[kind][1]
    # A message is told by its words, and a message that a zone or a step names by its hazard.
    names = {"old": _hazards(old), "new": _hazards(new)}
    for id, one in now.items():
        url = page.format(id) if page else ""
        if id not in was:
            yield Change(kind, id, ADDED, _title(kind, id, one), url, tuple(_whole(kind, one, names["new"], True)))
            continue
        rows = tuple(_rows(was[id], one, names))
        inside = tuple(_steps(was[id]["steps"], one["steps"], names)) if kind == "procedures" else ()
        if rows or inside:
            yield Change(kind, id, CHANGED, _title(kind, id, one), url, rows, inside)
    for id, one in was.items():
        if id not in now:
            yield Change(kind, id, GONE, _title(kind, id, one), "", tuple(_whole(kind, one, names["old"], False)))


def _hazards(summary: dict[str, Any]) -> dict[str, str]:
    return {id: one.get("hazard", id) for id, one in summary["messages"].items()}


def _title(kind: str, id: str, one: dict[str, Any]) -> str:
    name = one.get("hazard", id).rstrip(".") if kind == "messages" else one.get("title", id)
    return f"{name} {one['where']}" if kind == "symptoms" and one.get("where") else name


def _whole(kind: str, one: dict[str, Any], hazards: dict[str, str], now: bool) -> Iterator[Row]:
    """What is said of a message or zone that came or went, whole; other things are named alone."""
    if kind in ("messages", "zones"):
        for key, value in one.items():
            said = _said(key, value, hazards)
            if said and key in WORDS:
                yield Row(_(WORDS[key]), "" if now else said, said if now else "", key in SAFETY)


def _rows(was: dict[str, Any], now: dict[str, Any], names: dict[str, dict[str, str]]) -> Iterator[Row]:
    for key in dict.fromkeys([*now, *was]):
        if was and now and not (key in was and key in now):
            continue  # kept by an earlier program, which did not keep that
        if key in WORDS:
            before, after = (_said(key, one.get(key, ""), names[age]) for one, age in ((was, "old"), (now, "new")))
            # The same messages, one of which says something else now, are told once: there.
            if before != after and not (key in ("message", "messages") and was.get(key) == now.get(key)):
                yield Row(_(WORDS[key]), before, after, key in SAFETY)
        elif key in MARKED and was.get(key) != now.get(key):
            what, there, anew = map(_, MARKED[key])
            yield Row(what, "" if now.get(key) else there, (anew if was.get(key) else there) if now.get(key) else "")
        elif key == "figures":
            figures, old = now.get(key, {}), was.get(key, {})
            yield from (Row(_figure(name), str(old.get(name, "")), str(figures.get(name, "")))
                        for name in dict.fromkeys([*figures, *old]) if old.get(name) != figures.get(name))


def _figure(path: str) -> str:
    """What a machine's page calls the figure at a dotted path."""
    from macros.pages.machine import NAMES, SECTIONS, WORDS as VALUES

    section, *names = path.split(".")
    words = [_(NAMES.get(name, VALUES.get(name, name))) for name in names]
    return _("{section}: {figure}").format(section=_(SECTIONS.get(section, section)), figure=", ".join(words))


def _steps(was: dict[str, Any], now: dict[str, Any], names: dict[str, dict[str, str]]) -> Iterator[Change]:
    for number, (id, one) in enumerate(now.items(), 1):
        title = _("Step {number}: {title}").format(number=number, title=one.get("do", id))
        if id not in was:
            safe = tuple(row for row in _rows({}, one, names) if row.safety)
            yield Change("steps", id, ADDED, title, f"#step-{id}", (Row(_("How"), "", one.get("text", "")), *safe))
        elif rows := tuple(_rows(was[id], one, names)):
            yield Change("steps", id, CHANGED, title, f"#step-{id}", rows)
    for id, one in was.items():
        if id not in now:
            safe = tuple(row for row in _rows(one, {}, names) if row.safety)
            yield Change("steps", id, GONE, one.get("do", id), "", (Row(_("How"), one.get("text", ""), ""), *safe))
    both = [id for id in was if id in now]
    order = [id for id in now if id in was]
    if both != order:
        yield Change("steps", "", CHANGED, _("The order of the steps"), "", (Row(
            _("Order"), *("; ".join(held[id].get("do", id) for id in ids) for held, ids in ((was, both), (now, order))),
            safety=True),))


def _said(key: str, value: Any, hazards: dict[str, str]) -> str:
    """A value in words."""
    if key == "messages":
        return "; ".join(hazards.get(one, one) for one in value or ())
    if key == "message":
        return hazards.get(value, value)
    if key == "calculator" and value in REGISTER:
        return _(calculator(value).question)
    if key == "while_running":
        return {"allowed": _("allowed"), "never": _("never")}.get(value, str(value))
    if isinstance(value, list):
        return "; ".join(map(str, value))
    if isinstance(value, dict):
        return "; ".join(f"{name}: {one}" for name, one in value.items())
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    return str(value)
