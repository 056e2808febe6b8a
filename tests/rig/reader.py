"""The technician at the form of suction-drop: types readings and figures, and takes the answer at its word."""

import random
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from calculators import calculate

from tests.rig.airpath import ERROR, Place
from tests.rig.model.air import BEYOND, STATIONS
from tests.rig.model.machine import Machine

STATION_IDS = ("motor-inlet", "tank-port", "hose-end", "squeegee-outlet")
_SPOKEN = {"the motor inlet": 0, "the tank port": 1, "the floor end of the hose": 2, "the squeegee outlet": 3}
_PLACE = "(" + "|".join(_SPOKEN) + ")"
_BETWEEN = re.compile(f"between {_PLACE} and {_PLACE}")
_OUTWARDS = re.compile(f"beyond {_PLACE}")
_HIDDEN = re.compile(r"a hole of up to ([0-9.]+) mm could hide")
_MOTOR_TOO = "The motor is weak as well"
_MOTOR_DOUBT = "The motor may be a little weak"
_NO_FLOW_JUDGED = "Sealed readings show no partial blockage"


@dataclass(frozen=True)
class Verdict:
    """What the answer tells its reader.

    `kind`: leak, blockage, through (blocked or wide open), motor, sound or cannot-tell. `places` are the stretches it
    names, 0 to 2, and 3 beyond the squeegee outlet. `hole` is the range of the hole's diameter in m, `hidden` the
    largest hole in m that it says may hide, `limited` whether it says that a blockage may hide, `motor_too` whether it
    calls the motor weak beside another finding, `motor_doubt` whether it says that the motor may be a little weak.
    """

    kind: str
    places: tuple[int, ...] = ()
    hole: tuple[float, float] | None = None
    hidden: float = 0.0
    limited: bool = False
    motor_too: bool = False
    motor_doubt: bool = False

    @property
    def certain(self) -> bool:
        """Whether the answer claims anything."""
        return self.kind != "cannot-tell" or bool(self.places)


def rows(values: Sequence[float | str | None], state: str = "sealed") -> list[dict]:
    """Rows of the form from the motor outwards: a number is a gauge's reading in Pa, a text a grade, None not read."""
    return [{"station": station, "state": state} | ({"grade": value} if isinstance(value, str) else
                                                    {"vacuum": f"{value / 1e3:.3f}"})
            for station, value in zip(STATION_IDS, values, strict=True) if value is not None]


def figures(machine: Machine, where: Place) -> dict:
    """What `--machine` fills in of the motor, and the air that the technician types."""
    return {"sealed_vacuum": machine.sealed / 1e3, "open_flow": f"{machine.open_flow * 3600:.6g} m3/h",
            "uncertainty": ERROR / 1e3, "altitude": where.altitude, "air_temperature": where.celsius}


def healthy_sealed(rng: random.Random, machine: Machine, own: Callable[[], Sequence[float]]) -> list[dict]:
    """Healthy readings at random: none, those of the machine's file, or the technician's own of this machine."""
    known = rng.randrange(3)
    return rows(own()) if known == 2 else rows(machine.healthy if known else (None,) * STATIONS)


def ask(inputs: dict) -> Verdict:
    """The calculator's answer as its reader takes it: the sentence, the range of its figure, its notes and cautions."""
    result = calculate("suction-drop", inputs)
    if "refused" in result:
        return Verdict("cannot-tell")
    answer, outcome = result["answer"], result["outcome"]
    notes = " ".join(result["notes"])
    hidden = _HIDDEN.search(notes)
    hole = result["figures"].get("hole")
    return Verdict(
        kind=_kind(outcome, answer), places=_places(answer),
        hole=(hole["low"] / 1e3, hole["high"] / 1e3) if hole else None,
        hidden=float(hidden[1]) / 1e3 if hidden else 0.0, limited=_NO_FLOW_JUDGED in notes,
        motor_too=_MOTOR_TOO in answer, motor_doubt=_MOTOR_DOUBT in " ".join(result["cautions"]),
    )


def _kind(outcome: str, answer: str) -> str:
    if answer.startswith("Nothing comes through"):
        return "through"
    return {"motor-weak": "motor", "path-sound": "sound"}.get(outcome, outcome)


def _places(answer: str) -> tuple[int, ...]:
    between, outwards = _BETWEEN.search(answer), _OUTWARDS.search(answer)
    if between:
        return tuple(range(_SPOKEN[between[1]], _SPOKEN[between[2]]))
    if outwards:
        return tuple(range(_SPOKEN[outwards[1]], BEYOND + 1))
    return ()
