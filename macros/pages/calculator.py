"""A calculator in a page: its form, written from its own description, and a worked example already answered."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from markupsafe import Markup

from calculators import calculate, calculators
from calculators import calculator as get
from calculators import quantity as q
from calculators.form import Calculator, Field, takes
from calculators.present import shown
from calculators.schema import describe
from macros import audience
from macros.figures import figure, filled
from macros.kept import kept
from macros.model import Handbook
from macros.model import Use as Given
from macros.pages import lists, trust
from macros.pages.drawings import OnePage, with_suffix
from macros.pages.site import Link, Page, Place, Site, listed, script
from macros.words import _


@dataclass(frozen=True)
class Box:
    """One input as the form shows it.

    `path` is its name, `id` its id; `value` the text in it; `unit` the unit its label carries; `takes` and
    `help` what is said beside it; `usual` the value that is taken when nothing is chosen.
    """

    field: Field
    path: str
    id: str
    title: str
    value: str
    unit: str
    help: str
    usual: str

    @property
    def numeric(self) -> bool:
        """Whether the number pad is wanted."""
        return self.field.kind in ("quantity", "number", "integer", "decimal")

    @property
    def inputmode(self) -> str:
        """The pad that a tablet opens: number pads have no minus, so a number that may be negative wants letters."""
        return "decimal" if self.numeric and self.field.low is not None and self.field.low >= 0 else "text"

    @property
    def choices(self) -> list[tuple[str, str]]:
        """(value, title) of what can be chosen; an empty one first where nothing need be chosen."""
        choices = [(code, _(title)) for code, title in self.field.choices]
        return choices if self.field.default is not None else [("", "\u2013"), *choices]


@dataclass(frozen=True)
class Rows:
    """A list as the form shows it: rows of boxes, an empty row to copy, columns always and sometimes seen."""

    field: Field
    title: str
    row: str
    rows: tuple[tuple[Box, ...], ...]
    empty: tuple[Box, ...]
    main: frozenset[str]

    @property
    def shape(self) -> str:
        """Widths of the columns seen always: w for words, n for numbers."""
        return "".join("n" if box.numeric else "w" for box in self.empty if box.field.name in self.main)

    @property
    def extra(self) -> list[str]:
        """Titles of the columns seen only when asked for."""
        return [box.title for box in self.empty if box.field.name not in self.main]


@dataclass(frozen=True)
class Group:
    """Boxes that stand together: `kind` is plain, machine (filled from its figures) or more (seldom given).

    `units` are the choices of units for quantities that are first asked for here: (quantity, its title,
    [(unit, as shown)], chosen).
    """

    kind: str
    boxes: list[Box | Rows]
    units: list[tuple[str, str, list[tuple[str, str]], str]]


@dataclass(frozen=True)
class Use:
    """A calculator at one place of one page.

    `left_out`: titles of what it asks for but no form can hold (an object in an object); then it is shown
    answered, and does not answer the reader's own values. `judged`: where the rig's marks say
    how far to trust it, relative to home; empty where they do not.
    """

    id: str
    use: str
    slug: str
    question: str
    summary: str
    groups: list[Group]
    answer: dict[str, Any]
    data: Markup
    lookup: dict[str, Any] | None
    formulas: list[str]
    limits: list[str]
    sources: list[str]
    left_out: list[str]
    judged: str


def pages(site: Site) -> Iterator[Page]:
    """A page for each calculator of the register."""
    for one in calculators():
        yield Page(f"calculators/{one.id}/", "calculator", _(one.question), partial(_context, site, one.id),
                   Link("#calculate", _("the calculators")), partial(_places, one), label=_("calculator"),
                   told=site.handbook.synonyms.calculators.get(one.id, ()))


def _places(one: Calculator) -> Iterator[Place]:
    yield Place("", _(one.summary))
    yield Place("", listed([_(f.title) for f in one.fields]), lead=_("Your values"))
    yield Place("", listed([_(f.title) for f in one.figures]), lead=_("Figures of the answer"))


def _context(site: Site, id: str, drawn: OnePage) -> dict[str, Any]:
    return {"use": use(site, Given(id=id, inputs={}), id, list(site.handbook.machines), drawn)}


def use(site: Site, given: Given, name: str, machines: list[str], drawn: OnePage) -> Use:
    """The calculator `given.id` at the place `name`, answered for each of `machines`, the first delivered."""
    book, one = site.handbook, audience.asking(get(given.id), site.audience)
    units = _units(book, one)
    many = len(machines) > lists.FEW
    worked = {}
    for machine in (machines[:1] if many else machines) or [""]:
        inputs, answer = _answered(site, one, machine, given.inputs, units)
        worked[machine] = {"inputs": inputs, "shown": answer}
    first = worked[next(iter(worked))]
    # A page may hold the same calculator twice, and ids are unique on it; the script does the same to its pictures.
    delivered = {**first["shown"], "picture": with_suffix(first["shown"]["picture"], drawn.suffix(one.id))}
    known = {f.name for f in one.fields
             if f.machine and any(figure(book, m, f.machine) is not None for m in machines)}
    boxes = _Boxes(_slug(name), units, first["inputs"])
    parted: dict[str, list[Field]] = {"plain": [], "machine": [], "more": []}
    for f in one.fields:
        if f.kind == "object":
            continue
        own = f.machine and not f.machine.startswith("handbook.") and f.name in known
        parted["machine" if own else "plain" if f.name in first["inputs"] or f.required else "more"].append(f)
    asked: set[str] = set()
    groups = [Group(kind, [boxes.make(f) for f in fields], _choices(fields, units, asked))
              for kind, fields in parted.items() if fields]
    data = {"id": one.id, "fields": describe(one), "example": one.example, "worked": worked,
            "fills": {m: {f.name: value for f in one.fields if (value := figure(book, m, f.machine)) is not None}
                      for m in worked if m},
            **({"given": given.inputs, "many": True} if many else {})}
    return Use(one.id, name, _slug(name), _(one.question), _(one.summary), groups, delivered, script(data),
               _lookup(one, units), [_(t) for t in one.formulas], [_(t) for t in one.limits],
               [_(t) for t in one.sources], [_(f.title) for f in one.fields if f.kind == "object"],
               trust.place(site, one.id))


def fills(site: Site, machine: str) -> dict[str, dict[str, Any]]:
    """What a machine's figures fill in, by calculator and field: for pages that do not hold the figures of each of many machines."""
    return {one.id: {f.name: value for f in audience.asking(one, site.audience).fields
                     if (value := figure(site.handbook, machine, f.machine)) is not None} for one in calculators()}


def _slug(name: str) -> str:
    return name.replace("/", "-")


def _answered(site: Site, one: Calculator, machine: str, given: dict, units: dict[str, str]) -> tuple[dict, dict]:
    """Inputs and their answer in words: the example on the machine's figures, or as it is where they do not fit.

    Many pages ask the same of the same machine.
    """
    key = one.id, machine, repr(given), repr(units)
    if key not in site.answers:
        site.answers[key] = _answer(site, one, machine, given, units)
    return site.answers[key]


def _answer(site: Site, one: Calculator, machine: str, given: dict, units: dict[str, str]) -> tuple[dict, dict]:
    for plain in (filled(site.handbook, one.id, machine, given), {**one.example, **given}, one.example):
        inputs = audience.told(site.handbook, one, plain, site.audience)
        result = calculate(one.id, inputs)
        if "refused" not in result:
            return dict(inputs), shown(one, result, units)
    raise AssertionError(f"{one.id} refuses its own example: {result}")


# ---- units ----

def _leaves(fields: tuple[Field, ...]) -> Iterator[Field]:
    for f in fields:
        if f.fields:
            yield from _leaves(f.fields)
        else:
            yield f


def _units(book: Handbook, one: Calculator) -> dict[str, str]:
    """Unit of each quantity as the page is delivered, where it differs from the calculator's own."""
    chosen = {}
    for f in _leaves(one.fields):
        wanted = book.units.get(f.quantity)
        if f.kind == "quantity" and wanted and wanted != f.unit and wanted in f.units:
            chosen[f.quantity] = wanted
    return chosen


def _choices(fields: list[Field], units: dict[str, str], asked: set[str]) -> list:
    """Choices for every quantity of `fields` with more than one unit, but those in `asked`, which grows."""
    found: dict[str, Field] = {}
    for f in _leaves(tuple(fields)):
        if f.kind == "quantity" and len(f.units) > 1 and f.quantity not in asked:
            found.setdefault(f.quantity, f)
    asked.update(found)
    return [(name, _(q.QUANTITIES[name].title), [(unit, q.pretty(unit)) for unit in f.units],
             units.get(name, f.unit)) for name, f in found.items()]


# ---- boxes ----

class _Boxes:
    """Makes the boxes of one form."""

    def __init__(self, slug: str, units: dict[str, str], inputs: dict[str, Any]):
        self.slug, self.units, self.inputs = slug, units, inputs

    def make(self, f: Field) -> Box | Rows:
        """The box of a field, or the rows of a list."""
        if f.kind == "list":
            return self._rows(f)
        return self._box(f, f.name, self.inputs.get(f.name, f.default))

    def _rows(self, f: Field) -> Rows:
        given = self.inputs.get(f.name) or []
        given = given or [{}] * f.least
        main = {name for row in given for name in row} or {inner.name for inner in f.fields if inner.required}
        seen = [inner for inner in f.fields if inner.name in main]
        # There is room for three: what counts goes before what only says more.
        numbers = [inner.name for inner in seen if inner.kind in ("quantity", "number", "integer", "decimal")]
        main = {*[inner.name for inner in seen][:1], *numbers[:2]} if len(seen) > 3 else {inner.name for inner in seen}
        main = main or {f.fields[0].name}
        row = _(f.row_title or f.title)
        return Rows(f, _(f.title), row,
                    tuple(tuple(self._box(inner, f"{f.name}/{n}/{inner.name}", one.get(inner.name, inner.default))
                                for inner in f.fields) for n, one in enumerate(given)),
                    tuple(self._box(inner, f"{f.name}/ROW/{inner.name}", inner.default) for inner in f.fields),
                    frozenset(main))

    def _box(self, f: Field, path: str, value: Any) -> Box:
        unit = self.units.get(f.quantity, f.unit) if f.kind == "quantity" else f.unit
        return Box(f, path, f"{self.slug}-{_slug(path)}", _(f.title), _text(f, value, unit),
                   q.pretty(unit) if unit and unit != "1" else "", _help(f), "" if f.default is None else str(f.default))


BEYOND = 1e6
"""A limit this high only keeps a calculation from running away; no reader needs to be told."""


def _help(f: Field) -> str:
    """What is said beside a box before it is broken: its help and its limits."""
    told = f.kind not in ("choice", "flag", "text") and not (f.high is not None and f.high >= BEYOND)
    if not told:
        return _(f.help) if f.help else ""
    if not f.help:
        return _("Takes {takes}.").format(takes=takes(f))
    return _("{help} Takes {takes}.").format(help=_(f.help), takes=takes(f))


def _text(f: Field, value: Any, unit: str) -> str:
    """What stands in a box: the number without its unit where that is the unit beside the box."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else ""
    text = str(value).strip()
    if f.kind != "quantity":
        return text
    number, _space, own = text.partition(" ")
    own = own.strip() or f.unit
    if own == unit:
        return number
    try:
        return q.write(q.from_si(q.parse(text, f.quantity, f.unit), f.quantity, unit), 6).replace("\u202f", "")
    except ValueError:
        return text


# ---- the table of results ----

def _lookup(one: Calculator, units: dict[str, str]) -> dict[str, Any] | None:
    """The table made at build time: title, columns, rows of texts."""
    return None if one.lookup is None else kept(f"lookup {one.id} {units}", (one.lookup,), lambda: _table(one, units))


def _table(one: Calculator, units: dict[str, str]) -> dict[str, Any]:
    columns, rows = [_(one.lookup.label)], []
    for label, inputs in one.lookup.rows:
        result = calculate(one.id, {**one.example, **inputs})
        if "refused" in result:
            raise AssertionError(f"{one.id} refuses a row of its own table: {result}")
        figures = {f["name"]: f for f in shown(one, result, units)["figures"]}
        if not rows:
            columns += [_column(figures[name]) for name in one.lookup.figures if name in figures]
        rows.append([_(label), *(figures[name]["value"] for name in one.lookup.figures if name in figures)])
    return {"title": _(one.lookup.title), "columns": columns, "rows": rows}


def _column(shown_figure: dict[str, Any]) -> str:
    if not shown_figure["unit"]:
        return shown_figure["title"]
    return _("{title}, {unit}").format(title=shown_figure["title"], unit=shown_figure["unit"])
