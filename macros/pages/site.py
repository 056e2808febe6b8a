"""Which pages there are, and how each is rendered: the handbook -> addresses, titles and HTML."""

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from babel.core import UnknownLocaleError
from babel.dates import format_date
from jinja2 import BytecodeCache, Environment, FileSystemLoader, StrictUndefined
from jinja2.bccache import Bucket
from markupsafe import Markup

from macros import audience, state
from macros.model import Handbook
from macros.pages import signs
from macros.pages.drawings import Drawings, OnePage
from macros.pages.terms import Terms
from macros.pages.uses import Uses
from macros.words import _

if TYPE_CHECKING:
    from macros.pages.lists import List, Some

TEMPLATES = Path(__file__).parent / "templates"


@dataclass(frozen=True)
class Link:
    """A link to a page of the handbook: address relative to home (may end in a fragment), its words, and what is said beside."""

    url: str
    title: str
    note: str = ""


@dataclass(frozen=True)
class Place:
    """Words that a page is found by: what stands over them, and the id at which they stand ("" for its top).

    `lead` is shown before the head but is nothing to find it by, such as "Step 3".
    """

    head: str
    text: str
    anchor: str = ""
    lead: str = ""


@dataclass(frozen=True)
class Entry:
    """A thing on a page that is found by itself, at the id `anchor`, such as a word of the glossary.

    `label`: its kind in a reader's words; `told`: what else it is called.
    """

    anchor: str
    title: str
    label: str
    text: str = ""
    told: tuple[str, ...] = ()


@dataclass(frozen=True)
class Page:
    """One page.

    `url`: relative to home, "" for home; `kind`: name of its template; `context`: what the template needs,
    made when it is rendered; `back`: where the way back leads; `found_by` gives the places that it is found
    by, made when the search wants them, the first says what it is about; `codes`: part numbers and the like;
    `told`: how users say it; `entries`: what is
    found by itself; `label`: the kind in a reader's words, empty for a page that is not searched.
    """

    url: str
    kind: str
    title: str
    context: Callable[[OnePage], dict[str, Any]]
    back: Link
    found_by: Callable[[], Iterable[Place]] = tuple
    codes: tuple[str, ...] = ()
    label: str = ""
    told: tuple[str, ...] = ()
    entries: tuple[Entry, ...] = ()

    @property
    def source(self) -> str:
        """Name of the page as a Markdown file, as MkDocs wants it."""
        return f"{self.url.rstrip('/') or 'index'}.md"

    @property
    def places(self) -> tuple[Place, ...]:
        """What it is found by."""
        return tuple(self.found_by())

    @property
    def base(self) -> str:
        """The way from this page to home."""
        return "../" * self.url.count("/") or "./"


@dataclass
class Site:
    """All pages of one handbook, which has no problems, for one audience (`macros.audience`)."""

    handbook: Handbook
    audience: str = audience.DEFAULT
    _env: Environment = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self.handbook = audience.reduced(self.handbook, self.audience)
        self.drawings = Drawings(self.handbook.drawings)
        self._env = environment(self)

    @cached_property
    def walk(self) -> state.Walk:
        """The machine's state at every step."""
        return state.walk(self.handbook)

    @cached_property
    def uses(self) -> "Uses":
        """Who uses what."""
        return Uses(self.handbook)

    @cached_property
    def lists(self) -> "dict[str, List]":
        """Lists that grow with the handbook (`macros.pages.lists`)."""
        from macros.pages import lists

        return lists.made(self)

    def some(self, id: str) -> "Some":
        """The beginning of such a list."""
        from macros.pages import lists

        return lists.some(self, id)

    @property
    def titles(self) -> dict[str, str]:
        """The machines that every page names: all where they are few, else the one that pages are delivered for."""
        from macros.pages.lists import FEW

        machines = self.handbook.machines
        return {id: machines[id].title for id in (machines if len(machines) <= FEW else [self.machine])}

    @property
    def many(self) -> bool:
        """Whether there are more machines than every page names."""
        return len(self.titles) < len(self.handbook.machines)

    @cached_property
    def answers(self) -> dict[Any, Any]:
        """Worked examples, each made once (`macros.pages.calculator`)."""
        return {}

    @cached_property
    def pages(self) -> dict[str, Page]:
        """Every page by its address, in the order in which they are listed."""
        return {page.url: page for page in self._make()}

    @cached_property
    def terms(self) -> Terms:
        """The words of the glossary, as they are found in running text."""
        return Terms(self.handbook.words)

    def _make(self) -> Iterator[Page]:
        from macros.pages import (
            calculator, find, formulas, glossary, guide, home, licences, lists, machine, moved, new, part, procedure, saved, seen,
            trust, visit, visits,
        )

        for module in (home, seen, procedure, calculator, guide, machine, part, formulas, glossary, trust, new, find, saved,
                       visit, visits, licences, moved, lists):
            yield from module.pages(self)

    @cached_property
    def icons(self) -> dict[str, bool]:
        """Which icons there are besides the one as SVG, by the file's name, and whether the mark is the handbook's ``own``."""
        from macros.pages import files

        without = files.lacking(self.handbook)
        return {"own": bool(files.own_icons(self.handbook)),
                **{name: f"look/{name}" not in without for name in ("icon-180.png", "icon-512.png")}}

    @property
    def machine(self) -> str:
        """Id of the machine that pages are delivered for, until the reader chooses; "" without any."""
        return next(iter(self.handbook.machines), "")

    def render(self, page: Page) -> str:
        """The page's content as HTML."""
        drawn = OnePage(self.drawings)
        template = self._env.get_template(f"{page.kind}.html")
        html = template.render(base=page.base, page=page, drawing=drawn.drawing, **page.context(drawn))
        # In the glossary itself every word stands at its own place.
        return html if page.kind == "glossary" else self.terms.linked(html, f"{page.base}glossary/")

    def day(self, day: date | str) -> str:
        """A date as a person writes it, in the handbook's language."""
        day = date.fromisoformat(day) if isinstance(day, str) else day
        try:
            return format_date(day, "d MMMM y", locale=self.handbook.language)
        except UnknownLocaleError:
            return day.isoformat()

    @property
    def readers(self) -> str:
        """For whom this edition is."""
        return audience.title(self.audience)

    def edition(self) -> str:
        """Which edition this is."""
        return _("Edition {edition} of {day}").format(edition=self.handbook.edition, day=self.day(self.handbook.date))


class _Compiled(BytecodeCache):
    """Templates compiled in this process: each `Site` has an environment of its own, and the same templates."""

    def __init__(self) -> None:
        self._held: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key in self._held:
            bucket.bytecode_from_string(self._held[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self._held[bucket.key] = bucket.bytecode_to_string()


_COMPILED = _Compiled()


def environment(site: Site) -> Environment:
    """Templates beside this file: every text is escaped unless it is markup of our own."""
    env = Environment(loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined,
                      trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=False, bytecode_cache=_COMPILED)
    env.globals.update(_=_, handbook=site.handbook, site=site, sign=signs.sign, signal_word=signs.word,
                       triangle=signs.triangle)
    env.filters.update(capital=capital, sentence=sentence, link=_link, listed=listed)
    return env


def capital(text: str) -> str:
    """With a capital at the front."""
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """With a capital at the front and a full stop at the end."""
    text = capital(text)
    return text if not text or text.endswith((".", "?", "!", "\u2026")) else text + "."


def listed(words: list[str]) -> str:
    """Several words as one list: "gloves, vacuum gauge"."""
    return ", ".join(words)


def script(data: Any) -> Markup:
    """JSON for a script element: nothing in it can end the element."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026"))


def _link(link: Link, base: str) -> Markup:
    return Markup('<a href="{}{}">{}</a>').format(base, link.url, link.title)
