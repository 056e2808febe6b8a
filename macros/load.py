"""YAML files of the content -> nodes that know their place.

The text of every scalar is kept as it was written: what a value means is the model's business, so
``no``, ``1.10`` or ``12:30`` never turn into something else. Only the plain part of YAML is taken: no
aliases, tags or second documents, no key twice, within limits of size, depth and number of nodes.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

import yaml

from macros.problems import At, Place, Problem
from macros.words import _

MOST_BYTES = 1_000_000
MOST_DEPTH = 24
MOST_NODES = 60_000

#: What no page can show: control characters, halves of pairs, and characters whose meaning is private.
_UNSHOWN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ue000-\uf8ff]")

#: What YAML's core schema calls null where it stands without quotes.
_NOTHING = frozenset({"", "~", "null", "Null", "NULL"})

#: The fast parser where PyYAML was built with it; both read the same language.
LOADERS = {"fast": getattr(yaml, "CLoader", yaml.Loader), "plain": yaml.Loader}


_NO_ENTRIES: "Mapping[str, tuple[Place, Node]]" = MappingProxyType({})


@dataclass(slots=True, init=False)
class Node:
    """A scalar (`text`), a list (`items`) or a mapping (`entries`: key -> key's place, value).

    `void` marks a scalar that YAML itself calls nothing: left empty, or ``~`` or ``null`` without quotes.
    """

    at: Place
    kind: str
    text: str
    void: bool
    items: "Sequence[Node]"
    entries: "Mapping[str, tuple[Place, Node]]"

    def __init__(self, at: Place, kind: str, text: str = "", void: bool = False, items: "Sequence[Node]" = (),
                 entries: "Mapping[str, tuple[Place, Node]]" = _NO_ENTRIES):
        self.at, self.kind, self.text, self.void, self.items, self.entries = at, kind, text, void, items, entries

    def plain(self):
        """The node as plain Python: text, list, dict."""
        if self.kind == "text":
            return self.text
        if self.kind == "list":
            return [item.plain() for item in self.items]
        return {key: value.plain() for key, (_at, value) in self.entries.items()}

    def says(self) -> str:
        """What was found, in a few words."""
        if self.kind == "text":
            return f'"{self.text[:60]}"' if self.text and not self.void else _("nothing")
        return _("a list") if self.kind == "list" else _("a mapping")


class _Refused(Exception):
    def __init__(self, problem: Problem):
        super().__init__(str(problem))
        self.problem = problem


def load(path: Path, name: str, parser: str = "fast", raw: bytes | None = None) -> tuple[Node | None, list[Problem]]:
    """The file's root node and its problems; `name` is the file's name in problems, `raw` its bytes where they have
    been read. Raises nothing."""
    start = At(name)
    if raw is not None:
        return _decoded(raw, name, parser)
    try:
        if not path.is_file():
            return None, [
                Problem(start, "file", _("this is not a file"), _("a text file"), _("rename or move it"))
            ]
        if path.stat().st_size > MOST_BYTES:
            return None, [
                Problem(
                    start,
                    "file-size",
                    _("the file is larger than {most} bytes").format(most=MOST_BYTES),
                    _("a content file is small"),
                    _("part it into several"),
                )
            ]
        raw = path.read_bytes()
    except OSError as error:
        return None, [
            Problem(
                start,
                "file",
                _("the file cannot be read: {why}").format(why=error.strerror or error),
                _("a readable file"),
            )
        ]
    return _decoded(raw, name, parser)


def _decoded(raw: bytes, name: str, parser: str) -> tuple[Node | None, list[Problem]]:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        return None, [
            Problem(
                At(name, line),
                "encoding",
                _("bytes that are not UTF-8"),
                _("text in UTF-8"),
                _("save the file with the encoding UTF-8"),
            )
        ]
    return parse(text, name, parser)


def parse(text: str, name: str, parser: str = "fast") -> tuple[Node | None, list[Problem]]:
    """Parse YAML text; see `load`."""
    builder = _Builder(name)
    try:
        # A text with no such character has none in its values either, but for what an escape (\u0007) stands for.
        doubtful = _UNSHOWN.search(text) is not None or "\\" in text
        builder.take(LOADERS[parser](text).get_event, doubtful)
    except _Refused as refused:
        return None, [*builder.problems, refused.problem]
    except yaml.MarkedYAMLError as error:
        return None, [*builder.problems, _syntax(error, name, text)]
    except (yaml.YAMLError, RecursionError, ValueError, OverflowError) as error:
        return None, [*builder.problems, _unreadable(error, name, text)]
    if builder.root is None:
        return None, [Problem(At(name), "empty", _("the file is empty"), _("a mapping of names to values"))]
    return builder.root, builder.problems


def _syntax(error: yaml.MarkedYAMLError, name: str, text: str) -> Problem:
    at = error.problem_mark or error.context_mark
    place = At(name, at.line + 1, at.column + 1) if at else At(name)
    lines = text.splitlines()
    source = lines[place.line - 1] if place.line <= len(lines) else ""
    hint = _("check the indentation, and quote a text that holds a colon")
    if "\t" in source[: len(source) - len(source.lstrip())] or "\\t" in str(error.problem):
        hint = _("indent with spaces, not with tabs")
    return Problem(
        place,
        "syntax",
        _("YAML cannot be read here: {why}").format(why=error.problem or error.context),
        "",
        hint,
    )


def _unreadable(error: Exception, name: str, text: str) -> Problem:
    position = getattr(error, "position", None)
    line = text.count("\n", 0, position) + 1 if isinstance(position, int) else 1
    return Problem(
        At(name, line),
        "syntax",
        _("YAML cannot be read here: {why}").format(
            why=str(getattr(error, "reason", "") or error).splitlines()[0]
            if str(error)
            else type(error).__name__
        ),
        "",
        _("take out characters that cannot be printed"),
    )


_Scalar, _List, _Map, _Alias, _Document = (
    yaml.ScalarEvent, yaml.SequenceStartEvent, yaml.MappingStartEvent, yaml.AliasEvent, yaml.DocumentStartEvent)
_ENDS = frozenset({yaml.SequenceEndEvent, yaml.MappingEndEvent})


class _Builder:
    """Nodes from the parser's events."""

    def __init__(self, name: str):
        self.name = name
        self.root: Node | None = None
        self.problems: list[Problem] = []
        self._documents = 0

    def take(self, next_event: Callable[[], yaml.Event | None], doubtful: bool) -> None:
        """Take every event; a large handbook has half a million of them, so that nothing is asked for twice here.

        `doubtful`: values may hold what cannot be shown.
        """
        name, count = self.name, 0
        within: list[tuple[Node | None, tuple[Place, str] | None]] = []  # what holds the present holder, outermost first
        holder: Node | None = None
        key: tuple[Place, str] | None = None  # of the mapping `holder`, where its value comes next
        while (event := next_event()) is not None:
            kind = type(event)
            if kind in _ENDS:
                holder, key = within.pop()
                continue
            mark = event.start_mark
            at = name, mark.line + 1, mark.column + 1
            if kind is not _Scalar and kind is not _List and kind is not _Map:
                self._other(event, kind, at)
                continue
            if event.anchor or event.tag:
                raise self._named(event, at)
            count += 1
            if count > MOST_NODES or len(within) >= MOST_DEPTH:
                raise self._refuse(at, "file-size", _("too many or too deeply nested values"), _("part the file"))
            if kind is _Scalar:
                text = event.value
                # A plain "~" or "null" keeps the word that was written; that it means nothing is noted beside it.
                void = text in _NOTHING and event.implicit[0]
                if doubtful and _UNSHOWN.search(text):
                    text = self._readable(text, at)
                text = text.strip()
                if key is None and holder is not None and holder.kind == "map":
                    key = at, text
                    continue
                node = Node(at, "text", text, void)
            else:
                node = Node(at, "list", items=[]) if kind is _List else Node(at, "map", entries={})
            if holder is None:
                self.root = node
            elif holder.kind == "list":
                holder.items.append(node)
            elif key is None:
                raise self._refuse(
                    at, "key", _("a key that is {found}").format(found=node.says()), _("keys are plain words"))
            else:
                if key[1] in holder.entries:
                    self._twice(key, holder.entries[key[1]][0])
                else:
                    holder.entries[key[1]] = (key[0], node)
                key = None
            if kind is not _Scalar:
                within.append((holder, key))
                holder, key = node, None

    def _twice(self, key: tuple[Place, str], first: Place) -> None:
        """The problem of a key that its mapping has already."""
        self.problems.append(
            Problem(
                key[0],
                "duplicate-key",
                _('the key "{key}" stands twice, first in line {line}').format(key=key[1][:60], line=first[1]),
                _("each key once"),
                _("take one of them out"),
            )
        )

    def _other(self, event: yaml.Event, kind: type, at: Place) -> None:
        """An event that makes no node."""
        if kind is _Alias:
            raise self._refuse(
                at,
                "alias",
                _("an alias (*{name})").format(name=event.anchor),
                _("write the value out where it is needed"),
            )
        if kind is _Document:
            self._documents += 1
            if self._documents > 1:
                raise self._refuse(
                    at, "document", _("a second document (---)"), _("keep one document in a file")
                )

    def _named(self, event: yaml.Event, at: Place) -> _Refused:
        """The problem of a value that has an anchor or a tag."""
        if event.anchor:
            return self._refuse(
                at,
                "alias",
                _("an anchor (&{name})").format(name=event.anchor),
                _("write the value out where it is needed"),
            )
        return self._refuse(at, "tag", _("a tag ({tag})").format(tag=event.tag), _("take the tag out"))

    def _readable(self, text: str, at: Place) -> str:
        """A text with what no page can show taken out, and refused; an escape may stand for it."""
        bad = _UNSHOWN.search(text)
        self.problems.append(
            Problem(
                at,
                "characters",
                _("a character that cannot be shown: {code}").format(code=f"U+{ord(bad[0]):04X}"),
                _("text that can be read"),
                _("take it out"),
            )
        )
        return _UNSHOWN.sub(" ", text.replace("\n", " ").replace("\t", " "))

    def _refuse(self, at: Place, rule: str, found: str, hint: str) -> _Refused:
        return _Refused(Problem(at, rule, found, _("plain YAML"), hint))
