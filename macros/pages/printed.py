"""Small files made from the content: the foot of printed pages, and the card by which a device installs the site."""

import json

from macros.model import Handbook
from macros.words import _


def stylesheet(handbook: Handbook) -> str:
    """The foot of every printed page: handbook, edition, page of pages."""
    foot = _("{handbook}, edition {edition}").format(handbook=handbook.name, edition=handbook.edition)
    before, _page, rest = _("{page} of {pages}").partition("{page}")
    between, _pages, after = rest.partition("{pages}")
    counted = " ".join(filter(None, [_text(before), "counter(page)", _text(between), "counter(pages)", _text(after)]))
    return ("@page { margin: 15mm 15mm 18mm 14mm;\n"
            f"  @bottom-left {{ content: {_text(foot)}; font: 9pt sans-serif; padding-left: 6mm; }}\n"
            f"  @bottom-right {{ content: {counted}; font: 9pt sans-serif; padding-right: 1mm; }} }}\n")


def _text(words: str) -> str:
    """Words as a string of CSS; whatever could end it is escaped."""
    if not words:
        return ""
    safe = "".join(ch if ch.isalnum() or ch in " ,.:-" else f"\\{ord(ch):x} " for ch in words)
    return f'"{safe}"'


def manifest(handbook: Handbook) -> str:
    """The web app manifest, for a handbook that is put on the home screen."""
    card = {
        "name": handbook.name, "short_name": handbook.name[:24], "lang": handbook.language, "start_url": "./",
        "scope": "./", "display": "standalone", "background_color": "#F7F5F0", "theme_color": "#F7F5F0",
        "icons": [{"src": "icon.svg", "sizes": "any", "type": "image/svg+xml", "purpose": "any"}],
    }
    return json.dumps(card, ensure_ascii=False, indent=1) + "\n"
