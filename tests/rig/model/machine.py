"""A machine's figures as the rig knows them: read from the content with readers of its own, in SI units.

Nothing of `calculators/` or `macros/` is used here: the rig must not share a mistake with what it judges.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pint
import yaml

_UNITS = pint.UnitRegistry()
_NAMES = {"m3/h": "meter**3/hour", "%": "percent"}
_PITCH = {"M8": 1.25e-3, "M10": 1.5e-3, "M12": 1.75e-3}
"""Coarse pitches of ISO 261, in metres."""


@dataclass(frozen=True)
class Machine:
    """One machine of the folder ``content``. Lengths in m, pressures in Pa, flows in m3/s."""

    id: str
    content: Path
    chord: float
    radius: float
    free_length: float
    edges: int
    flat_limit: float
    bend_wanted: float
    bend_tolerance: float
    wheel_pitch: float
    wheel_flats: int
    lever_ratio: float
    track: float
    engaged: float
    tilt_pitch: float
    tilt_arm: float
    tilt_flats: int
    sealed: float
    open_flow: float
    healthy: tuple[float, ...]
    bore: float
    hose_length: float
    corrugated: bool


def load(path: Path) -> Machine:
    """The machine of a file of content/machines. Raises: KeyError for a figure that the rig needs and it lacks."""
    held = yaml.safe_load(path.read_text("utf-8"))
    squeegee, wheels, tilt, vacuum, hose = (held[name] for name in ("squeegee", "wheels", "tilt", "vacuum", "hose"))
    return Machine(
        id=path.stem, content=path.parent.parent,
        chord=_si(squeegee["chord"], "m"), radius=_si(squeegee["radius"], "m"),
        free_length=_si(squeegee["free_length"], "m"), edges=int(squeegee["edges"]),
        flat_limit=_si(squeegee["flat_limit"], "m"), bend_wanted=_si(squeegee["bend_wanted"], "m"),
        bend_tolerance=_si(squeegee["bend_tolerance"], "m"),
        wheel_pitch=_PITCH[wheels["thread"]], wheel_flats=int(wheels["flats"]), lever_ratio=float(wheels["lever_ratio"]),
        track=_si(wheels["track"], "m"), engaged=_si(wheels["engaged"], "m"),
        tilt_pitch=_PITCH[tilt["thread"]], tilt_arm=_si(tilt["arm"], "m"), tilt_flats=int(tilt["flats"]),
        sealed=_si(vacuum["sealed"], "Pa"), open_flow=_si(vacuum["open_flow"], "m**3/s"),
        healthy=tuple(_si(row["vacuum"], "Pa") for row in vacuum["healthy"]),
        bore=_si(hose["bore"], "m"), hose_length=_si(hose["length"], "m"), corrugated=hose["wall"] == "corrugated",
    )


def load_all(content: Path) -> list[Machine]:
    """Every machine of a content folder, by id."""
    return [load(path) for path in sorted((content / "machines").glob("*.yml"))]


def _si(text: Any, unit: str) -> float:
    number, _space, name = str(text).partition(" ")
    return _UNITS.Quantity(float(number), _NAMES.get(name, name)).to(unit).magnitude
