"""A page for each guide in prose, its drawings beside the text."""

import posixpath
import re
from collections.abc import Iterator
from functools import partial
from typing import Any
from urllib.parse import urlsplit
from xml.etree.ElementTree import Element

from markdown import Markdown
from markdown.extensions.toc import slugify, unique
from markdown.treeprocessors import Treeprocessor
from markupsafe import Markup

from macros import guides
from macros.pages.drawings import OnePage
from macros.pages.site import Link, Page, Place, Site
from macros.words import _


FOLDER = "guides"


def pages(site: Site) -> Iterator[Page]:
    """A page for each guide."""
    found, _problems = guides.read(site.handbook)
    for guide in found.values():
        yield Page(f"{FOLDER}/{guide.id}/", "guide", guide.title, partial(_context, guide), Link("find/", _("Find")),
                   partial(_places, guide), label=_("guide"), told=site.handbook.synonyms.guides.get(guide.id, ()))


def _places(guide: guides.Guide) -> Iterator[Place]:
    """The text as it is read, heading by heading, with the ids that the headings have on the page."""
    used: set[str] = set()
    for part in re.split(r"^(?=##+ )", guide.text, flags=re.MULTILINE):
        head, text = "", part
        if part.startswith("##"):
            head, _newline, text = part.lstrip("# ").partition("\n")
            head = head.strip()
        anchor = unique(slugify(head, "-"), used) if head else ""
        text = re.sub(r"!\[([^\]\n]*)\]\([^)\n]*\)", r"\1.", text)
        yield Place(head, Markup(_markdown().convert(text)).striptags(), anchor)


def _context(guide: guides.Guide, drawn: OnePage) -> dict[str, Any]:
    markdown = _markdown()
    made = []
    for kind, text, words in guides.parts(guide):
        if kind == "drawing":
            made.append(Markup("<figure>{}<figcaption>{}</figcaption></figure>").format(drawn.drawing(text), words))
        else:
            made.append(Markup(markdown.reset().convert(text)))
    return {"guide": guide, "parts": made}


def _markdown() -> Markdown:
    """Reads a guide's prose. HTML in it is shown as text; links lead on from where the guide's page stands."""
    markdown = Markdown(extensions=["tables", "def_list", "sane_lists", "toc"], output_format="html")
    markdown.preprocessors.deregister("html_block")
    markdown.inlinePatterns.deregister("html")
    markdown.treeprocessors.register(_Links(markdown), "links", 0)
    return markdown


class _Links(Treeprocessor):
    """A link is written as from the guide's file, `../procedures/ID/`; its page stands one folder deeper."""

    def run(self, root: Element) -> None:
        for link in root.iter("a"):
            link.set("href", moved(link.get("href", "")))


def moved(href: str) -> str:
    """A link in the file guides/ID.md as it stands in the page guides/ID/."""
    parts = urlsplit(href)
    if parts.scheme or parts.netloc or not parts.path:
        return href
    path = posixpath.normpath(posixpath.join(FOLDER, parts.path))
    slash = "/" if parts.path.endswith("/") and path != "." else ""
    return parts._replace(path=f"../../{'' if path == '.' else path}{slash}").geturl()
