"""What the way of the air costs: friction of the hose, bends and ports, and what sits in the way.

All figures of flow come from `fluids`: Darcy's friction factor by Colebrook's law, sharp contractions and widenings.
A corrugated wall is taken as a very rough one. Lengths in m, flows in kg/s, pressures in Pa.
"""

import math
from dataclasses import dataclass

from fluids import ATMOSPHERE_1976, contraction_sharp, diffuser_sharp
from fluids.friction import friction_factor

MOLAR_GAS = 287.05287
"""Specific gas constant of dry air, J/(kg K): U.S. Standard Atmosphere 1976."""
MOIST = 1.2 / (101325 / (MOLAR_GAS * 293.15))
"""Fan practice's standard air has 1.2 kg/m3 at 101325 Pa and 20 degrees; dry air would have 1.204."""


@dataclass(frozen=True)
class Air:
    """The air round the machine: pressure in Pa, temperature in K."""

    pressure: float
    temperature: float

    @classmethod
    def at(cls, altitude: float, celsius: float) -> "Air":
        """The air at an altitude in m and a temperature in degrees Celsius."""
        return cls(ATMOSPHERE_1976(altitude).P, celsius + 273.15)

    def density(self, vacuum: float = 0.0) -> float:
        """kg/m3 at a vacuum in Pa, never less than a tenth of that outside: no solution lies beyond."""
        return max(self.pressure - vacuum, self.pressure / 10) * MOIST / (MOLAR_GAS * self.temperature)

    @property
    def viscosity(self) -> float:
        """Pa s, of the standard atmosphere's law of Sutherland."""
        return ATMOSPHERE_1976.viscosity(self.temperature)


@dataclass(frozen=True)
class Pipe:
    """A piece of the way: bore, length, roughness of the wall over the bore, and `fixed` losses of ports and bends."""

    bore: float
    length: float = 0.0
    roughness: float = 0.0
    fixed: float = 0.0

    def loss(self, mass_flow: float, vacuum: float, air: Air, viscosity: float, part: float = 1.0) -> float:
        """Pressure lost over a `part` of the piece, in Pa, by air of the density at `vacuum`."""
        if mass_flow <= 0 or part <= 0:
            return 0.0
        area = math.pi / 4 * self.bore**2
        factor = self.fixed
        if self.length:
            reynolds = mass_flow * self.bore / (area * viscosity)
            factor += friction_factor(Re=reynolds, eD=self.roughness) * self.length / self.bore
        return part * factor * mass_flow**2 / (2 * air.density(vacuum) * area**2)


@dataclass(frozen=True)
class Blockage:
    """Something in stretch `stretch` (0 to 2) that leaves `opening` of the bore, at `at` of the stretch from the motor.

    An opening of 0 is a complete one.
    """

    stretch: int
    at: float
    opening: float

    def loss(self, mass_flow: float, vacuum: float, air: Air, bore: float) -> float:
        """Pressure lost there in Pa: a sharp contraction and a sharp widening."""
        narrow = self.opening * bore
        factor = contraction_sharp(Di1=bore, Di2=narrow) + diffuser_sharp(Di1=narrow, Di2=bore)
        return factor * mass_flow**2 / (2 * air.density(vacuum) * (math.pi / 4 * narrow**2) ** 2)
