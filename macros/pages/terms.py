"""Words of the glossary in a page's running text: where each first occurs it becomes a link to its entry.

Links are put into the finished HTML, and nothing else in it changes by a byte.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from html import escape, unescape

from macros.model import Word

#: Text that is read, as against what is touched, looked at or said aloud.
RUNNING = frozenset({"p", "dd", "li"})

#: Elements in which no word is linked, whatever stands around them. None of them holds another of its name.
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
        pieces, at, seen = [], 0, set()
        for start, text in _running(html):
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


#: A comment, a tag (its slash, name, attributes), as our own templates and Markdown write them: no ``>`` stands in an attribute
#: without quotation marks, and a ``<`` that is text is written ``&lt;``.
_TAG = re.compile(r"""<!.*?>|<(/?)([a-zA-Z][\w:-]*)((?:[^>"']|"[^"]*"|'[^']*')*)>""", re.DOTALL)
_CLASS = re.compile(r"""\sclass=(?:"([^"]*)"|'([^']*)')""")


def _running(html: str) -> Iterator[tuple[int, str]]:
    """The running text of a page as (offset, text), just as it stands in the HTML."""
    open_: list[tuple[str, bool, bool]] = []  # tag, never, running
    at = 0
    while found := _TAG.search(html, at):
        if found.start() > at and open_ and open_[-1][1:] == (False, True):
            yield at, html[at:found.start()]
        slash, tag, attributes = found.groups()
        at = found.end()
        if slash:
            if open_ and open_[-1][0] == tag:
                open_.pop()
        elif tag in NEVER:
            end = html.find(f"</{tag}>", at)
            at = len(html) if end < 0 else end + len(tag) + 3
        elif tag is not None and tag not in _VOID and not attributes.endswith("/"):
            _tag, never, running = open_[-1] if open_ else ("", False, False)
            named = None if never else _CLASS.search(attributes)
            never = never or named is not None and not NEVER_CLASSES.isdisjoint((named[1] or named[2] or "").split())
            open_.append((tag, never, running or tag in RUNNING))
