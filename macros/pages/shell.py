"""The frame around every page: what it shows, and the theme's page without the parts that are not used.

`main.html` replaces the theme's blocks. What the theme puts outside of its blocks (the root element, toggles
of its menus, its dialog) is replaced here; a theme in which one of them is not found stops the build, so that
an upgrade is looked at.
"""

import re
from dataclasses import dataclass
from html import escape

from macros.pages.site import Page, Site
from macros.words import _


@dataclass(frozen=True)
class Frame:
    """What stands around a page.

    `base`: relative address of the home page, ends with a slash; `title`: of the page; `remember`: whether
    home lists it among what was opened last; `back`: (address, words) of the way back; `machines`: id -> title.
    """

    base: str
    title: str
    name: str
    edition: int
    date: str
    language: str
    machines: dict[str, str]
    back: tuple[str, str]
    remember: bool


def frame(site: Site, page: Page | None, url: str, title: str, root: str = "") -> Frame:
    """What stands around `page`, or around another one at `url`; `root` replaces the relative address of home."""
    book = site.handbook
    return Frame(
        base=root or "../" * url.count("/") or "./", title=page.title if page else title, name=book.name,
        edition=book.edition, date=site.day(book.date), language=book.language,
        machines={id: machine.title for id, machine in book.machines.items()},
        back=(page.back.url, page.back.title) if page else ("", _("the floor")),
        remember=bool(page.label) if page else not root)


class ThemeChanged(Exception):
    """The theme's page lacks something that is replaced here."""


_LEFTOVERS = (
    r'<input class="md-toggle"[^>]*id="__drawer"[^>]*>',
    r'<input class="md-toggle"[^>]*id="__search"[^>]*>',
    r'<label class="md-overlay"[^>]*></label>',
    r'<div data-md-component="skip">.*?</div>',
    r'<div data-md-component="announce">\s*</div>',
    r'<div class="md-dialog" data-md-component="dialog">\s*<div[^>]*></div>\s*</div>',
)


def finished(html: str, frame: Frame) -> str:
    """The theme's page `html` with our root element and without its unused parts. Raises: ThemeChanged."""
    root = (f'<html lang="{escape(frame.language)}" data-base="{escape(frame.base)}" '
            f'data-edition="{frame.edition}">')
    remember = f' data-remember="{escape(frame.title)}"' if frame.remember else ""
    html = _replaced(html, r"<html [^>]*>", root)
    html = _replaced(html, r'<div class="md-container"[^>]*>\s*', '<div class="sheet-of">\n')
    html = _replaced(html, r'<main class="md-main"[^>]*>\s*<div class="md-main__inner md-grid">',
                     f'<main class="page" id="page"{remember}>\n<div class="inner">')
    for pattern in _LEFTOVERS:
        html = _replaced(html, pattern, "")
    # Blocks left empty leave their lines.
    return re.sub(r"\n(?:[ \t]*\n)+", "\n", html)


def _replaced(html: str, pattern: str, by: str) -> str:
    html, number = re.subn(pattern, lambda _match: by, html, count=1, flags=re.DOTALL)
    if number != 1:
        raise ThemeChanged(f"the theme's page has no {pattern}")
    return html
