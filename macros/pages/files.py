"""Files of the site that are no pages: the style sheet in one piece, the app's manifest, the words of a language."""

import json
from pathlib import Path

from macros.model import Handbook
from macros.words import _

SHEETS = ("tokens", "ground", "frame", "steps", "safety", "calculator", "drawing", "home", "path", "prose", "guide", "trust", "modes", "print")
"""The style sheets in the order in which they are read: later ones win."""


def stylesheet(folder: Path, book: Handbook) -> str:
    """Every sheet of `folder` as one, with the foot of printed pages from the content."""
    text = "".join((folder / f"{name}.css").read_text("utf-8") for name in SHEETS)
    foot = _("{name}, edition {edition}").format(name=book.name, edition=book.edition)
    pages = _("{page} of {pages}").format(page='" counter(page) "', pages='" counter(pages) "')
    return text + (
        f"@page {{ margin: 15mm 15mm 18mm 14mm; @bottom-left {{ content: {quoted(foot)}; font: 9pt sans-serif; padding-left: 6mm; }}"
        f' @bottom-right {{ content: "{pages}"; font: 9pt sans-serif; padding-right: 1mm; }} }}\n')


def quoted(text: str) -> str:
    """A text as a string of CSS."""
    return '"' + "".join(ch if ch.isalnum() or ch in " ,.-" else f"\\{ord(ch):x} " for ch in text) + '"'


def manifest(book: Handbook) -> str:
    """The web app's manifest, for a device that installs the handbook."""
    return json.dumps({
        "name": book.name, "short_name": book.name, "lang": book.language, "id": "./", "start_url": "./", "scope": "./",
        "display": "standalone", "background_color": "#F7F5F0", "theme_color": "#F7F5F0",
        "icons": [{"src": "look/icon.svg", "sizes": "any", "type": "image/svg+xml"},
                  {"src": "look/icon-512.png", "sizes": "512x512", "type": "image/png", "purpose": "any"},
                  {"src": "look/icon-512.png", "sizes": "512x512", "type": "image/png", "purpose": "maskable"}],
    }, ensure_ascii=False, indent=1) + "\n"


def words(texts: dict[str, str]) -> str:
    """The texts of a language other than English, for the scripts of the page."""
    return json.dumps(texts, ensure_ascii=False, sort_keys=True, separators=(",", ":")) + "\n"
