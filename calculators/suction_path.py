"""The suction path: stations, readings as intervals, segments, and what they prove.

A reading is an interval in Pa: a gauge's value ± its uncertainty, or the range of a hand's grade. Two
readings differ for certain when their intervals do not meet; for a gauge that is a difference above
2u (u sqrt(2), the standard uncertainty of a difference, is no bound). Grades are an order, not numbers.

A battery that sinks lowers each reading below the one before, as leaks do. The first station read again at
the end shows by how much the motor fell (f); a loss is certain only above 2u + f, whenever it fell.

`judge` decides, in this order (r readings, h those of the machine when it was well, taken off where given):

1. blocked-through: a sealed reading within u of nothing behind one above 4u. Nothing beyond can be judged.
2. leak: a sealed segment is lost for certain. The one with the largest loss is in question.
3. blockage: a flowing reading is raised for certain, r - h > 2u. Of the segments, that with the largest
   fall of r - h is in question; beyond the last station r - h counts as 0.
4. sinking: f above 2u. Else motor-weak: the sealed motor inlet stays below nine tenths of the sealed vacuum
   at this air density (of its own healthy reading when the motor's figure is not known), 2u added: what a
   gauge is off by at every reading cancels between two stations, but not against the motor's figure.
5. stretch: stations further apart differ for certain, no neighbours do: cannot tell where.
6. Flowing readings lowered and none raised: a leak when the sealed motor inlet is in order and the first
   flowing reading is lowered (beyond the last station when the sealed path is sound); a blockage when the
   sealed path is sound at the same stations and the first one is not lowered; else cannot tell.
7. path-sound: gauge readings of two stations or more, no certain loss, 2u below a tenth of the first; or
   flowing readings of two stations or more as the healthy ones.
8. cannot-tell, with the reason.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from . import quantity as q
from .form import Refusal, Refused, shown_input
from .words import _, mark

STATIONS = ("motor-inlet", "tank-port", "hose-end", "squeegee-outlet")
NAMES = {"motor-inlet": mark("the motor inlet"), "tank-port": mark("the tank port"),
         "hose-end": mark("the floor end of the hose"), "squeegee-outlet": mark("the squeegee outlet")}
#: A hand's grades as shares of the sealed vacuum of a good motor; neighbours overlap (common practice).
GRADES = {"none": (0.0, 0.10), "weak": (0.05, 0.45), "fair": (0.35, 0.80), "strong": (0.70, 1.0)}
#: A motor in order reaches this share of its sealed vacuum (common practice).
GOOD_SHARE = 0.9
#: A path is called sound only when the gauge resolves this share of the first reading.
RESOLVES = 0.1
#: Pa below which two figures are the same: hides the last bits of converted units.
SAME = 1e-6


@dataclass(frozen=True)
class Reading:
    """One reading as an interval in Pa; `vacuum` is `None` for a hand's grade. `path` leads to its field."""

    station: str
    low: float
    high: float
    vacuum: float | None
    grade: str | None
    path: str

    @property
    def order(self) -> int:
        """0 at the motor inlet to 3 at the squeegee outlet."""
        return STATIONS.index(self.station)

    @property
    def name(self) -> str:
        """The station within a sentence."""
        return _(NAMES[self.station])


Path = dict[str, Reading]


@dataclass(frozen=True)
class Readings:
    """Readings by station from the motor outwards, closed there (sealed) and with the path open (flowing)."""

    sealed: Path
    flowing: Path


@dataclass(frozen=True)
class Segment:
    """Two neighbouring readings. `loss` in Pa is their difference less the healthy machine's, where known."""

    near: Reading
    far: Reading
    state: str
    loss: float | None
    sure: bool
    healthy: tuple[Reading, Reading] | None


@dataclass(frozen=True)
class Finding:
    """What the readings prove: `kind` as in the module's list, the stations in question, all segments."""

    kind: str
    segments: list[Segment]
    segment: Segment | None = None
    near: Reading | None = None
    far: Reading | None = None
    motor: str = "unknown"  # good, weak, doubtful, sinking, unknown
    fell: float = 0.0  # Pa by which the first station reads lower at the end


# ---- reading the lists ----

def take(given: Mapping[str, Sequence[dict]], error: float, full: float | None,
         ambient: float) -> dict[str, Readings]:
    """The lists ``readings`` and ``healthy`` as `Readings`; `full` is the sealed vacuum here in Pa, if known.

    Raises `Refused` with every refusal: a row with neither or both of vacuum and grade, a vacuum beyond the
    ambient pressure, grades beside gauge readings without the motor's figure, a station twice, a reading
    that rises away from the motor for certain.
    """
    refusals: list[Refusal] = []
    rows = [row for name in given for row in given[name]]
    mixed = any(r["grade"] for r in rows) and any(r["vacuum"] is not None for r in rows) and full is None
    taken = {}
    for name, some in given.items():
        paths: dict[str, Path] = {"sealed": {}, "flowing": {}}
        for number, row in enumerate(some):
            _place(paths[row["state"]], row, f"{name}/{number}", error, full or 1.0, ambient, mixed, refusals)
        for state, path in paths.items():
            paths[state] = {s: path[s] for s in STATIONS if s in path}
            _refuse_rise(list(paths[state].values()), refusals)
        taken[name] = Readings(**paths)
    if refusals:
        raise Refused(refusals)
    return taken


def _place(path: Path, row: dict, at: str, error: float, full: float, ambient: float, mixed: bool,
           refusals: list[Refusal]) -> None:
    vacuum, grade, station = row["vacuum"], row["grade"], row["station"]
    if vacuum is not None:
        vacuum = round(vacuum, 6)  # the same figure in another unit is the same reading
    if vacuum is None and grade is None:
        refusals.append(Refusal(f"{at}/vacuum", shown_input(None), _(
            "a vacuum or a grade; take the row out when the station was not read")))
    elif vacuum is not None and grade is not None:
        refusals.append(Refusal(f"{at}/grade", grade, _("a grade only where no vacuum is given")))
    elif vacuum is not None and vacuum > ambient + SAME:
        refusals.append(Refusal(f"{at}/vacuum", shown_input(round(vacuum / 1e3, 3)), _(
            "a vacuum below the pressure of the air at this altitude, {most} kPa").format(
                most=q.write(ambient / 1e3, decimals=1))))
    elif grade is not None and mixed:
        refusals.append(Refusal(f"{at}/grade", grade, _(
            "a vacuum like the other readings; a grade stands beside them only when the motor's sealed "
            "vacuum is known")))
    if station in path:
        refusals.append(Refusal(f"{at}/station", station, _(
            "each station once in each state; row {number} has it already").format(
                number=int(path[station].path.split("/")[1]) + 1)))
        return
    if vacuum is not None:
        path[station] = Reading(station, vacuum - error, vacuum + error, vacuum, None, f"{at}/vacuum")
    elif grade is not None:
        low, high = GRADES[grade]
        path[station] = Reading(station, low * full, high * full, None, grade, f"{at}/grade")


def _refuse_rise(path: list[Reading], refusals: list[Refusal]) -> None:
    """Vacuum cannot grow away from the motor: refuse the largest certain rise, naming both stations."""
    rises = [(far.low - near.high, far, near) for n, near in enumerate(path) for far in path[n + 1:]]
    rise, far, near = max(rises, key=lambda r: r[0], default=(0.0, None, None))
    if far is not None and near is not None and rise > SAME:
        got = far.grade or f"{far.vacuum / 1e3:.6g} kPa"
        takes = _("a reading no higher than that nearer the motor; repeat {near} and {far}")
        refusals.append(Refusal(far.path, got, takes.format(near=near.name, far=far.name)))


def fallen(now: Readings, again: float | None, error: float) -> float:
    """By how much in Pa the first sealed station reads lower at the end, 0 when it was not read `again`.

    Raises `Refused` without a gauge reading to compare with, and for one that is higher at the end for certain.
    """
    if again is None:
        return 0.0
    first = next(iter(now.sealed.values()), None)
    if first is None or first.vacuum is None:
        raise Refused([Refusal("first_again", f"{again / 1e3:.6g} kPa", _(
            "a second reading of the first sealed station, where that one was read by gauge"))])
    if again - first.vacuum > 2 * error + SAME:
        raise Refused([Refusal("first_again", f"{again / 1e3:.6g} kPa", _(
            "a reading no higher than the first one; repeat {near}").format(near=first.name))])
    return max(0.0, first.vacuum - again)


# ---- judging ----

def apart(near: Reading, far: Reading) -> bool:
    """True when `near` is higher than `far` for certain."""
    return near.low > far.high + SAME


def segments(path: Path, healthy: Path, state: str, error: float, fell: float = 0.0) -> list[Segment]:
    """The stretches between neighbouring readings, the healthy machine's differences taken off.

    A difference of the healthy machine is taken as measured, at least 0: a segment is lost for certain when
    its difference exceeds 2u and what the motor `fell`, and does so still without what was lost when the machine
    was well.
    """
    stations = list(path.values())
    found = []
    for near, far in zip(stations, stations[1:], strict=False):
        sure, loss = apart(near, far), None
        both = {near.station, far.station} <= healthy.keys()
        well = (healthy[near.station], healthy[far.station]) if both else None
        if near.vacuum is not None and far.vacuum is not None:
            loss = near.vacuum - far.vacuum
            if well and well[0].vacuum is not None and well[1].vacuum is not None:
                loss -= max(0.0, well[0].vacuum - well[1].vacuum)
            sure = sure and loss > 2 * error + fell + SAME
        if well and apart(*well) and loss is None:
            sure = False
        found.append(Segment(near, far, state, loss, sure, well))
    return found


def motor(now: Readings, healthy: Readings, full: float | None) -> str:
    """good, weak, doubtful or unknown: the sealed motor inlet against what a good motor makes here."""
    first = now.sealed.get("motor-inlet")
    well = healthy.sealed.get("motor-inlet")
    if first is None:
        return "unknown"
    if first.grade:
        return "weak" if GRADES[first.grade][1] < GRADES["strong"][0] else "doubtful"
    good = full if full is not None else well.vacuum if well else None
    if good is None or first.vacuum is None:
        return "unknown"
    if 2 * first.high - first.vacuum < GOOD_SHARE * good - SAME:
        return "weak"
    return "good" if first.vacuum >= GOOD_SHARE * good else "doubtful"


def judge(now: Readings, healthy: Readings, error: float, full: float | None, fell: float = 0.0) -> Finding:
    """The finding, by the rules at the head of this module."""
    closed = segments(now.sealed, healthy.sealed, "sealed", error, fell)
    open_ = segments(now.flowing, healthy.flowing, "flowing", error)
    engine = motor(now, healthy, full)
    sinking = fell > 2 * error + SAME
    if sinking and engine != "good":
        engine = "sinking"
    every = closed + open_

    def found(kind: str, segment: Segment | None = None, near: Reading | None = None,
              far: Reading | None = None) -> Finding:
        return Finding(kind, every, segment, near or (segment and segment.near),
                       far or (segment and segment.far), engine, fell)

    for s in closed:
        if s.sure and _nothing(s.far, error) and (s.near.vacuum is None or s.near.vacuum > 4 * error + SAME):
            return found("blocked-through", s)
    sure = [s for s in closed if s.sure]
    if sure:
        return found("leak", max(sure, key=_size))
    if blocked := _blockage(now.flowing, healthy.flowing, open_):
        segment, near = blocked
        return found("blockage", segment, near)
    if sinking:
        return found("sinking")
    if engine == "weak":
        return found("motor-weak")
    if stretch := _stretch(now.sealed, closed, fell):
        within = [s for s in closed if stretch[0].order <= s.near.order < stretch[1].order]
        return found("stretch", max(within, key=_size), *stretch)
    low = [s for s in now.flowing if s in healthy.flowing and apart(healthy.flowing[s], now.flowing[s])]
    sound = bool(closed) and _resolved(now.sealed, error) and not _missing_at_start(now, full)
    if low:
        return _lowered(now, low, open_, engine, sound, found)
    if sound:
        return found("sound")
    return found(_why_not(now, healthy, closed, error, full))


def _nothing(reading: Reading, error: float) -> bool:
    return reading.grade == "none" or reading.vacuum is not None and reading.vacuum <= error + SAME


def _size(segment: Segment) -> float:
    return segment.loss if segment.loss is not None else segment.near.low - segment.far.high


def _blockage(path: Path, healthy: Path, some: list[Segment]) -> tuple[Segment | None, Reading] | None:
    """Segment (`None`: beyond the last station) and the station before the blockage, if one is certain."""
    if not any(s in healthy and apart(path[s], healthy[s]) for s in path):
        return None

    def raised(reading: Reading) -> float:
        well = healthy[reading.station]
        return (reading.low + reading.high - well.low - well.high) / 2

    both = [s for s in path if s in healthy]
    if both != list(path):  # the segments between stations that have a healthy reading
        some = [s for s in some if s.healthy]
    last = path[both[-1]]
    falls: list[tuple[float, Segment | None, Reading]] = [(raised(last), None, last)]
    falls += [(raised(s.near) - raised(s.far), s, s.near) for s in some]
    _fall, segment, near = max(falls, key=lambda f: f[0])
    return segment, near


def _stretch(path: Path, some: list[Segment], fell: float) -> tuple[Reading, Reading] | None:
    """The shortest stretch of several segments that is lost for certain, healthy differences taken off."""
    off, taken = {}, 0.0
    for s in some:
        off[s.near.station] = taken
        if s.loss is not None and s.near.vacuum is not None and s.far.vacuum is not None:
            taken += s.near.vacuum - s.far.vacuum - s.loss
        off[s.far.station] = taken
    stations = list(path.values())
    certain = [(far.order - near.order, near, far)
               for n, near in enumerate(stations) for far in stations[n + 2:]
               if near.low > far.high + off[far.station] - off[near.station] + fell + SAME]
    if not certain:
        return None
    _length, near, far = min(certain, key=lambda c: (c[0], c[2].high - c[1].low))
    return near, far


def _resolved(path: Path, error: float) -> bool:
    first = next(iter(path.values()))
    return all(r.vacuum is not None for r in path.values()) and 2 * error < RESOLVES * (first.vacuum or 0)


def _missing_at_start(now: Readings, full: float | None) -> bool:
    """True when the first reading is below a good motor's, and is not that of the motor inlet."""
    first = next(iter(now.sealed.values()), None)
    return bool(first and first.order and full is not None and first.high < GOOD_SHARE * full - SAME)


def _lowered(now: Readings, low: list[str], some: list[Segment], engine: str, sound: bool, found) -> Finding:
    first = next(iter(now.flowing.values()))
    if engine == "good" and first.station in low:
        return found("flowing-leak", None, list(now.sealed.values())[-1] if sound else None)
    falls = [s for s in some if s.sure and s.healthy]
    if sound and engine == "good" and falls and now.flowing.keys() <= now.sealed.keys():
        return found("blockage", max(falls, key=_size))
    return found("flowing-low")


def _why_not(now: Readings, healthy: Readings, closed: list[Segment], error: float,
             full: float | None) -> str:
    """Why nothing can be told, or that the flowing readings are as they were."""
    if any(r.grade for r in (*now.flowing.values(), *now.sealed.values())):
        return "grades"
    if closed:
        return "low-at-start" if _missing_at_start(now, full) else "coarse"
    both = [s for s in now.flowing if s in healthy.flowing]
    if len(both) > 1 and not any(healthy.flowing[s].grade for s in both):
        return "flowing-as-healthy" if _resolved(now.flowing, error) else "coarse"
    return "flowing-alone" if now.flowing else "one-reading"
