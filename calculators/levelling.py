"""Levelling a squeegee: what three screws do to the height of an arc-shaped blade, and how far to turn them.

Height change at x (m, 0 in the middle, + right; + is lower, more bend), wheels w apart, body turned by θ (+ nose
up, which presses the middle down):

    left·(1/2 − x/w) + right·(1/2 + x/w) + y(x)·sin θ        y(x) = √(R² − x²) − √(R² − c²/4)

A stem of pitch P moves the blade by P·ratio a turn; n turns of a tilt bolt of pitch P at the arm a turn the body by
θ = atan(n·P/a), exactly. The wanted change at each place is the wanted height less the height read: three unknowns,
three readings; with more, least squares. Derivation: the handbook's own.
"""

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from .numeric import least_squares

#: Readings whose errors would be multiplied by more than this at an end or in the middle do not decide a setting.
MOST_SPREAD = 3.0
#: The furthest that a tilt bolt is taken to turn a body (rad); beyond it the carrier is out of shape. Common practice.
MOST_TILT = math.radians(10)
#: Heights closer than this (m) are one, so that the last bits decide nothing.
_SAME = 1e-9


@dataclass(frozen=True)
class Setting:
    """The three settings: left and right as heights in m (+ lower), tilt as the sine of the angle (+ nose up)."""

    left: float
    right: float
    sine: float


@dataclass(frozen=True)
class Squeegee:
    """The geometry, in metres: chord and radius of the blade's arc, wheel track, and what a turn does."""

    chord: float
    radius: float
    track: float
    pitch: float
    ratio: float
    flats: int
    tilt_pitch: float
    tilt_arm: float
    tilt_flats: int

    def arc(self, x: float) -> float:
        """How far the blade lies behind its ends at x: 0 at the ends, the sagitta in the middle."""
        return math.sqrt(self.radius**2 - x * x) - math.sqrt(self.radius**2 - self.chord**2 / 4)

    def weights(self, x: float) -> tuple[float, float, float]:
        """What one unit of left, right and sin θ changes in the height at x."""
        return 0.5 - x / self.track, 0.5 + x / self.track, self.arc(x)

    def change(self, x: float, setting: Setting) -> float:
        """Change of height at x in m."""
        left, right, arc = self.weights(x)
        return left * setting.left + right * setting.right + arc * setting.sine

    def fit(self, places: Sequence[float], changes: Sequence[float]) -> Setting:
        """The setting that makes the `changes` (m) at the `places` (m): exact for three, least squares for more."""
        return Setting(*least_squares([self.weights(x) for x in places], changes))

    def spread(self, places: Sequence[float]) -> float:
        """By how much errors of single readings grow at the ends or in the middle; infinite where nothing is decided."""
        if not places:
            return math.inf
        try:
            rows = [self.fit(places, [float(i == j) for j in range(len(places))]) for i in range(len(places))]
        except ValueError:
            return math.inf
        return max(math.sqrt(math.fsum(self.change(x, row) ** 2 for row in rows))
                   for x in (-self.chord / 2, 0.0, self.chord / 2))

    def turned(self, left: int, right: int, tilt: int) -> Setting:
        """The setting that so many flats make."""
        step, slope = self.pitch * self.ratio / self.flats, tilt * self.tilt_pitch / self.tilt_flats / self.tilt_arm
        return Setting(left * step, right * step, slope / math.hypot(1, slope))

    def turns(self, setting: Setting) -> tuple[float, float, float]:
        """Turns of left stem, right stem and tilt bolt that make a setting exactly; a sine beyond 1 takes all there are."""
        by_turn, sine = self.pitch * self.ratio, max(-1.0, min(1.0, setting.sine))
        room = math.sqrt(max(1 - sine * sine, 1e-12))
        return setting.left / by_turn, setting.right / by_turn, sine / room * self.tilt_arm / self.tilt_pitch

    def whole_flats(self, setting: Setting, worst: Callable[[Setting], float]) -> tuple[int, int, int]:
        """The flats of the three screws that leave the least: rounded together, each up or down, or none at all.

        `worst` says how far off a setting leaves the worst place's height (m). Rounding each alone can add three errors up.
        """
        left, right, tilt = self.turns(setting)
        exact = (left * self.flats, right * self.flats, tilt * self.tilt_flats)
        near = [sorted({math.floor(n + _SAME), math.ceil(n - _SAME)}) for n in exact]
        best: tuple[float, float, tuple[int, int, int]] | None = None
        for flats in ((0, 0, 0), *itertools.product(*near)):
            off = worst(self.turned(*flats))
            far = math.fsum(abs(n - e) for n, e in zip(flats, exact, strict=True))
            if best is None or off < best[0] - _SAME or off < best[0] + _SAME and far < best[1] - _SAME and any(best[2]):
                best = (off, far, flats)
        assert best is not None
        return best[2]


@dataclass(frozen=True)
class Reading:
    """One reading: its place (m), the bend as read and its height (m).

    `clear`: no bend, so the blade may stand any way above the floor; `face`: it lies on its face, any way down.
    """

    at: str
    x: float
    bend: float
    height: float
    clear: bool = False
    face: bool = False


@dataclass(frozen=True)
class Fit:
    """What the readings say together: the setting, the height now at each reading's place, the misfit of each."""

    setting: Setting
    heights: tuple[float, ...]
    misfits: tuple[float | None, ...]  # bend read less bend that a setting can make; None where nothing is known
    worn: tuple[int, ...] = ()  # places that bend less than any setting explains

    @property
    def misfit(self) -> float | None:
        """The largest misfit, as it is signed; `None` where three readings fit any setting."""
        known = [m for m in self.misfits if m is not None]
        return max(known, key=abs) if len(known) > 3 else None


def decide(squeegee: Squeegee, readings: Sequence[Reading], wanted: float, bend: Callable[[float], float],
           limit: float) -> Fit:
    """Fit the screws to the readings; find places that no setting explains.

    `wanted` is a height (m), `bend` turns a height into a bend in the measure read, `limit` is the misfit (m) that
    errors of reading may make. Readings without bend or on the blade's face count only where the others do not
    decide, since their heights are not known. One or two places with less bend than the others allow are worn.
    """
    sure = [i for i, r in enumerate(readings) if not (r.clear or r.face)]
    if squeegee.spread([readings[i].x for i in sure]) > MOST_SPREAD:
        fit = _fit(squeegee, readings, range(len(readings)), wanted, bend)
        return fit if len(sure) == len(readings) else Fit(fit.setting, fit.heights, (None,) * len(readings))
    fit = _fit(squeegee, readings, sure, wanted, bend)
    if fit.misfit is None or abs(fit.misfit) <= limit + _SAME:
        return fit
    judged = [i for i, m in enumerate(fit.misfits) if m is not None]
    for count in (1, 2):
        best = None
        for out in itertools.combinations(judged, count):
            rest = [i for i in sure if i not in out]
            if len(rest) < 4 or (spread := squeegee.spread([readings[i].x for i in rest])) > MOST_SPREAD:
                continue
            allowed = limit if spread <= MOST_SPREAD / 2 else limit / 2  # reaching past the others asks for more proof
            tried = _fit(squeegee, readings, rest, wanted, bend)
            others = max((abs(m) for i, m in enumerate(tried.misfits) if m is not None and i not in out), default=0.0)
            least = max((tried.misfits[i] or 0.0 for i in out))
            if others <= allowed + _SAME and least < -limit and (best is None or others < best[0] - _SAME):
                best = (others, Fit(tried.setting, tried.heights, tried.misfits, out))
        if best:
            return best[1]
    return fit


def _fit(squeegee: Squeegee, readings: Sequence[Reading], used: Sequence[int], wanted: float,
         bend: Callable[[float], float]) -> Fit:
    setting = squeegee.fit([readings[i].x for i in used], [wanted - readings[i].height for i in used])
    heights: list[float] = []
    misfits: list[float | None] = []
    for i, r in enumerate(readings):
        fitted = wanted - squeegee.change(r.x, setting)
        if i in used or not (r.clear or r.face):
            heights.append(r.height)
            misfits.append(r.bend - bend(fitted))
        elif r.clear:
            heights.append(min(r.height, fitted))
            misfits.append(-bend(fitted) if fitted > 0 else None)
        else:
            heights.append(max(r.height, fitted))
            misfits.append(None)
    return Fit(setting, tuple(heights), tuple(misfits))
