"""A content folder -> the handbook as read, with the problems of reading it; rules come after (`check`)."""

import hashlib
import os
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

from macros import bodies, kept, model, stored
from macros.fields import ID, Standing, declared
from macros.load import MOST_BYTES, Node, load
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


def read(content: Path, parser: str = "fast", meanwhile: Callable[[], None] = lambda: None) -> Folder:
    """Read a content folder; `meanwhile` is done while other cores read. Raises nothing: what cannot be read is a problem.

    Files that cannot be read are stood in for, so that the rest can still be checked; what they would
    have held is noted in `Handbook.unread`. No handbook at all comes of what is not a folder.
    """
    reading = _Reading(content, parser)
    try:
        handbook = reading.handbook(meanwhile)
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
    problems: list[Problem] = []
    if kind in FILES:
        bodies.built(FILES[kind], node, problems)
    else:
        (bodies.machine if kind == "machine" else bodies.procedure)(node, "", problems)
    return problems


Make = Callable[[Node, str, list[Problem]], Any]
_Read = tuple[Any, list[Problem], set[tuple[str, str]]]


class _Looked(NamedTuple):
    """A file, the name under which what is read of it is kept (none: not at all), and its bytes where they can be read."""

    path: Path
    what: str
    raw: bytes | None


class _Reading:
    """Reads the files one by one and collects problems."""

    def __init__(self, content: Path, parser: str):
        self.content, self.parser = content, parser
        self.problems: list[Problem] = []
        self.unread: set[tuple[str, str]] = set()
        self.root = content
        self._raw: dict[Path, bytes] = {}
        self._folders: dict[Path, bool] = {}

    def name(self, path: Path) -> str:
        """A file as problems name it: the content folder's name and the path inside it."""
        return printable(f"{self.root.name}/{path.relative_to(self.content).as_posix()}")

    def refuse(self, name: str, rule: str, found: str, expected: str, hint: str = "") -> None:
        self.problems.append(Problem(At(printable(name)), rule, found, expected, hint))

    def handbook(self, meanwhile: Callable[[], None]) -> model.Handbook | None:
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
        procedures = self._begin("procedures", "procedure", bodies.procedure)  # beside what comes next
        meanwhile()
        self._links_and_strangers()
        read = {name: self._file(name, cls) for name, cls in FILES.items()}
        machines = dict(self._begin("machines", "machine", bodies.machine)())
        procedures = dict(procedures())
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
            if path.is_symlink():
                return path.resolve().is_relative_to(self.root) and path.exists()
            if path.parent not in self._folders:  # asked once for all files in it
                self._folders[path.parent] = path.parent.resolve().is_relative_to(self.root)
            return self._folders[path.parent] and path.exists()
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
        raw = self._raw.get(path)
        if raw is None and not self._inside(path):
            return None
        node, problems = load(path, self.name(path), self.parser, raw)
        self.problems += problems
        return node

    def _look(self, path: Path) -> "_Looked":
        """What the file `path` is at this moment."""
        raw = None
        try:
            if self._inside(path):
                found = path.stat()
                if stat.S_ISREG(found.st_mode) and found.st_size <= MOST_BYTES:
                    raw = path.read_bytes()
            if raw is not None:
                state = hashlib.sha256(raw).hexdigest()
            else:
                state = "" if path.exists() or path.is_symlink() else "missing"
        except OSError:
            state = ""
        return _Looked(path, f"{self.parser} {path} {self.name(path)} {state}" if state else "", raw)

    def _once(self, looked: "_Looked", make: Callable[["_Reading"], Any]) -> "_Read":
        """What `make` makes of a file, which it reads with a reading of its own, with the problems and with what is left
        unread; not again while the file stays as it is."""
        def fresh() -> _Read:
            own = _Reading(self.content, self.parser)
            own.root = self.root
            if looked.raw is not None:
                own._raw[looked.path] = looked.raw  # what is read is what was looked at, should another write it meanwhile
            return make(own), own.problems, own.unread

        if not looked.what:
            return fresh()
        read = kept.kept(looked.what, (), fresh, lasting=True)
        if read[0] is not None:
            kept.mark(read[0], looked.what)
        return read

    def _file(self, name: str, cls: type) -> Any:
        """One of `FILES`; where it cannot be read an empty one stands in, and what it holds is unread."""
        looked = self._look(self.content / name)
        made, problems, unread = self._once(looked, lambda own: own._made(name, cls))
        for key, held in vars(made).items() if looked.what else ():
            for id, one in held.items() if isinstance(held, dict) else ():
                if isinstance(one, Standing):
                    kept.mark(one, f"{looked.what} {key}/{id}")
        self.problems += problems
        self.unread |= unread
        return made

    def _made(self, name: str, cls: type) -> Any:
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
        made = cls() if node is None else bodies.built(cls, node, self.problems)
        if len(self.problems) > before:
            self.unread.add(("figures", name))
        return made

    def _begin(self, name: str, kind: str, make: Make) -> Callable[[], Iterator[tuple[str, Any]]]:
        """Begin to read a folder's files, on the other cores where there are many. What is returned gives the id and what `make` makes
        of each file that can be read."""
        folder = self.content / name
        looked = [self._look(path) for path in sorted(folder.glob("*.yml"))[:MOST_FILES]] if folder.is_dir() else []
        missing = [one for one in looked if one.what and kept.is_missing(one.what, ())]
        begun = stored.begin([[partial(self._body, one, kind, make)] for one in missing])

        def read() -> Iterator[tuple[str, Any]]:
            for one, (found, packed) in zip(missing, begun(), strict=True):
                kept.put(one.what, (), found, packed)
            return self._read(name, kind, make, looked)

        return read

    def _read(self, name: str, kind: str, make: Make, looked: "list[_Looked]") -> Iterator[tuple[str, Any]]:
        """Id and what `make` makes of each file of a folder, with the problems of all."""
        if not looked:
            self.unread.add((kind, ""))
            self.refuse(
                f"{self.root.name}/{name}/",
                "missing-file",
                _("there is no file in this folder"),
                _("a folder with one file for each"),
                _("add it"),
            )
        for one in looked:
            path = one.path
            made, problems, unread = self._body(one, kind, make)
            if not ID.fullmatch(path.stem):
                self.refuse(
                    self.name(path),
                    "file-name",
                    _("the file's name is not an id"),
                    _("small letters, digits and hyphens, then .yml"),
                    _("rename the file"),
                )
            self.problems += problems
            self.unread |= unread
            if made is not None:
                yield path.stem, made

    def _body(self, looked: "_Looked", kind: str, make: Make) -> "_Read":
        path = looked.path

        def fresh(own: "_Reading") -> Any:
            node = own._node(path)
            if node is None:
                own.unread.add((kind, path.stem))
                return None
            return make(node, path.stem, own.problems)

        return self._once(looked, fresh)

    def _drawings(self) -> dict[str, Path]:
        folder = self.content / "drawings"
        paths = sorted(folder.glob("*.svg"))[:MOST_FILES] if folder.is_dir() else []
        return {path.stem: path for path in paths if path.is_file() and self._inside(path)}


def _named(held: dict[str, Any]) -> dict[str, Any]:
    for key, value in held.items():
        value.id = key
    return held
