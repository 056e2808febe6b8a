"""A sheet with every drawing as a reader sees it, for whoever draws: ``python -m macros.drawing [CONTENT] [NAME ...]``.

Writes .cache/drawings.html: light, dark and as on a black-and-white printer, 320 px wide each.
"""

import sys
from html import escape
from pathlib import Path

from macros.console import CACHE, ROOT, say
from macros.pages.drawings import OnePage, Drawings, Refused

LOOK = ROOT / "site_overrides" / "look"
SHEET = """
body { margin: 8px; background: #FFF; }
section { display: grid; grid-template-columns: repeat(auto-fill, 320px); gap: 16px; align-items: start; padding: 16px;
  background: var(--paper); color: var(--ink); font: 14px sans-serif; }
figure { margin: 0; width: 320px; }
.grey { filter: grayscale(1); }
"""


def sheet(files: dict[str, Path], modes: tuple[str, ...] = ("light", "dark", "grey")) -> str:
    """An HTML page with each drawing in each mode; one that cannot be shown says why in its place."""
    look = "".join((LOOK / f"{name}.css").read_text("utf-8") for name in ("tokens", "ground", "drawing"))
    # Each mode's colours are the page's own, put on a part of the sheet.
    look = look.replace(':root[data-scheme="dark"]', '[data-scheme="dark"]').replace(":root {", ':root, [data-scheme="light"] {')
    made = [f'<!doctype html><html data-scheme="light"><meta charset="utf-8"><title>Drawings</title>'
            f"<style>{look}{SHEET}</style>"]
    page = OnePage(Drawings(files))
    for mode in modes:
        scheme = "dark" if mode == "dark" else "light"
        made.append(f'<section class="{mode}" data-scheme="{scheme}">')
        for name in sorted(files):
            try:
                drawn = str(page.drawing(name, (3,)))
            except Refused as refused:
                drawn = escape(f"{name}.svg:{refused.line}:{refused.column}: {refused.found}; {refused.expected}")
            made.append(f"<figure>{drawn}<figcaption>{escape(name)}</figcaption></figure>")
        made.append("</section>")
    return "".join(made)


if __name__ == "__main__":
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "content") / "drawings"
    wanted = {path.stem: path for path in folder.glob("*.svg") if not sys.argv[2:] or path.stem in sys.argv[2:]}
    CACHE.mkdir(exist_ok=True)
    (CACHE / "drawings.html").write_text(sheet(wanted), "utf-8")
    say(str(CACHE / "drawings.html"))
