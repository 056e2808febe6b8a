"""``new handbook DIR``: a small complete content folder elsewhere, of a company's own, which passes ``check`` as it
comes.

Its texts are in ``macros/starter/``; its drawings are those of the demo that its texts name.
"""

import datetime
import re
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from macros import colour, schema_files
from macros.check import load_and_check
from macros.console import ROOT, Stop
from macros.new import TRIES
from macros.words import _

STARTER = Path(__file__).parent / "starter"
DRAWINGS = ROOT / "content" / "drawings"

#: The colour where none is given.
ACCENT = "#5A2D7E"
_NAMES = re.compile(r"(?:drawing|figure): ([a-z0-9-]+)|drawings/([a-z0-9-]+)\.svg")


@dataclass(frozen=True)
class Wanted:
    """What the command line says; what it leaves out is asked for."""

    folder: Path
    name: str = ""
    company: str = ""
    accent: str = ""
    day: datetime.date | None = None


def make(wanted: Wanted, ask: Callable[[str, str], str]) -> list[Path]:
    """Make the folder; the files in it. Raises: Stop with one line, and OSError; nothing is left behind then."""
    folder = wanted.folder.resolve()
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Stop(_("{folder} is there already and is not empty; give a new folder.").format(folder=folder), 2)
    if ROOT in folder.parents or folder == ROOT:
        raise Stop(_("{folder} is inside the program's own folder, which is replaced when the program is updated; give "
                     "a folder elsewhere.").format(folder=folder), 2)
    name = wanted.name or ask(_("Name of the handbook"), _("Floor-scrubber handbook"))
    company = wanted.company or ask(_("Company"), _("A cleaning company (invented)"))
    light = _accent(wanted.accent, ask)
    put = {"{name}": name, "{company}": company, "{light}": light, "{dark}": colour.readable(light, "dark"),
           "{date}": (wanted.day or datetime.date.today()).isoformat(), "{folder}": str(folder)}
    fresh = folder.with_name(folder.name + ".new")
    shutil.rmtree(fresh, ignore_errors=True)
    try:
        fresh.mkdir(parents=True)
        _write(fresh, put)
        problems = load_and_check(fresh)[1]
        if problems:
            raise Stop(_("Nothing was written, since check would say: {problem}").format(problem=problems[0]))
        if folder.exists():
            folder.rmdir()
        fresh.rename(folder)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    return sorted(path for path in folder.rglob("*") if path.is_file())


def _accent(given: str, ask: Callable[[str, str], str]) -> str:
    """The colour that was given, or asked for until it is one. Raises: Stop with status 2."""
    question, proposal = _("Your colour, in six digits"), ACCENT
    light = (given or ask(question, proposal)).upper()
    for _again in range(TRIES):
        lack = colour.lacks(light, "light") if re.fullmatch("#[0-9A-F]{6}", light) else None
        if lack is not None:
            says, proposal = _("Words in {colour} could not be read: it stands out from {ground} by {found} to 1, and "
                               "{least} to 1 are needed. The nearest that can be read is {better}.").format(
                                   colour=light, ground=lack.ground, found=f"{lack.found:.1f}",
                                   least=f"{lack.wanted:g}",
                                   better=lack.better), lack.better
        elif re.fullmatch("#[0-9A-F]{6}", light):
            return light
        else:
            says = _('"{given}" is not a colour: a # and six digits from 0 to F, such as {such}.').format(given=light,
                                                                                                          such=ACCENT)
        if given:
            break
        light = ask(f"{says}\n{question}", proposal).upper()
    raise Stop(says, 2)


def _write(folder: Path, put: dict[str, str]) -> None:
    drawings = set()
    for source in sorted(path for path in STARTER.rglob("*") if path.is_file()):
        text = source.read_text("utf-8")
        drawings |= {one or other for one, other in _NAMES.findall(text)}
        target = folder / source.relative_to(STARTER)
        for mark, words in put.items():
            text = text.replace(mark, _as_yaml(words) if mark in ("{name}", "{company}") and target.suffix == ".yml"
                                else words)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, "utf-8", newline="\n")
    (folder / "drawings").mkdir()
    for name in sorted(drawings):
        shutil.copyfile(DRAWINGS / f"{name}.svg", folder / "drawings" / f"{name}.svg")
    schema_files.write(folder)


def _as_yaml(text: str) -> str:
    """A text between quotation marks, as YAML takes any text on one line."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
