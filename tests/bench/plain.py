"""The peer of pages, search and build: the same words as plain pages of Material for MkDocs, and nothing else.

A page of the handbook becomes Markdown: headings, paragraphs, lists; drawings, forms and signs are left out. The worked
example is marked, so that both pages are timed by the same sight. The navigation is flat, as MkDocs makes it of a folder
of pages, or in sections of 50 and pruned, which is the theme's own advice for large sites.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path

SECTION = 50
"""Pages in a section of the pruned navigation."""

WORKED = "worked"
"""The id of the worked example's paragraph."""

_HEADS = {f"h{level}": "#" * level + " " for level in range(1, 5)}
_BLOCKS = {*_HEADS, "p", "li", "dt", "dd", "td", "th", "summary", "figcaption", "div", "section", "tr", "label", "button", "dl"}
_LEFT_OUT = {"svg", "script", "style", "option", "select"}
_MARKUP = str.maketrans({one: f"\\{one}" for one in "\\`*_{}[]<>#|"})


@dataclass(frozen=True)
class Plain:
    """A page as Markdown, and its name in the site."""

    name: str
    title: str
    text: str


class _Reader(HTMLParser):
    """Takes the words out of the part of a page that is the page's own."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.lines: list[str] = []
        self._inside = 0  # depth of elements since the page's own part began
        self._silent = 0
        self._words: list[str] = []
        self._head = ""
        self._worked = False
        self._answer = False

    _VOID = {"br", "img", "input", "link", "meta", "hr", "col", "wbr"}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if given.get("id") == "main":
            self._inside = 1
        elif self._inside and tag not in self._VOID:
            self._inside += 1
        if tag in _LEFT_OUT:
            self._silent += 1
        if tag in _BLOCKS:
            self._end_line()
            self._head = _HEADS.get(tag, "- " if tag == "li" else "")
        self._answer = self._answer or given.get("class") == "answer"
        if self._answer and given.get("class") == "says" and not self._worked:
            self._worked = True
            self._head = "!"

    def handle_endtag(self, tag: str) -> None:
        if tag in _BLOCKS:
            self._end_line()
        if tag in _LEFT_OUT:
            self._silent -= 1
        if self._inside and tag not in self._VOID:
            self._inside -= 1

    def handle_data(self, data: str) -> None:
        if self._inside and not self._silent:
            self._words.append(data)

    def _end_line(self) -> None:
        words = " ".join("".join(self._words).split()).translate(_MARKUP)
        if words:
            marked = self._head == "!"
            self.lines.append(f"{'' if marked else self._head}{words}" + (f"\n{{: #{WORKED} }}" if marked else ""))
        self._words, self._head = [], ""


def page(name: str, html: str) -> Plain:
    """A page of the handbook as a plain one."""
    reader = _Reader()
    reader.feed(html)
    title = next((line[2:] for line in reader.lines if line.startswith("# ")), name)
    text = "\n\n".join(reader.lines)
    if WORKED not in text:
        text += f"\n\nEnd of the page.\n{{: #{WORKED} }}"
    return Plain(name, title, text + "\n")


def pages(site: Path, under: str = "procedures") -> Iterator[Plain]:
    """The pages of a built handbook below the folder `under`, by name."""
    for file in sorted((site / under).glob("*/index.html")):
        yield page(file.parent.name, file.read_text("utf-8"))


def as_many(given: list[Plain], number: int) -> Iterator[Plain]:
    """`number` pages: those given, then the same again with a number in their names and titles."""
    for at in range(number):
        one, again = given[at % len(given)], at // len(given)
        if not again:
            yield one
        else:
            yield Plain(f"{one.name}-{again}", f"{one.title} {again}", one.text.replace(f"# {one.title}", f"# {one.title} {again}", 1))


def write(folder: Path, given: Iterator[Plain], pruned: bool) -> int:
    """Write a plain site's source into `folder`, with its mkdocs.yml. Returns how many pages it has."""
    shutil.rmtree(folder, ignore_errors=True)
    docs = folder / "docs"
    docs.mkdir(parents=True)
    (docs / "index.md").write_text("# Handbook\n\nPlain pages.\n", "utf-8")
    number = 0
    for number, one in enumerate(given, 1):
        place = docs / f"section-{(number - 1) // SECTION + 1:03}" if pruned else docs
        place.mkdir(exist_ok=True)
        (place / f"{one.name}.md").write_text(one.text, "utf-8")
    features = "\n  features: [navigation.prune]" if pruned else ""
    (folder / "mkdocs.yml").write_text(
        f"site_name: Handbook\ntheme:\n  name: material\n  font: false{features}\nplugins: [search]\n"
        "markdown_extensions: [attr_list]\n", "utf-8")
    return number


def build(folder: Path) -> Path:
    """Build the plain site in `folder` with MkDocs. Returns the built site."""
    subprocess.run([sys.executable, "-m", "mkdocs", "build", "--quiet", "--clean"], cwd=folder, check=True,
                   env={**os.environ, "NO_MKDOCS_2_WARNING": "1"})
    return folder / "site"


def address(site: Path, name: str) -> str:
    """Where a page of the built plain site is, relative to it."""
    return next(iter(site.rglob(f"{name}/index.html"))).parent.relative_to(site).as_posix() + "/"
