"""A page's HTML as a tree, read with the standard library: enough to ask what stands where."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"area", "base", "br", "col", "hr", "img", "input", "link", "meta", "source", "wbr"}


def squeezed(text: str) -> str:
    """As a browser shows it: runs of spaces and lines are one space."""
    return re.sub(r"[ \t\r\n]+", " ", text).strip(" ")


@dataclass
class Element:
    """An element: tag, attributes, what stands in it (elements and texts), its parent, its place in the page."""

    tag: str
    attributes: dict[str, str]
    parent: "Element | None"
    place: int
    children: "list[Element | str]" = field(default_factory=list)

    def get(self, name: str, otherwise: str = "") -> str:
        return self.attributes.get(name, otherwise)

    @property
    def classes(self) -> set[str]:
        return set(self.get("class").split())

    def all(self, wanted: "Callable[[Element], bool]" = lambda _element: True) -> "Iterator[Element]":
        """Every element inside that is wanted, in the order of the page."""
        for child in self.children:
            if isinstance(child, Element):
                if wanted(child):
                    yield child
                yield from child.all(wanted)

    def with_class(self, name: str) -> "list[Element]":
        return list(self.all(lambda element: name in element.classes))

    def tags(self, *names: str) -> "list[Element]":
        return list(self.all(lambda element: element.tag in names))

    @property
    def text(self) -> str:
        """All text inside, with single spaces; narrow and no-break spaces stay."""
        return squeezed("".join(self._texts()))

    def _texts(self) -> Iterator[str]:
        for child in self.children:
            if isinstance(child, str):
                yield child
            elif child.tag not in ("script", "template"):
                yield from child._texts()


class _Builder(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Element("", {}, None, 0)
        self.here = self.root
        self.number = 0
        self.faults: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _value in attrs]
        if len(names) != len(set(names)):
            self.faults.append(f"an attribute stands twice in {self.get_starttag_text()}")
        self.number += 1
        made = Element(tag, {name: value or "" for name, value in attrs}, self.here, self.number)
        self.here.children.append(made)
        if tag not in VOID:
            self.here = made

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.here = self.here.parent or self.root

    def handle_endtag(self, tag: str) -> None:
        if tag in VOID:
            return
        if tag != self.here.tag:
            self.faults.append(f"</{tag}> at {self.getpos()} closes <{self.here.tag}>")
            return
        self.here = self.here.parent or self.root

    def handle_data(self, data: str) -> None:
        self.here.children.append(data)


def parse(html: str) -> Element:
    """The tree of a page or a part of one. Every element must be closed, by its own end tag, in its order."""
    builder = _Builder()
    builder.feed(html)
    builder.close()
    if builder.here is not builder.root:
        builder.faults.append(f"<{builder.here.tag}> is not closed")
    assert not builder.faults, builder.faults
    return builder.root
