"""The marks of the rig, kept in the content as marks.json: how often each answer was right over simulated machines.

The file is written by ``handbook.py bench rig`` and never by hand. It says which figures it was made from, so that a
page can say when these have changed since.
"""

import hashlib
import json
import math
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from macros.load import load
from macros.model import FIGURES
from macros.words import _

FILE = "marks.json"
COMMAND = "python3 handbook.py bench rig"
UNITS = ("share", "mm", "h", "min")
MOST_BYTES = 2_000_000


class Unreadable(Exception):
    """The file is there but does not hold marks; the text says what was found."""


@dataclass(frozen=True)
class Shown:
    """One mark: its figure, the number of cases it was made from and its bounds (None: none), in `unit`."""

    id: str
    value: float
    count: int
    least: float | None
    most: float | None
    unit: str

    @property
    def held(self) -> bool:
        """Whether the figure is within its bounds."""
        return (self.least is None or self.value >= self.least) and (self.most is None or self.value <= self.most)


@dataclass(frozen=True)
class Examined:
    """One machine's marks; `made_from` is `made_from()` of its figures as they were."""

    made_from: str
    marks: tuple[Shown, ...]


@dataclass(frozen=True)
class Marks:
    """The whole run: its seed, machines of each make, and the marks by the machine's id."""

    seed: int
    count: int
    machines: dict[str, Examined]


def made_from(content: Path, machine: str) -> str:
    """SHA-256 of the figures that a machine's marks hang on: those of its own file, and the table of symptoms.

    Words and comments do not count: no mark changes with them.
    """
    own, table = (_plain(content / "machines" / f"{machine}.yml"), _plain(content / "symptoms.yml"))
    figures = {section: own.get(section) for section in FIGURES}
    symptoms = {name: [{cause: {key: about.get(key) for key in ("share", "minutes", "mends")}
                        for cause, about in symptom.get("causes", {}).items()},
                       {check: {"minutes": about.get("minutes"), "results": list(about.get("results", {})),
                                "likely": about.get("likely")} for check, about in symptom.get("checks", {}).items()}]
                for name, symptom in table.get("symptoms", {}).items()}
    return hashlib.sha256(json.dumps([figures, symptoms]).encode()).hexdigest()


def _plain(path: Path) -> dict[str, Any]:
    node, _problems = load(path, path.name)
    return node.plain() if node is not None and node.kind == "map" else {}


def read(content: Path) -> Marks | None:
    """The marks of a content folder; None where there are none. Raises: Unreadable, OSError."""
    path = content / FILE
    if not path.is_file():
        return None
    raw = path.read_bytes()
    if len(raw) > MOST_BYTES:
        raise Unreadable(_("more than {most} bytes").format(most=MOST_BYTES))
    try:
        held = json.loads(raw)
        machines = {name: Examined(str(one["made_from"]), tuple(_shown(mark) for mark in one["marks"]))
                    for name, one in held["machines"].items()}
        return Marks(int(held["seed"]), int(held["count"]), machines)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise Unreadable(_("this is not a file of marks ({why})").format(why=str(error)[:80] or type(error).__name__)) from None


def _shown(mark: dict[str, Any]) -> Shown:
    shown = Shown(**{one.name: mark[one.name] for one in fields(Shown)})
    numbers = [shown.value, *(limit for limit in (shown.least, shown.most) if limit is not None)]
    if shown.unit not in UNITS or type(shown.count) is not int or not all(
            type(number) in (int, float) and math.isfinite(number) for number in numbers):
        raise ValueError(f"{shown.id}")
    return shown
