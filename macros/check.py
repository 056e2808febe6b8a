"""A content folder -> the handbook, and every problem of every file at once.

``python -m macros.check DIR`` prints the problems; ``handbook.py check`` is the same with more choices.
"""

import sys
from collections.abc import Iterator
from dataclasses import fields as dataclass_fields
from pathlib import Path
from typing import Any

from macros import model
from macros.fields import ID, Reading, build, declared
from macros.load import Node, load
from macros.problems import At, Problem, meant
from macros.words import _

#: The files that a content folder holds, each with its type.
FILES = {
    "handbook.yml": model.HandbookHead, "hazards.yml": model.Hazards, "parts.yml": model.Parts,
    "tools.yml": model.Tools, "symptoms.yml": model.Symptoms,
}
FOLDERS = ("machines", "procedures")
MOST_FILES = 20_000


def load_and_check(content: Path, parser: str = "fast") -> tuple[model.Handbook | None, list[Problem]]:
    """The handbook in the folder `content`, and its problems in file order.

    The handbook is None when a file that everything rests on cannot be read. `parser` is "fast" or
    "plain" (see `macros.load`). Raises nothing for any content.
    """
    from macros.rules import every_rule

    loading = _Loading(Path(content), parser)
    handbook = loading.handbook()
    problems = loading.problems
    if handbook is not None:
        for rule in every_rule():
            problems += rule(handbook)
    return handbook, sorted(dict.fromkeys(problems), key=lambda p: (_file_order(p.file), p.line, p.column))


def _file_order(name: str) -> tuple[int, str]:
    order = list(FILES)
    return (order.index(Path(name).name) if Path(name).name in order else len(order), name)


class _Loading:
    """Reads the files one by one and collects problems."""

    def __init__(self, content: Path, parser: str):
        self.content, self.parser = content, parser
        self.root = content.resolve()
        self.problems: list[Problem] = []

    def name(self, path: Path) -> str:
        """A file as problems name it: the content folder's name and the path inside it."""
        return f"{self.root.name}/{path.relative_to(self.content).as_posix()}"

    def handbook(self) -> model.Handbook | None:
        """Read everything; None where handbook.yml or hazards.yml cannot be read."""
        if not self.content.is_dir():
            self._missing(self.content.name + "/", _("a folder of content, with handbook.yml"))
            return None
        read = {name: self._file(name, cls) for name, cls in FILES.items()}
        machines = {path.stem: machine for path, node in self._folder("machines")
                    if (machine := self._machine(node, path.stem))}
        procedures = {path.stem: procedure for path, node in self._folder("procedures")
                      if (procedure := self._procedure(node, path.stem))}
        self._strangers()
        if read["handbook.yml"] is None or read["hazards.yml"] is None:
            return None
        return model.Handbook(
            head=read["handbook.yml"], hazards=read["hazards.yml"],
            parts=self._named(read["parts.yml"], "parts"), tools=self._named(read["tools.yml"], "tools"),
            symptoms=self._named(read["symptoms.yml"], "symptoms"), machines=machines, procedures=procedures,
            root=self.content, drawings=self._drawings())

    def _missing(self, name: str, what: str) -> None:
        self.problems.append(Problem(At(name), "missing-file", _("the file is missing"),
                                     _("expected {what}").format(what=what), _("add it")))

    def _inside(self, path: Path) -> bool:
        """Whether a file is in the content folder, links followed; a link that leads out is refused."""
        if path.resolve().is_relative_to(self.root):
            return True
        self.problems.append(Problem(At(self.name(path)), "outside", _("the file is a link that leads out of the content"),
                                     _("content stays in its own folder"), _("copy the file into it")))
        return False

    def _node(self, path: Path) -> Node | None:
        if not self._inside(path):
            return None
        node, problems = load(path, self.name(path), self.parser)
        self.problems += problems
        return node

    def _build(self, cls: type, node: Node) -> Any:
        reading = Reading()
        made = build(cls, node, reading)
        self.problems += reading.problems
        return made

    def _file(self, name: str, cls: type) -> Any:
        path = self.content / name
        if not path.exists():
            self._missing(f"{self.root.name}/{name}", _("a mapping with {names}").format(names=", ".join(declared(cls))))
            return None
        node = self._node(path)
        return None if node is None else self._build(cls, node)

    @staticmethod
    def _named(holder: Any, what: str) -> dict[str, Any]:
        held = {key: value for key, value in (getattr(holder, what, None) or {}).items() if value is not None}
        for key, value in held.items():
            value.id = key
        return held

    def _folder(self, name: str) -> Iterator[tuple[Path, Node]]:
        folder = self.content / name
        if not folder.is_dir():
            self._missing(f"{self.root.name}/{name}/", _("a folder with one file for each"))
            return
        paths = sorted(folder.glob("*.yml"))[:MOST_FILES]
        if not paths:
            self._missing(f"{self.root.name}/{name}/", _("at least one file"))
        for path in paths:
            if not ID.fullmatch(path.stem):
                self.problems.append(Problem(At(self.name(path)), "file-name", _("the file's name is not an id"),
                                             _("small letters, digits and hyphens, then .yml"), _("rename the file")))
            node = self._node(path)
            if node is not None:
                yield path, node

    def _machine(self, node: Node, name: str) -> model.Machine | None:
        head, rest = _part(node, {**declared(model.MachineHead), **dict.fromkeys(model.FIGURES)}, model.FIGURES)
        made = self._build(model.MachineHead, head)
        reading = Reading()
        figures: dict[str, dict[str, Any]] = {}
        places = dict(made.places)
        for section, (at, value) in rest.items():
            places[section] = at
            figures[section] = self._figures(section, value, reading, places)
        self.problems += reading.problems
        return model.Machine(**_values(made), at=made.at, places=places, figures=figures, id=name)

    def _figures(self, section: str, node: Node, reading: Reading, places: dict[str, At]) -> dict[str, Any]:
        known = model.FIGURES[section]
        if node.kind != "map":
            reading.refuse(node.at, "type", _("found {found}").format(found=node.says()),
                           _("expected {what}").format(what=_("a mapping with {names}").format(names=", ".join(known))))
            return {}
        made = {}
        for key, (at, value) in node.entries.items():
            if key not in known:
                reading.refuse(at, "unknown-key", _('found the unknown key "{key}"').format(key=key[:60]), "",
                               meant(key, list(known)))
                continue
            before = len(reading.problems)
            known[key].read(value, reading, places, f"{section}/{key}")
            if len(reading.problems) == before:
                made[key] = value.plain()
        return made

    def _procedure(self, node: Node, name: str) -> model.Procedure | None:
        head, rest = _part(node, {**declared(model.ProcedureHead), "steps": None}, ("steps",))
        made = self._build(model.ProcedureHead, head)
        items: list = []
        if "steps" not in rest:
            self.problems.append(Problem(node.at, "missing-key", _('the key "{key}" is missing').format(key="steps"),
                                         _("expected {what}").format(what=_("a list of steps"))))
        elif rest["steps"][1].kind != "list":
            steps = rest["steps"][1]
            self.problems.append(Problem(steps.at, "type", _("found {found}").format(found=steps.says()),
                                         _("expected {what}").format(what=_("a list of steps"))))
        else:
            items = [self._item(item) for item in rest["steps"][1].items]
        procedure = model.Procedure(**_values(made), at=made.at, places=made.places,
                                    items=tuple(item for item in items if item is not None), id=name)
        if not procedure.steps and "steps" in rest:
            self.problems.append(Problem(rest["steps"][0], "no-steps", _("the procedure has no step"),
                                         _("at least one step with id, do and text")))
        return procedure

    def _item(self, node: Node) -> Any:
        if node.kind == "map":
            keys = set(node.entries)
            if keys == {"part"}:
                return self._renamed(model.Heading, node, {"part": "title"})
            if keys == {"message"}:
                return self._build(model.Placed, node)
            step = self._renamed(model.Step, node, {}, ("calculator",))
            if step.calculator is not None:
                given = step.calculator.given if isinstance(step.calculator.given, dict) else {}
                step.calculator = model.Use(id=step.calculator.id, inputs=given, at=step.calculator.at,
                                            places=step.calculator.places)
            return step
        self.problems.append(Problem(node.at, "type", _("found {found}").format(found=node.says()),
                                     _("expected a step, or a mapping with part or message alone")))
        return None

    def _renamed(self, cls: type, node: Node, names: dict[str, str], inner: tuple[str, ...] = ()) -> Any:
        """Build where a word of YAML is not a name of Python: part -> title, with -> given."""
        entries = {names.get(key, key): value for key, value in node.entries.items()}
        for key in inner:
            at_value = entries.get(key)
            if at_value and at_value[1].kind == "map" and "with" in at_value[1].entries:
                value = at_value[1]
                renamed = {("given" if k == "with" else k): v for k, v in value.entries.items()}
                entries[key] = (at_value[0], Node(value.at, "map", entries=renamed))
        return self._build(cls, Node(node.at, "map", entries=entries))

    def _drawings(self) -> dict[str, Path]:
        folder = self.content / "drawings"
        return {path.stem: path for path in sorted(folder.glob("*.svg")) if self._inside(path)} if folder.is_dir() else {}

    def _strangers(self) -> None:
        """YAML files that no part of the model reads: a wrong name would be silently without effect."""
        for path in sorted(self.content.rglob("*.y*ml"))[:MOST_FILES]:
            inside = path.relative_to(self.content)
            known = path.suffix == ".yml" and (
                str(inside) in FILES or len(inside.parts) == 2 and inside.parts[0] in FOLDERS)
            if not known and not any(part.startswith(".") for part in inside.parts):
                self.problems.append(Problem(
                    At(self.name(path)), "stranger", _("nothing reads this file"),
                    _("content files are {names}, and one file each in {folders}").format(
                        names=", ".join(FILES), folders=", ".join(f"{f}/" for f in FOLDERS)),
                    meant(str(inside), list(FILES)) or _("rename or move it")))


def _part(node: Node, known: dict, taken) -> tuple[Node, dict[str, tuple[At, Node]]]:
    """A mapping parted into the entries that a class reads and those in `taken`."""
    if node.kind != "map":
        return node, {}
    head = {key: value for key, value in node.entries.items() if key not in taken}
    return Node(node.at, "map", entries=head), {key: node.entries[key] for key in node.entries if key in taken}


def _values(made: Any) -> dict[str, Any]:
    return {f.name: getattr(made, f.name) for f in dataclass_fields(made) if "type" in f.metadata}


def main(arguments: list[str]) -> int:
    """Print the problems of a content folder; 0 when there are none."""
    content = Path(arguments[0] if arguments else "content")
    _handbook, problems = load_and_check(content)
    for problem in problems:
        print(problem.with_source(content.resolve().parent))
    print(_("{number} problems").format(number=len(problems)))
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
