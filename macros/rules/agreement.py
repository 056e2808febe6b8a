"""Figures of one machine that contradict each other: each may be right alone, together they cannot be."""

from collections.abc import Iterator

from calculators import quantity as q
from calculators import thread
from macros.model import Handbook, Machine
from macros.problems import Problem
from macros.words import _

#: The air's pressure at sea level in Pa (ISO 2533): no vacuum can be deeper.
AIR = 101_325.0
#: A gauge's own error in Pa: healthy readings may rise by this much on their way to the floor.
GAUGE = 200.0
_OUTWARDS = ("motor-inlet", "tank-port", "hose-end", "squeegee-outlet")


def check(handbook: Handbook) -> list[Problem]:
    """Problems of arcs, threads, bends and vacua that no machine can have."""
    return [problem for machine in handbook.machines.values()
            for problem in (*_squeegee(machine), *_threads(machine), *_vacuum(machine))]


def _si(machine: Machine, path: str, quantity: str, unit: str) -> float | None:
    text = machine.figure(path)
    return q.parse(text, quantity, unit) if isinstance(text, str) else None


def _contradiction(machine: Machine, path: str, found: str, expected: str) -> Problem:
    at = machine.places.get(path.replace(".", "/"), machine.at)
    return Problem(at, "contradiction", found, expected, _("measure both again"), about=path)


def _squeegee(machine: Machine) -> Iterator[Problem]:
    def mm(name: str) -> float | None:
        return _si(machine, f"squeegee.{name}", "length", "mm")

    pairs = (
        ("radius", "chord", 0.5, False, _("the radius of the arc is under half of its chord"),
         _("no arc of that radius reaches over the chord")),
        ("chord", "width", 1.02, True, _("the chord of the blade is longer than the squeegee is wide"),
         _("a chord within the width")),
        ("bend_wanted", "free_length", 1, True, _("the wanted bend is more than the blade's free length"),
         _("a bend below the free length")),
        ("bend_tolerance", "bend_wanted", 1, True, _("the bend may differ by more than itself"),
         _("a tolerance below the wanted bend")),
    )
    for one, other, times, above, found, expected in pairs:
        a, b = mm(one), mm(other)
        if a is not None and b is not None and (a > b * times + 1e-9 if above else a < b * times - 1e-9):
            yield _contradiction(machine, f"squeegee.{one}", found, expected)


def _threads(machine: Machine) -> Iterator[Problem]:
    for section in ("wheels", "tilt"):
        engaged, written = _si(machine, f"{section}.engaged", "length", "mm"), machine.figure(f"{section}.thread")
        if engaged is not None and isinstance(written, str) and engaged < thread.parse(written).diameter - 1e-9:
            yield _contradiction(machine, f"{section}.engaged", _("less than one diameter of {thread} holds").format(thread=written),
                       _("at least one diameter of thread in the body"))


def _vacuum(machine: Machine) -> Iterator[Problem]:
    sealed = _si(machine, "vacuum.sealed", "pressure", "kPa")
    if sealed is not None and sealed > AIR:
        yield _contradiction(machine, "vacuum.sealed", _("the sealed vacuum is deeper than the air's pressure"),
                   _("at most {most} kPa").format(most=AIR / 1000))
    before: tuple[str, float] | None = None
    rows = [row for row in machine.figure("vacuum.healthy") or () if row.get("state", "sealed") == "sealed"]
    for row in sorted(rows, key=lambda row: _OUTWARDS.index(row["station"])):
        vacuum = q.parse(row["vacuum"], "pressure", "kPa")
        if sealed is not None and vacuum > sealed + GAUGE:
            yield _contradiction(machine, "vacuum.healthy", _("{vacuum} at {station} is more than the sealed vacuum").format(
                vacuum=row["vacuum"], station=row["station"]), _("healthy readings below the sealed vacuum"))
        if before is not None and vacuum > before[1] + GAUGE:
            yield _contradiction(machine, "vacuum.healthy", _("{vacuum} at {station} is more than at {before}").format(
                vacuum=row["vacuum"], station=row["station"], before=before[0]),
                _("a vacuum that falls from the motor to the floor"))
        before = row["station"], vacuum
