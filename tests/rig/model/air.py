"""The air path of one machine, from the blade chamber to the motor, with its hidden faults.

The stations of the survey part it into three stretches: 0 is the tank (motor inlet to tank port), 1 the hose, 2 the
squeegee outlet. A leak before the motor inlet (its gasket, a bleed) is in stretch -1. The march begins at the far end
with a vacuum and goes to the motor: each leak adds what its orifice lets in, each piece costs what its friction takes;
the vacuum at the end is the one with which the motor moves just that mass of air.

Independent of `calculators/`: scipy finds the root, fluids has friction, orifices and the atmosphere. SI units.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from fluids.flow_meter import orifice_expansibility
from scipy.optimize import brentq

from tests.rig.model.hose import Air, Blockage, Pipe

STATIONS = 4
BEYOND = 3
"""The place beyond the last station: the blade chamber and its blades."""
_WIDE = 10.0


@dataclass(frozen=True)
class Motor:
    """A vacuum motor: sealed vacuum in Pa and open flow in m3/s as it is now, and the form of its curve.

    `curve` gives vacuum over sealed vacuum at a flow over open flow from 0 (1) to 1 (0), and falls all the way. The
    flow is that of the air outside, as a maker's curve over an orifice has it.
    """

    sealed: float
    open_flow: float
    curve: Callable[[float], float]

    def vacuum(self, flow: float) -> float:
        """Vacuum in Pa at a flow in m3/s; beyond the open flow it falls below 0 on a straight line."""
        share = flow / self.open_flow
        return self.sealed * (self.curve(max(share, 0.0)) if share < 1 else 1 - share)

    def at_speed(self, share: float) -> "Motor":
        """The same motor at a share of its speed: vacuum goes with the square, flow with the speed."""
        return replace(self, sealed=self.sealed * share**2, open_flow=self.open_flow * share)


def power(exponent: float) -> Callable[[float], float]:
    """A curve 1 - x^n: straight with 1, bowed upwards above."""
    return lambda x: 1 - x**exponent


def parabola(bow: float) -> Callable[[float], float]:
    """A curve (1 - x)(1 + bow x): bowed upwards with a positive bow."""
    return lambda x: (1 - x) * (1 + bow * x)


def wave(bow: float, lean: float) -> Callable[[float], float]:
    """A straight line with half a wave (`bow`) and a whole wave (`lean`) on it."""
    return lambda x: 1 - x + bow * math.sin(math.pi * x) + lean * math.sin(2 * math.pi * x)


@dataclass(frozen=True)
class Leak:
    """A round hole in a stretch, at a part of it from the motor, of a diameter in m, with its discharge coefficient."""

    stretch: int
    at: float
    diameter: float
    cd: float

    def flow(self, vacuum: float, air: Air) -> float:
        """kg/s that come in under a vacuum in Pa: an orifice with the expansion of ISO 5167."""
        return orifice(math.pi / 4 * self.diameter**2, self.cd, vacuum, air)


def orifice(area: float, cd: float, vacuum: float, air: Air) -> float:
    """kg/s through an opening of `area` in m2 from the air outside into a vacuum in Pa."""
    if vacuum <= 0 or area <= 0:
        return 0.0
    inside = max(air.pressure - vacuum, air.pressure / 2)
    expansion = orifice_expansibility(D=_WIDE, Do=_WIDE / 1e4, P1=air.pressure, P2=inside, k=1.4)
    return cd * expansion * area * math.sqrt(2 * vacuum * air.density())


@dataclass(frozen=True)
class State:
    """The path as it stands with one opening: vacuum in Pa at each station and at the motor, and where air comes in.

    `inflows` has for each leak its vacuum and kg/s, `end` those of the open end (0 flow when it is closed);
    `mass_flow` is what the motor moves.
    """

    stations: tuple[float, ...]
    fan: float
    mass_flow: float
    inflows: tuple[tuple[Leak, float, float], ...]
    end: tuple[float, float]


@dataclass(frozen=True)
class AirPath:
    """One machine: motor, three pieces of the way, the opening at the blades in m2, and its faults."""

    motor: Motor
    air: Air
    pieces: tuple[Pipe, Pipe, Pipe]
    opening: float
    opening_cd: float = 0.61
    leaks: tuple[Leak, ...] = ()
    blockages: tuple[Blockage, ...] = ()

    def sealed(self, station: int) -> State:
        """The path closed at a station (0 the motor inlet, 3 the squeegee outlet), all beyond it taken off."""
        return self._solved(station, closed=True)

    def flowing(self) -> State:
        """The path open to its end, the squeegee on the floor."""
        return self._solved(STATIONS - 1, closed=False)

    def survey(self) -> tuple[float, ...]:
        """The true sealed vacuum in Pa at each station, each closed in its turn."""
        return tuple(self.sealed(station).stations[station] for station in range(STATIONS))

    def _solved(self, last: int, closed: bool) -> State:
        whole = [b for b in self.blockages if b.opening == 0 and b.stretch < last]
        stop = min(whole, key=lambda b: (b.stretch, b.at), default=None)
        viscosity = self.air.viscosity
        outside = self.air.density()

        def march(vacuum: float) -> State:
            return self._march(vacuum, last, closed or stop is not None, stop, viscosity)

        def missing(vacuum: float) -> float:
            state = march(vacuum)
            return self.motor.vacuum(state.mass_flow / outside) - state.fan

        highest = self.motor.sealed
        return march(brentq(missing, 0.0, highest, xtol=1e-10, rtol=1e-14) if missing(highest) < 0 else highest)

    def _march(self, vacuum: float, last: int, closed: bool, stop: Blockage | None, viscosity: float) -> State:
        """From the far end, at `vacuum` there, to the motor. Stations behind a complete blockage read nothing."""
        flow = 0.0 if closed else orifice(self.opening, self.opening_cd, vacuum, self.air)
        end = (vacuum, flow)
        inflows = []
        stations = [0.0] * STATIONS
        begin = last - 1 if stop is None else stop.stretch
        if stop is None:
            stations[last] = vacuum
        for stretch in range(begin, -2, -1):
            place = stop.at if stop is not None and stretch == stop.stretch else 1.0
            for fault in self._faults(stretch):
                if fault.at > place or fault is stop:
                    continue
                if stretch >= 0:
                    vacuum += self.pieces[stretch].loss(flow, vacuum, self.air, viscosity, place - fault.at)
                place = fault.at
                if isinstance(fault, Leak):
                    inflows.append((fault, vacuum, fault.flow(vacuum, self.air)))
                    flow += inflows[-1][2]
                elif flow > 0:
                    vacuum += fault.loss(flow, vacuum, self.air, self.pieces[stretch].bore)
            if stretch >= 0:
                vacuum += self.pieces[stretch].loss(flow, vacuum, self.air, viscosity, place)
                stations[stretch] = vacuum
        return State(tuple(stations), vacuum, flow, tuple(inflows), end)

    def _faults(self, stretch: int) -> list[Leak | Blockage]:
        faults = [fault for fault in (*self.leaks, *self.blockages) if fault.stretch == stretch]
        return sorted(faults, key=lambda fault: -fault.at)
