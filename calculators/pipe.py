"""Air in a hose: its friction, and the speed at which it carries water up.

* Friction: Darcy's ``Δp = f·(L/D)·ρv²/2``; f is 64/Re where the flow is laminar, Colebrook's
  ``1/√f = −2·log10(ε/(3.7·D) + 2.51/(Re·√f))`` beyond Re 2040 (Colebrook 1939; the step between as in Avila and
  others, Science 333, 2011).
* A corrugated wall takes two to four times the friction of a smooth one (common practice, no published bound for
  hoses of this kind: hence a range).
* Droplets are carried up above ``v = 5.464·(σ·(ρl − ρg)/ρg²)^0.25`` (Turner, Hubbard and Dukler 1969; they add 20 %);
  a film runs up without flooding at Wallis' jg* = 1: ``v = √(g·D·(ρl − ρg)/ρg)`` (Wallis 1969).

SI throughout. Water at 20 °C: 998.2 kg/m3, 0.0728 N/m.
"""

import math

from .quantity import WATER_DENSITY

GRAVITY = 9.80665
SURFACE_TENSION = 0.0728
#: Reynolds number at which the laminar law is left.
LAMINAR = 2040.0
#: Friction of a corrugated hose over that of a smooth one: least, taken, most.
CORRUGATED = (2.0, 3.0, 4.0)


def viscosity(temperature: float) -> float:
    """Viscosity of air in Pa·s at `temperature` in K: Sutherland's law as in U.S. Standard Atmosphere 1976."""
    return 1.458e-6 * temperature**1.5 / (temperature + 110.4)


def friction_factor(reynolds: float, roughness: float = 0.0) -> float:
    """Darcy's friction factor at a Reynolds number above 0; `roughness` is that of the wall over the bore, 0 to 0.05."""
    if reynolds < LAMINAR:
        return 64 / reynolds
    x = -2 * math.log10(roughness / 3.7 + 5.74 / reynolds**0.9)  # a good start: Swamee and Jain
    for _step in range(20):
        inside = roughness / 3.7 + 2.51 * x / reynolds
        step = (x + 2 * math.log10(inside)) / (1 + 2 * 2.51 / (reynolds * inside * math.log(10)))
        x -= step
        if abs(step) < 1e-14 * x:
            break
    return 1 / x**2


def reynolds(speed: float, bore: float, rho: float, mu: float) -> float:
    """Reynolds number of air at `speed` (m/s) in a `bore` (m)."""
    return rho * speed * bore / mu


def drop(speed: float, bore: float, length: float, rho: float, mu: float, roughness: float = 0.0) -> float:
    """Pressure in Pa lost along a smooth hose: ``f·(L/D)·ρv²/2``, the air's density taken as even along it."""
    return friction_factor(reynolds(speed, bore, rho, mu), roughness) * length / bore * rho * speed**2 / 2


def droplet_speed(rho: float, adjusted: bool = False) -> float:
    """Air speed in m/s that holds the largest droplets up; `adjusted`: with the 20 % that Turner and others add."""
    return (6.558 if adjusted else 5.464) * (SURFACE_TENSION * (WATER_DENSITY - rho) / rho**2) ** 0.25


def flooding_speed(bore: float, rho: float) -> float:
    """Air speed in m/s at Wallis' jg* = 1, above which a film of water is dragged up a `bore` (m)."""
    return math.sqrt(GRAVITY * bore * (WATER_DENSITY - rho) / rho)


def carry_band(bore: float, rho: float) -> tuple[float, float]:
    """The band of speeds in m/s in which air begins to carry water up: droplets alone, to droplets and film for sure."""
    low = droplet_speed(rho)
    return low, max(droplet_speed(rho, adjusted=True), flooding_speed(bore, rho))
