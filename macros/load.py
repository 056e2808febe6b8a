"""YAML files of the content -> nodes that know their place.

The text of every scalar is kept as it was written: what a value means is the model's business, so
``no``, ``1.10`` or ``12:30`` never turn into something else. Only the plain part of YAML is taken: no
aliases, tags or second documents, no key twice, within limits of size, depth and number of nodes.
"""

import re
from dataclasses import dataclass, field
from pathlib import Path

import yaml

from macros.problems import At, Problem
from macros.words import _

MOST_BYTES = 1_000_000
MOST_DEPTH = 24
MOST_NODES = 60_000

#: What no page can show: control characters, halves of pairs, and characters whose meaning is private.
_UNSHOWN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ue000-\uf8ff]")

#: What YAML's core schema calls null where it stands without quotes.
_NOTHING = ("", "~", "null", "Null", "NULL")

#: The fast parser where PyYAML was built with it; both read the same language.
LOADERS = {"fast": getattr(yaml, "CLoader", yaml.Loader), "plain": yaml.Loader}


@dataclass(slots=True)
class Node:
    """A scalar (`text`), a list (`items`) or a mapping (`entries`: key -> key's place, value).

    `void` marks a scalar that YAML itself calls nothing: left empty, or ``~`` or ``null`` without quotes.
    """

    at: At
    kind: str
    text: str = ""
    void: bool = False
    items: "list[Node]" = field(default_factory=list)
    entries: "dict[str, tuple[At, Node]]" = field(default_factory=dict)

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


def load(path: Path, name: str, parser: str = "fast") -> tuple[Node | None, list[Problem]]:
    """The file's root node and its problems; `name` is the file's name in problems. Raises nothing."""
    start = At(name)
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
        for event in yaml.parse(text, Loader=LOADERS[parser]):
            builder.take(event)
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


_VALUES = frozenset({yaml.ScalarEvent, yaml.SequenceStartEvent, yaml.MappingStartEvent})
_ENDS = frozenset({yaml.SequenceEndEvent, yaml.MappingEndEvent})


class _Builder:
    """Nodes from the parser's events."""

    def __init__(self, name: str):
        self.name = name
        self.root: Node | None = None
        self.problems: list[Problem] = []
        self._open: list[Node] = []
        self._keys: list[tuple[At, str] | None] = []
        self._count = 0
        self._documents = 0

    def take(self, event) -> None:
        kind, mark = type(event), event.start_mark
        at = At(self.name, mark.line + 1, mark.column + 1)
        if kind in _VALUES:
            self._start(event, at)
        elif kind in _ENDS:
            self._open.pop()
            self._keys.pop()
        elif kind is yaml.AliasEvent:
            raise self._refuse(
                at,
                "alias",
                _("an alias (*{name})").format(name=event.anchor),
                _("write the value out where it is needed"),
            )
        elif kind is yaml.DocumentStartEvent:
            self._documents += 1
            if self._documents > 1:
                raise self._refuse(
                    at, "document", _("a second document (---)"), _("keep one document in a file")
                )

    def _start(self, event, at: At) -> None:
        if event.anchor:
            raise self._refuse(
                at,
                "alias",
                _("an anchor (&{name})").format(name=event.anchor),
                _("write the value out where it is needed"),
            )
        if event.tag:
            raise self._refuse(at, "tag", _("a tag ({tag})").format(tag=event.tag), _("take the tag out"))
        self._count += 1
        if self._count > MOST_NODES or len(self._open) >= MOST_DEPTH:
            raise self._refuse(at, "file-size", _("too many or too deeply nested values"), _("part the file"))
        if type(event) is yaml.ScalarEvent:
            # A plain "~" or "null" keeps the word that was written; that it means nothing is noted beside it.
            node = Node(at, "text", text=self._readable(event.value, at).strip(),
                        void=event.implicit[0] and event.value in _NOTHING)
        else:
            node = Node(at, "list" if type(event) is yaml.SequenceStartEvent else "map")
        self._place(node)
        if node.kind != "text":
            self._open.append(node)
            self._keys.append(None)

    def _readable(self, text: str, at: At) -> str:
        """The text; an escape in it may stand for what no page can show, which is refused."""
        bad = _UNSHOWN.search(text)
        if bad is None:
            return text
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

    def _place(self, node: Node) -> None:
        if not self._open:
            self.root = node
            return
        parent = self._open[-1]
        if parent.kind == "list":
            parent.items.append(node)
        elif self._keys[-1] is None:
            if node.kind != "text":
                raise self._refuse(
                    node.at,
                    "key",
                    _("a key that is {found}").format(found=node.says()),
                    _("keys are plain words"),
                )
            self._keys[-1] = (node.at, node.text)
        else:
            key_at, key = self._keys[-1]
            self._keys[-1] = None
            if key in parent.entries:
                first = parent.entries[key][0]
                self.problems.append(
                    Problem(
                        key_at,
                        "duplicate-key",
                        _('the key "{key}" stands twice, first in line {line}').format(
                            key=key[:60], line=first.line
                        ),
                        _("each key once"),
                        _("take one of them out"),
                    )
                )
                return
            parent.entries[key] = (key_at, node)

    def _refuse(self, at: At, rule: str, found: str, hint: str) -> _Refused:
        return _Refused(Problem(at, rule, found, _("plain YAML"), hint))
