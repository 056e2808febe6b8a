"""A content folder -> the handbook as read, with the problems of reading it; rules come after (`check`)."""

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from dataclasses import fields as dataclass_fields
from pathlib import Path
from typing import Any

from macros import model
from macros.fields import ID, Reading, build, declared, unknown_key
from macros.load import Node, load
from macros.problems import At, Problem, meant, printable
from macros.words import _

#: The files that a content folder holds, each with its type.
FILES = {
    "handbook.yml": model.HandbookHead,
    "hazards.yml": model.Hazards,
    "parts.yml": model.Parts,
    "tools.yml": model.Tools,
    "symptoms.yml": model.Symptoms,
    "glossary.yml": model.Glossary,
    "words.yml": model.Wording,
    "synonyms.yml": model.Synonyms,
}
#: Files that a content folder need not have.
OPTIONAL = ("words.yml", "synonyms.yml")
FOLDERS = ("machines", "procedures")
MOST_FILES = 20_000

#: Kinds of ids that stand in a file: under which key, and what kind of id.
HOLDS = {
    "handbook.yml": {"groups": "group", "language": "language"},
    "hazards.yml": {"state": "state", "zones": "zone", "messages": "message", "running": "running"},
    "parts.yml": {"parts": "part"},
    "tools.yml": {"tools": "tool"},
    "symptoms.yml": {"symptoms": "symptom"},
    "glossary.yml": {},  # no other file names a word by its id
    "words.yml": {},
    "synonyms.yml": {},
}


@dataclass
class Folder:
    """What was found in a content folder; `whole` when the two files that all rests on could be read."""

    handbook: model.Handbook | None = None
    whole: bool = False
    problems: list[Problem] = field(default_factory=list)


def read(content: Path, parser: str = "fast") -> Folder:
    """Read a content folder. Raises nothing: what cannot be read is a problem.

    Files that cannot be read are stood in for, so that the rest can still be checked; what they would
    have held is noted in `Handbook.unread`. No handbook at all comes of what is not a folder.
    """
    reading = _Reading(content, parser)
    try:
        handbook = reading.handbook()
    except (
        OSError,
        RuntimeError,
        ValueError,
    ) as error:  # no permission, links in a ring, a name with a zero byte
        reading.refuse(
            content.name or str(content),
            "file",
            _("the folder cannot be read: {why}").format(why=getattr(error, "strerror", None) or error),
            _("a folder that can be read"),
        )
        handbook = None
    whole = handbook is not None and not any(
        kind == "file" and name in ("handbook.yml", "hazards.yml") for kind, name in handbook.unread
    )
    return Folder(handbook, whole, reading.problems)


def form(kind: str, node: Node) -> list[Problem]:
    """The problems of one file's form, rules aside; `kind` is ``machine``, ``procedure`` or the name of one of `FILES`."""
    reading = _Reading(Path(), "fast")
    if kind in FILES:
        reading._build(FILES[kind], node)
    else:
        (reading._machine if kind == "machine" else reading._procedure)(node, "")
    return reading.problems


class _Reading:
    """Reads the files one by one and collects problems."""

    def __init__(self, content: Path, parser: str):
        self.content, self.parser = content, parser
        self.problems: list[Problem] = []
        self.unread: set[tuple[str, str]] = set()
        self.root = content

    def name(self, path: Path) -> str:
        """A file as problems name it: the content folder's name and the path inside it."""
        return printable(f"{self.root.name}/{path.relative_to(self.content).as_posix()}")

    def refuse(self, name: str, rule: str, found: str, expected: str, hint: str = "") -> None:
        self.problems.append(Problem(At(printable(name)), rule, found, expected, hint))

    def handbook(self) -> model.Handbook | None:
        self.root = self.content.resolve()
        if not self.content.is_dir():
            self.refuse(
                f"{self.content.name or self.content}/",
                "missing-file",
                _("the folder is missing"),
                _("expected {what}").format(what=_("a folder of content, with handbook.yml")),
                _("add it"),
            )
            return None
        self._links_and_strangers()
        read = {name: self._file(name, cls) for name, cls in FILES.items()}
        machines = {
            path.stem: self._machine(node, path.stem) for path, node in self._folder("machines", "machine")
        }
        procedures = {
            path.stem: self._procedure(node, path.stem)
            for path, node in self._folder("procedures", "procedure")
        }
        return model.Handbook(
            head=read["handbook.yml"],
            hazards=read["hazards.yml"],
            parts=_named(read["parts.yml"].parts),
            tools=_named(read["tools.yml"].tools),
            symptoms=_named(read["symptoms.yml"].symptoms),
            machines=machines,
            procedures=procedures,
            words=_named(read["glossary.yml"].words),
            wording=read["words.yml"],
            synonyms=read["synonyms.yml"],
            allowed=tuple(one for held in (*read.values(), *machines.values(), *procedures.values())
                          for one in getattr(held, "allow", ()) if one is not None),
            root=self.content,
            drawings=self._drawings(),
            unread=frozenset(self.unread),
        )

    # ---- files ----

    def _inside(self, path: Path) -> bool:
        """Whether a path, links followed, is in the content folder and leads to something."""
        try:
            return path.resolve().is_relative_to(self.root) and path.exists()
        except (OSError, RuntimeError):
            return False

    def _links_and_strangers(self) -> None:
        """Links that lead out of the content, and YAML files that no part of the model reads."""
        paths = [
            Path(folder, name)
            for folder, folders, files in os.walk(self.content)
            for name in (*folders, *files)
        ]
        for path in sorted(paths)[:MOST_FILES]:
            inside = path.relative_to(self.content)
            if path.is_symlink() and not self._inside(path):
                self.refuse(
                    self.name(path),
                    "outside",
                    _("this is a link that leads out of the content, or nowhere"),
                    _("content stays in its own folder"),
                    _("copy what it points at into the folder"),
                )
            elif path.suffix in (".yml", ".yaml") and not any(part.startswith(".") for part in inside.parts):
                self._stranger(path, inside)

    def _stranger(self, path: Path, inside: Path) -> None:
        if inside.suffix == ".yml" and (
            str(inside) in FILES or len(inside.parts) == 2 and inside.parts[0] in FOLDERS
        ):
            return
        self.refuse(
            self.name(path),
            "stranger",
            _("nothing reads this file"),
            _("content files are {names}, and one file each in {folders}").format(
                names=", ".join(FILES), folders=", ".join(f"{f}/" for f in FOLDERS)
            ),
            meant(str(inside), list(FILES)) or _("rename or move it"),
        )

    def _node(self, path: Path) -> Node | None:
        if not self._inside(path):
            return None
        node, problems = load(path, self.name(path), self.parser)
        self.problems += problems
        return node

    def _build(self, cls: type, node: Node, also: tuple[str, ...] = ()) -> Any:
        reading = Reading()
        made = build(cls, node, reading, also=also)
        self.problems += reading.problems
        return made

    def _file(self, name: str, cls: type) -> Any:
        """One of `FILES`; where it cannot be read an empty one stands in, and what it holds is unread."""
        path, node = self.content / name, None
        if name in OPTIONAL and not path.exists() and not path.is_symlink():
            return cls()
        if path.exists() or path.is_symlink():
            node = self._node(path)
        else:
            self.refuse(
                f"{self.root.name}/{name}",
                "missing-file",
                _("the file is missing"),
                _("expected {what}").format(
                    what=_("a mapping with {names}").format(names=", ".join(declared(cls)))
                ),
                _("add it"),
            )
        entries = node.entries if node is not None else {}
        if node is None or node.kind != "map":
            self.unread.add(("file", name))
        self.unread |= {
            (kind, "")
            for key, kind in HOLDS[name].items()
            if key in declared(cls)
            and (key not in entries or entries[key][1].kind != "map")
            and (node is None or key != "language")
        }
        before = len(self.problems)
        made = cls() if node is None else self._build(cls, node)
        if len(self.problems) > before:
            self.unread.add(("figures", name))
        return made

    def _folder(self, name: str, kind: str) -> Iterator[tuple[Path, Node]]:
        folder = self.content / name
        paths = sorted(folder.glob("*.yml"))[:MOST_FILES] if folder.is_dir() else []
        if not paths:
            self.unread.add((kind, ""))
            self.refuse(
                f"{self.root.name}/{name}/",
                "missing-file",
                _("there is no file in this folder"),
                _("a folder with one file for each"),
                _("add it"),
            )
        for path in paths:
            if not ID.fullmatch(path.stem):
                self.refuse(
                    self.name(path),
                    "file-name",
                    _("the file's name is not an id"),
                    _("small letters, digits and hyphens, then .yml"),
                    _("rename the file"),
                )
            node = self._node(path)
            if node is None:
                self.unread.add((kind, path.stem))
            else:
                yield path, node

    def _drawings(self) -> dict[str, Path]:
        folder = self.content / "drawings"
        paths = sorted(folder.glob("*.svg"))[:MOST_FILES] if folder.is_dir() else []
        return {path.stem: path for path in paths if path.is_file() and self._inside(path)}

    # ---- machines and procedures ----

    def _machine(self, node: Node, name: str) -> model.Machine:
        head, rest = _part(node, model.FIGURES)
        made = self._build(model.MachineHead, head, tuple(model.FIGURES))
        reading = Reading()
        figures: dict[str, dict[str, Any]] = {}
        places = dict(made.places)
        for section, (at, value) in rest.items():
            places[section] = at
            figures[section] = _figures(section, value, reading, places)
        self.problems += reading.problems
        return model.Machine(**_values(made), at=made.at, places=places, figures=figures, id=name)

    def _procedure(self, node: Node, name: str) -> model.Procedure:
        head, rest = _part(node, ("steps",))
        made = self._build(model.ProcedureHead, head, ("steps",))
        items: list[Any] = []
        if node.kind == "map":
            at, steps = rest.get("steps", (node.at, None))
            if steps is None:
                self.problems.append(
                    Problem(
                        at,
                        "missing-key",
                        _('the key "{key}" is missing').format(key="steps"),
                        _("expected {what}").format(what=_("a list of steps")),
                    )
                )
            elif steps.kind != "list":
                self.problems.append(
                    Problem(
                        steps.at,
                        "type",
                        _("found {found}").format(found=steps.says()),
                        _("expected {what}").format(what=_("a list of steps")),
                    )
                )
            else:
                items = [item for item in map(self._item, steps.items) if item is not None]
                if not any(isinstance(item, model.Step) for item in items):
                    self.problems.append(
                        Problem(
                            at,
                            "no-steps",
                            _("the procedure has no step"),
                            _("at least one step with id, do and text"),
                        )
                    )
        return model.Procedure(**_values(made), at=made.at, places=made.places, items=tuple(items), id=name)

    def _item(self, node: Node) -> Any:
        """A heading (part), a safety message, or a step; one key alone is meant for one of the first two."""
        if node.kind != "map":
            self.problems.append(
                Problem(
                    node.at,
                    "type",
                    _("found {found}").format(found=node.says()),
                    _("expected a step, or a mapping with part or message alone"),
                )
            )
            return None
        keys = list(node.entries)
        for key, cls in (("part", model.Heading), ("message", model.Placed)):
            if keys == [key]:
                return self._build(cls, node)
            if key in keys:
                self.problems.append(
                    Problem(
                        node.entries[key][0],
                        "item",
                        _("{key} stands together with {others}").format(
                            key=key, others=", ".join(other[:60] for other in keys if other != key)
                        ),
                        _("part and message stand alone, each an item of its own"),
                        _("put it on a line before the step"),
                    )
                )
                return None
        if len(keys) == 1 and keys[0] not in declared(model.Step):
            reading = Reading()
            unknown_key(
                reading, keys[0], node.entries[keys[0]][0], ("part", "message", *declared(model.Step))
            )
            self.problems += reading.problems
            return None
        return self._build(model.Step, node)


def _part(node: Node, taken: Any) -> tuple[Node, dict[str, tuple[At, Node]]]:
    """A mapping parted into the entries that a class reads and those in `taken`."""
    if node.kind != "map":
        return node, {}
    head = {key: value for key, value in node.entries.items() if key not in taken}
    return Node(node.at, "map", entries=head), {
        key: node.entries[key] for key in node.entries if key in taken
    }


def _values(made: Any) -> dict[str, Any]:
    return {f.name: getattr(made, f.name) for f in dataclass_fields(made) if "type" in f.metadata}


def _named(held: dict[str, Any]) -> dict[str, Any]:
    for key, value in held.items():
        value.id = key
    return held


def _figures(section: str, node: Node, reading: Reading, places: dict[str, At]) -> dict[str, Any]:
    """The figures of one section that are right, as text just as they were written."""
    known = model.FIGURES[section]
    if node.kind != "map":
        reading.refuse(
            node.at,
            "type",
            _("found {found}").format(found=node.says()),
            _("expected {what}").format(what=_("a mapping with {names}").format(names=", ".join(known))),
        )
        return {}
    made = {}
    for key, (at, value) in node.entries.items():
        if key not in known:
            unknown_key(reading, key, at, known)
            continue
        before = len(reading.problems)
        known[key].read(value, reading, places, f"{section}/{key}")
        if len(reading.problems) == before:
            made[key] = value.plain()
    return made
