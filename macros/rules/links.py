"""Links and pictures in prose stay in the content and lead to files that are there; pictures have words."""

import re
from collections.abc import Collection, Iterator
from pathlib import Path
from urllib.parse import unquote

from calculators import REGISTER
from macros.fields import KINDS
from macros.load import MOST_BYTES
from macros.model import Handbook
from macros.problems import At, Problem, meant, printable
from macros.words import _

#: The target of a link or picture in Markdown, of a reference, and of the same in HTML.
_TARGET = re.compile(
    r"""\]\(\s*<?([^)<>\s]+)|^\s*\[[^\]]+\]:\s*<?([^<>\s]+)|(?:src|href)\s*=\s*["']([^"']*)["']"""
)
#: A picture without words: nothing between the square brackets, or HTML without an alt that says something.
_WORDLESS = re.compile(r"""!\[\s*\]\(|<img\b(?![^>]*\balt\s*=\s*["']?[^"'\s>])""")
_ELSEWHERE = re.compile(r"[a-zA-Z][a-zA-Z0-9+.-]*:|//")


def check(handbook: Handbook) -> list[Problem]:
    """Problems for links out of the content, links to nothing, and pictures from another host."""
    root = handbook.root.resolve()
    problems = []
    for path in sorted(handbook.root.rglob("*.md")):
        if path.is_file() and path.resolve().is_relative_to(root):
            problems += _prose(
                path, root, printable(f"{root.name}/{path.relative_to(handbook.root).as_posix()}"), handbook
            )
    return problems


def _prose(path: Path, root: Path, name: str, handbook: Handbook) -> Iterator[Problem]:
    try:
        text = path.read_bytes()[:MOST_BYTES].decode("utf-8", "replace")
    except OSError as error:
        yield Problem(
            At(name),
            "file",
            _("the file cannot be read: {why}").format(why=error.strerror or error),
            _("a readable file"),
        )
        return
    for number, line in enumerate(text.splitlines(), 1):
        for found in _WORDLESS.finditer(line):
            yield Problem(At(name, number, found.start() + 1), "picture-words", _("a picture without words"),
                          _("what it shows, for those who cannot see it"),
                          _("write it between the square brackets: ![what it shows](...)"))
        for found in _TARGET.finditer(line):
            group = found.lastindex or 1
            at = At(name, number, found.start(group) + 1)
            yield from _target(
                found[group], line[max(0, found.start() - 80) : found.start(group)], path, root, at, handbook
            )


def _target(
    target: str, before: str, path: Path, root: Path, at: At, handbook: Handbook
) -> Iterator[Problem]:
    if _ELSEWHERE.match(target):
        if re.search(r"!\[[^\]]*\]\(\s*<?$|src\s*=\s*[\"']$", before):
            yield Problem(
                at,
                "outside",
                _('a picture from elsewhere: "{target}"').format(target=target[:80]),
                _("pictures stand in the content: the handbook asks no other host for anything"),
                _("put the file into the content"),
            )
        return
    plain = unquote(target.split("#")[0].split("?")[0])
    if not plain:
        return
    try:
        aim = (root / plain.lstrip("/") if plain.startswith("/") else path.parent / plain).resolve()
        there = aim.exists()
    except (OSError, ValueError, RuntimeError):
        aim, there = root, False
    if not aim.is_relative_to(root):
        yield Problem(
            at,
            "outside",
            _('"{target}" leads out of the content').format(target=target[:80]),
            _("content stays in its own folder"),
            _("copy the file into the content and name it there"),
        )
    elif plain.endswith("/"):  # a page that is made, such as ../procedures/ID/, is no file
        anchor = unquote(target.partition("#")[2])
        yield from _page(aim.relative_to(root).parts, anchor, at, handbook)
    elif not there:
        yield Problem(
            at,
            "missing-file",
            _('"{target}" is not there').format(target=target[:80]),
            _("a file of the content"),
            _("mend the path"),
        )


#: Pages of which there is one each.
SINGLE = ("find", "formulas", "glossary", "licences", "new", "saved", "tools", "trust", "visit", "visits")


def _page(parts: tuple[str, ...], anchor: str, at: At, handbook: Handbook) -> Iterator[Problem]:
    """A link to a page that is made: it names something that there is, and of a procedure a step that it has."""
    kinds: dict[str, tuple[str, Collection[str]]] = {
        "procedures": ("procedure", handbook.procedures),
        "machines": ("machine", handbook.machines),
        "parts": ("part", handbook.parts),
        "seen": ("symptom", handbook.symptoms),
        "guides": ("guide", [path.stem for path in (handbook.root / "guides").glob("*.md")]),
        "calculators": ("calculator", REGISTER),
    }
    folder, *rest = parts or ("",)
    if folder not in kinds:
        if folder and folder not in SINGLE:
            known = [*kinds, *SINGLE]
            yield Problem(at, "missing-file", _('there is no page "{name}"').format(name=folder[:80]), "",
                          meant(folder, known))
        return
    if not rest:
        return
    to, known = kinds[folder]
    if rest[0] not in known:
        if not handbook.may_be(to, rest[0]):
            yield Problem(at, f"unknown-{to}", _('"{name}" is not {what}').format(name=rest[0][:80], what=_(KINDS[to])), "",
                          meant(rest[0], known))
    elif to == "procedure" and anchor.startswith("step-"):
        steps = [step.id for step in handbook.procedures[rest[0]].steps]
        step = anchor.removeprefix("step-")
        if step not in steps:
            yield Problem(at, "unknown-step", _('"{name}" is not {what}').format(name=step[:80], what=_(KINDS["step"])), "",
                          meant(step, steps))
