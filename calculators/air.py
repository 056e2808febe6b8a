"""Air: its density, what the vacuum motor moves of it, and what a hole lets in.

Shared by the calculators of suction, leak and hose. SI throughout: Pa, m3/s, m, m2, kg/m3, K.

* Ambient pressure: ICAO / U.S. Standard Atmosphere 1976 up to 11 km.
* Density: fan practice's standard air, 1.2 kg/m3 at 101325 Pa, 20 degC and about half saturated with
  moisture (ISO 5801), scaled as an ideal gas. Dry air would have 1.204; saturated air 1.194.
* Motor: ``p = P0 (1 - (Q/Qm)^n)``. n = 1 is the straight line between the machine's two figures, sealed
  vacuum P0 and open flow Qm. Real motors bow off it: see `BOW`.
* Hole: ``Q = Cd A sqrt(2 p / rho)``. The same air expands on its way through, which lets in less than the
  formula says: see `expansibility`.
"""

import math
from dataclasses import dataclass

from .numeric import root

STANDARD_PRESSURE = 101325.0
STANDARD_TEMPERATURE = 293.15
STANDARD_DENSITY = 1.2
GAS_CONSTANT = STANDARD_PRESSURE / (STANDARD_DENSITY * STANDARD_TEMPERATURE)
#: Ratio of the specific heats of air.
KAPPA = 1.4

#: Discharge coefficient of a hole: the usual one, a thin edge, a thick rounded edge.
CD, CD_THIN, CD_THICK = 0.61, 0.60, 0.80

#: The bow allowed for in a motor's curve, as the exponent n. At half the open flow the vacuum is 46.4 %
#: of the sealed one with n = 0.9 and 62.1 % with n = 1.4; the straight line has 50 %. Direct-current
#: motors with one to three stages mostly lie at 1.1 to 1.3 (common practice, no published bound).
BOW_LOW, STRAIGHT, BOW_HIGH = 0.9, 1.0, 1.4


def ambient_pressure(altitude: float) -> float:
    """Pressure of the standard atmosphere in Pa at `altitude` in m, -500 to 11000.

    ``p = p0 (1 - 0.0065 h / 288.15)^5.255876`` with the geopotential height ``h = r z / (r + z)``.
    U.S. Standard Atmosphere 1976.
    """
    height = 6356766.0 * altitude / (6356766.0 + altitude)
    return STANDARD_PRESSURE * (1 - 0.0065 * height / 288.15) ** (9.80665 * 0.0289644 / (8.31432 * 0.0065))


def density(altitude: float = 0.0, temperature: float = STANDARD_TEMPERATURE, vacuum: float = 0.0) -> float:
    """Density of air in kg/m3 at `altitude` (m), `temperature` (K), and `vacuum` (Pa) below ambient.

    Ideal gas through the standard air above. Negative for a vacuum beyond the ambient pressure.
    """
    return (ambient_pressure(altitude) - vacuum) / (GAS_CONSTANT * temperature)


def density_ratio(altitude: float = 0.0, temperature: float = STANDARD_TEMPERATURE) -> float:
    """Density over that of standard air: what the sealed vacuum of a fan at fixed speed is scaled by.

    An unloaded series motor speeds up a little in thin air and loses less than this.
    """
    return density(altitude, temperature) / STANDARD_DENSITY


@dataclass(frozen=True)
class Fan:
    """A vacuum motor: sealed vacuum in Pa (in the air it runs in), open flow in m3/s, and its bow n."""

    sealed: float
    open_flow: float
    bow: float = STRAIGHT

    def vacuum(self, flow: float) -> float:
        """Vacuum in Pa at `flow` in m3/s, 0 beyond the open flow: ``P0 (1 - (Q/Qm)^n)``."""
        return self.sealed * max(0.0, 1 - max(0.0, flow / self.open_flow) ** self.bow)

    def flow(self, vacuum: float) -> float:
        """Flow in m3/s at `vacuum` in Pa, 0 at the sealed vacuum and beyond: ``Qm (1 - p/P0)^(1/n)``."""
        return self.open_flow * max(0.0, 1 - vacuum / self.sealed) ** (1 / self.bow)


def hole_area(diameter: float) -> float:
    """Area in m2 of a round hole of `diameter` in m."""
    return math.pi / 4 * diameter**2


def hole_diameter(area: float) -> float:
    """Diameter in m of the round hole with `area` in m2; 0 for none."""
    return math.sqrt(4 * max(0.0, area) / math.pi)


def orifice_flow(area: float, vacuum: float, rho: float, cd: float = CD) -> float:
    """Air in m3/s through a hole of `area` (m2) into `vacuum` (Pa): ``Cd A sqrt(2 p / rho)``.

    Without expansion of the air: 2.5 % too much at 10 kPa, 5 % at 20 kPa.
    """
    return cd * area * math.sqrt(2 * vacuum / rho)


def orifice_area(flow: float, vacuum: float, rho: float, cd: float = CD) -> float:
    """Area in m2 that lets `flow` (m3/s) into `vacuum` (Pa, above 0): the inverse of `orifice_flow`."""
    return flow / (cd * math.sqrt(2 * vacuum / rho))


def expansibility(vacuum: float, ambient: float = STANDARD_PRESSURE) -> float:
    """Share of `orifice_flow` that enters a sharp hole once the air's expansion is counted.

    ``1 - 0.351 (1 - (1 - p/p_a)^(1/1.4))``: ISO 5167-2:2003 for a hole small against the space round it.
    Holds down to three quarters of the ambient pressure; beyond that it is the best there is.
    """
    return 1 - 0.351 * (1 - max(0.0, 1 - vacuum / ambient) ** (1 / KAPPA))


def leak_area(vacuum: float, fan: Fan, rho: float, cd: float = CD) -> float:
    """All leaks seen from a station that reads `vacuum` (Pa, above 0) when closed there, as one hole in m2.

    What the motor moves at that vacuum, through a hole under that vacuum. Leaks add, so the difference
    between two stations is what lies between them.
    """
    return orifice_area(fan.flow(vacuum), vacuum, rho, cd)


def vacuum_left(area: float, fan: Fan, rho: float, cd: float = CD) -> float:
    """Vacuum in Pa that is left when `fan` works against a hole of `area` (m2).

    Straight line: ``p/P0 = ((sqrt(k^2 + 4) - k) / 2)^2``, ``k = Cd A sqrt(2/rho) sqrt(P0) / Qm``; with a bow
    the balance of motor and hole is found numerically.
    """
    if area <= 0:
        return fan.sealed
    k = cd * area * math.sqrt(2 / rho * fan.sealed) / fan.open_flow
    if fan.bow == STRAIGHT:
        return fan.sealed * (2 / (math.sqrt(k * k + 4) + k)) ** 2
    # With s = sqrt(p/P0): flow of the motor against flow of the hole, which is k s of the open flow.
    return fan.sealed * root(lambda s: (1 - s * s) - (k * s) ** fan.bow, 0.0, 1.0) ** 2


@dataclass(frozen=True)
class Pair:
    """Two sealed readings, nearer the motor and further from it, each ± `error`; all in Pa."""

    near: float
    far: float
    error: float

    def at(self, sign: int) -> tuple[float, float]:
        """The readings shifted apart (+1: the largest loss that they allow) or together (-1)."""
        return max(self.near + sign * self.error, 1.0), max(self.far - sign * self.error, 1.0)


def hole_between(pair: Pair, first: float, fan: Fan, rho: float, ambient: float,
                 healthy: Pair | None = None,
                 healthy_first: float | None = None) -> tuple[float, float, float]:
    """The hole between two stations as (diameter, low, high) in m: 0 where there is none.

    `first` is the reading nearest the motor in Pa, `healthy` the same pair when the machine was well; its
    leak is taken off. The diameter takes the readings as they are, the straight fan line and Cd 0.61. The
    range is the widest of: readings ± their error each way; Cd 0.60 (thin edge) to 0.80 (thick edge); air
    that expands or does not; the motor's bow n from 0.9 to 1.4; and what is missing at the first station as
    a leak before it (the tank's bleed), or as a motor that turns slower (vacuum with the square of the
    speed, flow with the speed).
    """
    def area(p: Pair, start: float, sign: int, cd: float, bow: float, slower: bool) -> float:
        near, far = p.at(sign)
        begun = max(start + sign * p.error, near, 1.0)
        sealed, open_flow = max(fan.sealed, begun), fan.open_flow
        if slower and begun < sealed:
            open_flow *= math.sqrt(begun / sealed)
            sealed = begun
        motor = Fan(sealed, open_flow, bow)
        return max(0.0, leak_area(far, motor, rho, cd) - leak_area(near, motor, rho, cd))

    def extra(sign: int, cd: float, bow: float, slower: bool) -> float:
        found = area(pair, first, sign, cd, bow, slower)
        if healthy is not None and healthy_first is not None:
            found -= area(healthy, healthy_first, -sign, cd, bow, False)
        return max(0.0, found)

    cases = [(bow, slower) for bow in (BOW_LOW, STRAIGHT, BOW_HIGH) for slower in (False, True)]
    value = hole_diameter(extra(0, CD, STRAIGHT, False))
    low = hole_diameter(min(extra(-1, CD_THICK, *case) for case in cases))
    high = hole_diameter(max(extra(+1, CD_THIN, *case) for case in cases)
                         / expansibility(pair.at(+1)[1], ambient))
    return value, min(low, value), max(high, value)
