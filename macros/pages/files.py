"""Files of the site that are no pages: the style sheet in one piece, the app's manifest, the words of a language."""

import json
from pathlib import Path

from macros import colour, own_mark
from macros.model import Handbook
from macros.pages import calculator, visit, visits
from macros.pages.site import Site
from macros.words import _

ICON, FOOT = "look/icon.svg", "look/foot.css"

SHEETS = ("tokens", "ground", "frame", "steps", "safety", "calculator", "drawing", "home", "path", "prose", "guide", "trust", "news",
          "visit", "visits", "modes", "print", "sheet")
"""The style sheets in the order in which they are read: later ones win."""


def stylesheet(folder: Path, book: Handbook) -> str:
    """Every sheet of `folder` as one, with the handbook's own colour."""
    text = "".join((folder / f"{name}.css").read_text("utf-8") for name in SHEETS)
    return text + (colour.sheet(book.accent.light, book.accent.dark) if book.accent is not None else "")


def foot(book: Handbook) -> str:
    """The sheet with the foot of printed pages: which handbook and edition, which page of how many.

    It is a file of its own, under an address that stays, so that a new edition does not give every page another look.
    """
    said = _("{name}, edition {edition}").format(name=book.name, edition=book.edition)
    pages = _("{page} of {pages}").format(page='" counter(page) "', pages='" counter(pages) "')
    return (
        f"@page {{ margin: 15mm 15mm 18mm 14mm; @bottom-left {{ content: {quoted(said)}; font: 9pt sans-serif; padding-left: 6mm; }}"
        f' @bottom-right {{ content: "{pages}"; font: 9pt sans-serif; padding-right: 1mm; }} }}\n')


def own_icons(book: Handbook) -> dict[str, bytes]:
    """Address -> bytes of the handbook's own mark; nothing where it has none, and the program's own icons stay."""
    mark = own_mark.read(book.root)
    if mark is None:
        return {}
    return {ICON: mark, **{url: path.read_bytes() for name, url in own_mark.PICTURES.items()
                           if (path := book.root / name).is_file()}}


def lacking(book: Handbook) -> set[str]:
    """The addresses of pictures of an icon that this handbook does not have: its own mark came without them."""
    return set(own_mark.PICTURES.values()) - set(own) if (own := own_icons(book)) else set()


def quoted(text: str) -> str:
    """A text as a string of CSS."""
    return '"' + "".join(ch if ch.isalnum() or ch in " ,.-" else f"\\{ord(ch):x} " for ch in text) + '"'


def manifest(book: Handbook) -> str:
    """The web app's manifest, for a device that installs the handbook."""
    return json.dumps({
        "name": book.name, "short_name": book.name, "lang": book.language, "id": "./", "start_url": "./", "scope": "./",
        "display": "standalone", "background_color": "#F7F5F0", "theme_color": "#F7F5F0",
        "icons": [{"src": ICON, "sizes": "any", "type": "image/svg+xml"},
                  *({"src": picture, "sizes": "512x512", "type": "image/png", "purpose": purpose}
                    for purpose in ("any", "maskable") if (picture := "look/icon-512.png") not in lacking(book))],
    }, ensure_ascii=False, indent=1) + "\n"


def figures(site: Site) -> dict[str, str]:
    """Address -> what each machine's figures fill in, where machines are too many for every page to hold (`calculator.fills`)."""
    if not site.many:
        return {}
    return {f"machines/{id}/figures.json": json.dumps(calculator.fills(site, id), ensure_ascii=False, sort_keys=True) + "\n"
            for id in site.handbook.machines}


def known(site: Site) -> dict[str, str]:
    """Address -> what a visit can name, where that is too much for its page to hold (`visit.known`)."""
    return {visit.KNOWN: json.dumps(visit.known(site), ensure_ascii=False, separators=(",", ":")) + "\n"} if visit.apart(site) else {}


def words(texts: dict[str, str]) -> str:
    """The texts of a language other than English, for the scripts of the page."""
    return json.dumps(texts, ensure_ascii=False, sort_keys=True, separators=(",", ":")) + "\n"


def schema(own: Path) -> str:
    """The JSON Schema of files of visits, published beside the scripts in `own` that read and write them."""
    return (own / visits.SCHEMA).read_text("utf-8")
