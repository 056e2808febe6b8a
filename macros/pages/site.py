"""Which pages the handbook has, and what stands in the files beside them."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from macros import state
from macros.model import Handbook
from macros.pages.drawings import Drawings
from macros.pages.shell import Frame
from macros.pages.sheet import Sheet, environment
from macros.words import _


@dataclass(frozen=True)
class Page:
    """A page made from the content.

    `address`: relative to home, with its slash, "" for home; `kind`: a word for lists and search; `template`:
    file in templates/; `context`: makes what the template shows; `back`: (address, words) of the way back;
    `text`, `codes`: further words by which it is found.
    """

    address: str
    title: str
    kind: str
    template: str
    context: Callable[[Sheet], dict[str, Any]]
    back: tuple[str, str]
    text: str = ""
    codes: str = ""
    remember: bool = True


class Site:
    """The pages of one handbook. `texts`: the catalogue in use, for the browser; empty in English."""

    def __init__(self, handbook: Handbook, texts: dict[str, str] | None = None):
        # Imported here: each of them makes pages of the type above.
        from macros.pages import calculator, find, home, machine, part, procedure, seen

        self.handbook = handbook
        self.texts = texts or {}
        self.state_at = state.walk(handbook).at
        self.drawings = Drawings(handbook)
        self.templates = environment()
        made: list[Page] = []
        for module in (home, seen, procedure, calculator, machine, part, find):
            made += module.pages(self)
        self.pages = {page.address: page for page in made}

    def html(self, page: Page) -> str:
        """The page's own content. Raises: BadDrawing."""
        sheet = Sheet(self, base_of(page.address))
        context = page.context(sheet)
        return self.templates.get_template(page.template).render(
            sheet=sheet, handbook=self.handbook, page=page, base=sheet.base, **context)

    def frame(self, address: str, title: str, root: str = "") -> Frame:
        """What stands around the page at `address`; `root` replaces the relative address of home."""
        page = self.pages.get(address)
        head = self.handbook
        return Frame(
            base=root or base_of(address), title=page.title if page else title, name=head.name, edition=head.edition,
            date=day(head.date), language=head.language,
            machines={id: machine.title for id, machine in head.machines.items()},
            back=page.back if page else ("", _("Back to the start")),
            remember=page.remember if page else bool(title) and not root)

    def files(self) -> dict[str, str]:
        """Files made from the content: name in the site -> text."""
        from macros.pages import find, printed

        made = {"find.json": find.documents(self), "look/printed.css": printed.stylesheet(self.handbook),
                "handbook.webmanifest": printed.manifest(self.handbook)}
        if self.texts:
            made["app/words.json"] = json.dumps(self.texts, ensure_ascii=False, sort_keys=True)
        return made


def base_of(address: str) -> str:
    """Relative address of home as seen from `address`."""
    return "../" * address.count("/") or "./"


def day(date: Any) -> str:
    """A date for a reader: 25 November 2026, in the order and words of the catalogue."""
    months = [_("January"), _("February"), _("March"), _("April"), _("May"), _("June"), _("July"), _("August"),
              _("September"), _("October"), _("November"), _("December")]
    return _("{day} {month} {year}").format(day=date.day, month=months[date.month - 1], year=date.year)
