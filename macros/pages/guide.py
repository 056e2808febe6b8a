"""A page for each guide in prose, its drawings beside the text."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from markdown import Markdown
from markupsafe import Markup

from macros import guides
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Site
from macros.words import _


def pages(site: Site) -> Iterator[Page]:
    """A page for each guide."""
    found, _problems = guides.read(site.handbook)
    for guide in found.values():
        yield Page(f"guides/{guide.id}/", "guide", guide.title, partial(_context, guide), Link("find/", _("Find")),
                   (guide.says, guide.text), label=_("guide"))


def _context(guide: guides.Guide, drawn: OnePage) -> dict[str, Any]:
    # Markup in a guide is the author's own, as in any Markdown; a strict content policy stops what could run.
    markdown = Markdown(extensions=["tables", "def_list", "sane_lists"], output_format="html")
    made = []
    for kind, text, words in guides.parts(guide):
        if kind == "drawing":
            made.append(Markup("<figure>{}<figcaption>{}</figcaption></figure>").format(drawn.drawing(text), words))
        else:
            made.append(Markup(markdown.reset().convert(text)))
    return {"guide": guide, "parts": made}
