"""Words of the glossary in a page's running text: where each first occurs it becomes a link to its entry.

Links are put into the finished HTML, and nothing else in it changes by a byte.
"""

import re
from collections.abc import Iterable, Mapping
from html import escape, unescape
from html.parser import HTMLParser

from macros.model import Word

#: Text that is read, as against what is touched, looked at or said aloud.
RUNNING = frozenset({"p", "dd", "li"})

#: Elements in which no word is linked, whatever stands around them.
NEVER = frozenset({
    "a", "button", "code", "dt", "form", "h1", "h2", "h3", "h4", "h5", "h6", "kbd", "label", "pre", "script", "select", "style",
    "summary", "svg", "template", "textarea", "th",
})

#: Classes of elements in which no word is linked: safety messages, the machine's state, formulas, small print, names of
#: machines, the chart whose lines are laid out in columns, and what the scripts of the page lay out again.
NEVER_CLASSES = frozenset({"safety", "state", "sum", "small", "names", "calc", "chart", "answer", "path", "links"})

_VOID = frozenset({"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"})


class Terms:
    """The words of a glossary, ready to be found."""

    def __init__(self, words: Mapping[str, Word]):
        self.ids: dict[str, str] = {}
        for id, word in words.items():
            for text in (word.title, *word.also):
                self.ids.setdefault(_plain(text), id)
        # Longer ones first: in "recovery tank" it is not the tank that is meant.
        ways = sorted(self.ids, key=lambda text: (-len(text), text))
        found = "|".join(r"\s+".join(map(_spelled, text.split())) for text in ways)
        self.pattern = re.compile(rf"(?<![\w&#-])(?:{found})(?![\w-])", re.IGNORECASE) if found else None

    def id(self, text: str) -> str:
        """The id of the word that is written as `text` in HTML. Raises: KeyError."""
        return self.ids[_plain(unescape(text))]

    def linked(self, html: str, glossary: str) -> str:
        """The page `html` with the first occurrence of each word linked; `glossary` is the way to the glossary."""
        if self.pattern is None:
            return html
        texts = _Running(html).texts
        pieces, at, seen = [], 0, set()
        for start, text in texts:
            for found in self.pattern.finditer(text):
                id = self.id(found[0])
                if id in seen:
                    continue
                seen.add(id)
                begin, end = start + found.start(), start + found.end()
                pieces += [html[at:begin], f'<a class="term" href="{escape(glossary)}#{id}">', html[begin:end], "</a>"]
                at = end
        return "".join([*pieces, html[at:]])

    def inside(self, text: str) -> Iterable[str]:
        """The ids of the words in a plain text, each once."""
        found = self.pattern.finditer(escape(text)) if self.pattern else ()
        return dict.fromkeys(self.id(one[0]) for one in found)


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


#: How characters that HTML escapes may stand in a page: templates and Markdown do not write all of them alike.
_ESCAPED = {"&": "&amp;", "<": "&lt;", ">": "(?:>|&gt;)", "'": "(?:'|&#39;|&#x27;)", '"': '(?:"|&#34;|&quot;)'}


def _spelled(word: str) -> str:
    return "".join(_ESCAPED.get(character) or re.escape(character) for character in word)


class _Running(HTMLParser):
    """Collects the running text of a page as (offset, text), just as it stands in the HTML."""

    def __init__(self, html: str):
        super().__init__(convert_charrefs=False)
        self.texts: list[tuple[int, str]] = []
        self._open: list[tuple[str, bool, bool]] = []  # tag, never, running
        self._html, self._from = html, -1
        self._lines = [0, *(found.end() for found in re.finditer("\n", html))]
        self.feed(html)
        self.close()
        self._end(len(html))

    def _place(self) -> int:
        line, column = self.getpos()
        return self._lines[line - 1] + column

    def _begin(self) -> None:
        if self._from < 0 and self._open and self._open[-1][1:] == (False, True):
            self._from = self._place()

    def _end(self, place: int) -> None:
        if self._from >= 0:
            self.texts.append((self._from, self._html[self._from:place]))
            self._from = -1

    def handle_data(self, data: str) -> None:
        self._begin()

    def handle_entityref(self, name: str) -> None:
        self._begin()

    def handle_charref(self, name: str) -> None:
        self._begin()

    def handle_comment(self, data: str) -> None:
        self._end(self._place())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._end(self._place())
        if tag in _VOID:
            return
        _tag, never, running = self._open[-1] if self._open else ("", False, False)
        if not never:
            named = next((value or "" for name, value in attrs if name == "class"), "")
            never = tag in NEVER or not NEVER_CLASSES.isdisjoint(named.split())
        self._open.append((tag, never, running or tag in RUNNING))

    def handle_endtag(self, tag: str) -> None:
        self._end(self._place())
        if self._open and self._open[-1][0] == tag:
            self._open.pop()
