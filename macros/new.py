"""``new``: a procedure, machine, part or symptom to begin with, which passes ``check`` as it comes.

What is new is written, the whole content is checked, and where that finds a problem which was not there before,
everything is put back as it was.
"""

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from macros.check import load_and_check
from macros.console import Stop, command
from macros.fields import ID
from macros.hover import SAYS
from macros.load import Node, load
from macros.model import FIGURES, Handbook
from macros.problems import meant
from macros.schema_files import first_line
from macros.words import _

TRIES = 5
"""How often a person is asked again for a name that there is not."""

KINDS = ("procedure", "machine", "part", "symptom")


@dataclass(frozen=True)
class Wanted:
    """What the command line says of the new thing; what it leaves out is asked for, or taken from the content."""

    kind: str
    id: str
    title: str = ""
    group: str = ""
    number: str = ""
    machine: str = ""
    procedure: str = ""
    drawing: str = ""


def make(wanted: Wanted, content: Path, ask: Callable[[str, str], str] | None = None) -> list[Path]:
    """Write the new thing; the files written. `ask` gets a question and a proposal and returns the answer.

    Raises: Stop with one line when it cannot be done; nothing is changed then.
    """
    if not ID.fullmatch(wanted.id):
        raise Stop(_('"{id}" is not an id: small letters, digits and hyphens, such as '
                     'renew-lid-seal.').format(id=wanted.id), 2)
    handbook, problems = load_and_check(content)
    if handbook is None:
        raise Stop(_("The content in {folder} cannot be read; see: {command}").format(
            folder=content, command=command("check", content)))
    writer = _Writer(wanted, handbook, content, ask or _as_given)
    before = {(p.file, p.rule, p.found) for p in problems}
    for texts in getattr(writer, wanted.kind)():
        kept = {path: path.read_bytes() if path.exists() else None for path in texts}
        for path, text in texts.items():
            path.write_bytes(text.encode())
        after = [p for p in load_and_check(content)[1] if (p.file, p.rule, p.found) not in before]
        if not after:
            return list(texts)
        for path, raw in kept.items():
            path.unlink() if raw is None else path.write_bytes(raw)
    raise Stop(_("Nothing was written, since check would say: {problem}").format(problem=after[0]))


def on_terminal(question: str, proposal: str) -> str:
    """Ask the person at the terminal; where there is none the proposal is taken."""
    if not sys.stdin.isatty():
        return proposal
    try:
        return input(f"{question} [{proposal}]: ").strip() or proposal
    except EOFError:
        return proposal


def _as_given(question: str, proposal: str) -> str:
    return proposal


class _Writer:
    """The texts of one new thing; each method yields what to try, the fuller text first."""

    def __init__(self, wanted: Wanted, handbook: Handbook, content: Path, ask: Callable[[str, str], str]):
        self.wanted, self.handbook, self.content, self.ask = wanted, handbook, content, ask
        self.title = wanted.title or ask(_("Title"), wanted.id.replace("-", " ").capitalize())

    def procedure(self) -> Iterator[dict[Path, str]]:
        path = self._free("procedures")
        group = self._one("group", _("Heading"), self.handbook.groups)
        safe = self.handbook.procedures.get("make-safe")
        leaves = safe.steps[-1].leaves if safe is not None and safe.steps else {}
        for begin in (True, False) if leaves else (False,):
            yield {path: "\n".join([
                first_line(f"procedures/{path.name}"),
                f"title: {_quoted(self.title)}", f"group: {group}",
                "achieves: " + _("Says in one sentence what is better afterwards."), "minutes: 5",
                *(["first: [make-safe]"] if begin else []),
                "steps:",
                "  # - part: A            " + _("a heading among the steps"),
                "  # - message: ID        " + _("a safety message of hazards.yml, before the steps that need it"),
                "  - id: look", "    do: " + _("Look at the machine"),
                "    text: " + _("Write short orders here. If something must be so first, say it before a comma."),
                "    look_for: " + _("what shows that it came out well"),
                "    # hands: [ZONE]      " + _("every zone of hazards.yml where hands go"),
                "    # sets: {key: out}   " + _("what the step does to the machine"),
                *(["    leaves: {" + ", ".join(f"{name}: {value}" for name, value in leaves.items()) + "}"] if begin
                  else []),
                "    minutes: 5",
                "done_when: " + _("the machine is in order"),
                f"reviewed: {self.handbook.date}", ""])}

    def machine(self) -> Iterator[dict[Path, str]]:
        path = self._free("machines")
        lines = [first_line(f"machines/{path.name}"), f"title: {_quoted(self.title)}",
                 "kind: " + self.ask(_("Kind, such as ride-on"), "walk-behind"),
                 "# " + _("Figures that calculators take: fill in what is known and take the # away.")]
        for section, figures in FIGURES.items():
            lines.append(f"# {section}:")
            lines += [f"#   {name}:  # " + _(SAYS[section][name]) + f" {kind.words()}" for name,
                      kind in figures.items()]
        yield {path: "\n".join([*lines, ""])}

    def part(self) -> Iterator[dict[Path, str]]:
        self._unknown(self.handbook.parts)
        path = self.content / "parts.yml"
        machine = self._one("machine", _("Machine that it is fitted to"), self.handbook.machines)
        number = self.wanted.number or self.ask(_("Number"), self.wanted.id.upper())
        entry = [f"  {self.wanted.id}:", f"    title: {_quoted(self.title)}", f"    number: {_quoted(number)}",
                 "    does: " + _("Says in one sentence what it does."), "    worn_when: " + _("It is worn out."),
                 "    unit: " + _("piece")]
        fitted = self.content / "machines" / f"{machine}.yml"
        yield {path: self._added(path, "parts", entry), fitted: self._fitted(fitted)}

    def symptom(self) -> Iterator[dict[Path, str]]:
        self._unknown(self.handbook.symptoms)
        path = self.content / "symptoms.yml"
        procedure = self._one("procedure", _("Procedure that mends it"), self.handbook.procedures)
        floors = [one.drawing for one in self.handbook.symptoms.values()] or list(self.handbook.drawings)
        drawing = self._one("drawing", _("Drawing of the floor"), dict.fromkeys([*floors, *self.handbook.drawings]))
        cause = "{{title: {title}, share: 1, mends: {procedure}, minutes: 10}}"
        yield {path: self._added(path, "symptoms", [
            f"  {self.wanted.id}:", f"    title: {_quoted(self.title)}", "    where: " + _("where it is seen"),
            f"    drawing: {drawing}", "    means: " + _("Says in one sentence what it means."),
            "    first_test: " + _("Look at the floor."), f"    go: [{procedure}]",
            "    causes:", "      first-cause: " + cause.format(title=_("the first cause"), procedure=procedure),
            "      other-cause: " + cause.format(title=_("the other cause"), procedure=procedure),
            "    checks:", "      first-check:", "        title: " + _("Look at the floor"), "        minutes: 1",
            f"        go: {procedure}",
            "        results: {seen: " + _("it is seen") + ", not-seen: " + _("it is not seen") + "}",
            "        likely:", "          first-cause: {seen: 90, not-seen: 10}",
            "          else: {seen: 10, not-seen: 90}"])}

    # ---- what all need ----

    def _one(self, name: str, question: str, known: dict) -> str:
        """The id that is wanted, asked for, or the first there is. Raises: Stop."""
        if not known:
            raise Stop(_("The content has no {kind} yet: make one first.").format(kind=name))
        given = getattr(self.wanted, name)
        one = given or self.ask(question, next(iter(known)))
        for _again in range(TRIES):
            if one in known:
                return one
            says = _('There is no {kind} "{id}". {hint}').format(kind=name, id=one, hint=meant(one, list(known)))
            if given:
                break
            one = self.ask(f"{says}\n{question}", next(iter(known)))
        raise Stop(says, 2)

    def _free(self, folder: str) -> Path:
        path = self.content / folder / f"{self.wanted.id}.yml"
        if path.exists() or path.is_symlink():
            raise Stop(_("{file} is there already; choose another id.").format(file=path), 2)
        path.parent.mkdir(exist_ok=True)
        return path

    def _unknown(self, known: dict) -> None:
        if self.wanted.id in known:
            raise Stop(_('The id "{id}" is taken; choose another.').format(id=self.wanted.id), 2)

    def _root(self, path: Path) -> tuple[Node, list[str], str]:
        node, problems = load(path, path.name)
        if node is None or node.kind != "map" or problems:
            raise Stop(_("{file} cannot be read; see: {command}").format(
                file=path, command=command("check", self.content)))
        text = path.read_bytes().decode("utf-8-sig")
        return node, text.splitlines(), "\r\n" if "\r\n" in text else "\n"

    def _added(self, path: Path, key: str, entry: list[str]) -> str:
        """The file's text with an entry at the end of the mapping under `key`."""
        node, lines, end = self._root(path)
        (_file, line, _column), held = node.entries.get(key, (node.at, node))
        _file, first, column = min((place for place, _value in held.entries.values()), default=("", line, 0))
        if key not in node.entries or first == line:
            raise Stop(_("{file}: give each entry of {key} lines of its own first.").format(file=path, key=key))
        stop = min((next_one - 1 for (_file, next_one, _column), _value in node.entries.values() if next_one > line),
                   default=len(lines))
        while stop > first and (not lines[stop - 1].strip() or lines[stop - 1].startswith("#")):
            stop -= 1
        deeper = " " * (column - 1 - 2)
        return end.join([*lines[:stop], *(deeper + line for line in entry), *lines[stop:], ""])

    def _fitted(self, path: Path) -> str:
        """The machine's text with the new part among its parts."""
        node, lines, end = self._root(path)
        held = node.entries.get("parts")
        if held is None:
            return end.join([*lines, f"parts: [{self.wanted.id}]", ""])
        if not held[1].items:
            raise Stop(_("{file}: name a part under parts first.").format(file=path))
        _file, number, column = held[1].items[-1].at
        line = lines[number - 1]
        before, word = line[:column - 1], line[column - 1:]
        if before.strip() == "-":
            lines.insert(number, before + self.wanted.id)
        else:
            length = len(held[1].items[-1].text) + 2 * (word[:1] in "\"'")
            lines[number - 1] = before + word[:length] + f", {self.wanted.id}" + word[length:]
        return end.join([*lines, ""])


def _quoted(text: str) -> str:
    """A text as YAML takes it on one line."""
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return text if text.replace(" ", "").replace("-", "").isalnum() and text[:1].isalpha() else f'"{plain}"'
