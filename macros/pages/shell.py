"""The theme's page without the parts that the handbook does not use.

`main.html` replaces the theme's blocks. What the theme puts outside of its blocks (its first element, the
toggles of its menus, its dialog) is replaced here; a theme in which one of them is not found stops the
build, so that an upgrade is looked at.
"""

import re
from html import escape


class ThemeChanged(Exception):
    """The theme's page lacks something that is replaced here; the text names it."""


_LEFTOVERS = (
    (r'<input class="md-toggle"[^>]*id="__drawer"[^>]*>', ""),
    (r'<input class="md-toggle"[^>]*id="__search"[^>]*>', ""),
    (r'<label class="md-overlay"[^>]*></label>', ""),
    (r'<div data-md-component="skip">.*?</div>', ""),
    (r'<div data-md-component="announce">\s*</div>', ""),
    (r'<div class="md-dialog" data-md-component="dialog">\s*<div[^>]*></div>\s*</div>', ""),
    (r'<div class="md-container"[^>]*>', "<div>"),
    (r'<main class="md-main"[^>]*>\s*<div class="md-main__inner md-grid">', "<main><div>"),
)


_EMPTY_LINES = re.compile(r"\n(?:[ \t]*\n)+")


def finished(html: str, base: str, edition: int, language: str) -> str:
    """The page `html` with our first element, which tells the scripts the way to home and the edition.

    Raises: ThemeChanged.
    """
    first = f'<html lang="{escape(language)}" data-base="{escape(base)}" data-edition="{edition}">'
    for pattern, instead in ((r"<html [^>]*>", first), *_LEFTOVERS):
        html, number = re.subn(pattern, lambda _found, by=instead: by, html, count=1, flags=re.DOTALL)
        if number != 1:
            raise ThemeChanged(pattern)
    return without_empty_lines(html).lstrip()


def without_empty_lines(html: str) -> str:
    """Blocks that are left empty leave their lines."""
    return _EMPTY_LINES.sub("\n", html)
