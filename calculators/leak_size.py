"""How big is the hole? What would this hole cost me?

The motor's line against the hole: ``p = P0 (1 - (Q/Qm)^n)`` and ``Q = Cd A sqrt(2 p / rho)`` meet at the vacuum
that is left (`air.vacuum_left`, `air.leak_area`). Either the vacuum is read and the hole follows, or the hole is
known and the vacuum follows. The water lift is the column the vacuum left can hold, ``H = p / (rho_w g)``.

Limits: a sealed path but for this one hole; the straight line n = 1, with the range of n from 0.9 to 1.4
(see `air`); the range also holds the expansion of the air and, where no coefficient is given, Cd 0.60 to 0.80.
"""

import math
from dataclasses import replace

from . import air
from . import quantity as q
from .asked import AIR_TEMPERATURE, ALTITUDE, OPEN_FLOW, PRESSURES, SEALED_VACUUM
from .form import Calculator, Field, Figure, Lookup, Result, Span, Working, refuse
from .pictures.leak_size import picture
from .pipe import GRAVITY
from .quantity import WATER_DENSITY
from .words import _, mark

_BOWS = (air.BOW_LOW, air.STRAIGHT, air.BOW_HIGH)


def _run(v: dict) -> Result:
    rho = air.density(v["altitude"], v["air_temperature"])
    sealed = v["sealed_vacuum"] * rho / air.STANDARD_DENSITY
    ambient = air.ambient_pressure(v["altitude"])
    if sealed >= ambient:
        raise refuse("sealed_vacuum", f"{q.write(sealed / 1e3)} kPa", _("less than the air's own pressure there"))
    if (v["vacuum"] is None) == (v["hole"] is None):
        got = _("nothing") if v["vacuum"] is None else _("both")
        raise refuse("vacuum", got, _("a vacuum read, or the diameter of a hole, one of the two"))
    fan = air.Fan(sealed, v["open_flow"])
    cd = v["discharge_coefficient"] or air.CD
    range_of_cd = (cd, cd) if v["discharge_coefficient"] else (air.CD_THIN, air.CD_THICK)
    result = (_from_vacuum if v["vacuum"] is not None else _from_hole)(v, fan, rho, ambient, cd, range_of_cd)
    left = result.figures["vacuum"]
    result.figures["vacuum_share"] = Span(*(None if x is None else x / sealed for x in (left.value, left.low, left.high)))
    result.figures["water_lift"] = Span(*(None if x is None else x / (WATER_DENSITY * GRAVITY)
                                          for x in (left.value, left.low, left.high)))
    result.notes.append(_("Air of {rho} kg/m³; the motor's line is taken straight, its range holds the bow of real "
                          "motors.").format(rho=q.write(rho)))
    result.picture = picture(result.figures["hole"].value, left.value, sealed)
    return result


def _from_vacuum(v: dict, fan: air.Fan, rho: float, ambient: float, cd: float, cds: tuple[float, float]) -> Result:
    vacuum = v["vacuum"]
    if vacuum > fan.sealed * (1 + 1e-9):
        raise refuse("vacuum", f"{q.write(vacuum / 1e3)} kPa",
                     _("at most the {sealed} kPa that this motor can make here").format(sealed=q.write(fan.sealed / 1e3)))
    area = air.leak_area(vacuum, fan, rho, cd)
    areas = [air.leak_area(vacuum, air.Fan(fan.sealed, fan.open_flow, bow), rho, c) / e
             for bow in _BOWS for c in cds for e in (1.0, air.expansibility(vacuum, ambient))]
    hole = Span(air.hole_diameter(area), *(air.hole_diameter(a) for a in (min(areas), max(areas))))
    flow = fan.flow(vacuum)
    result = Result("hole-found" if hole.value > 0 else "tight",
                    _("The air that gets in is as much as one round hole of {hole} mm lets in.").format(
                        hole=q.write(hole.value * 1e3)) if hole.value > 0 else
                    _("Nothing gets in: the vacuum is all that this motor makes."),
                    {"hole": hole, "area": Span(area, min(areas), max(areas)), "leak_flow": Span(flow),
                     "vacuum": Span(vacuum)})
    result.workings = [
        Working("Q = Qm·(1 − p/P0)", f"{_flow(fan.open_flow)}·(1 − {_kpa(vacuum)}/{_kpa(fan.sealed)})",
                f"{_flow(flow)} m³/h"),
        Working("A = Q/(Cd·√(2p/ρ))", f"{q.write(flow, 4)}/({q.write(cd)}·√(2·{q.write(vacuum, 5)}/{q.write(rho)}))",
                f"{q.write(area * 1e6)} mm²"),
        Working("d = √(4A/π)", f"√(4·{q.write(area * 1e6)}/π)", f"{q.write(hole.value * 1e3)} mm"),
    ]
    return result


def _from_hole(v: dict, fan: air.Fan, rho: float, ambient: float, cd: float, cds: tuple[float, float]) -> Result:
    area = air.hole_area(v["hole"])
    vacuum = air.vacuum_left(area, fan, rho, cd)
    left = []
    for bow in _BOWS:
        for c in cds:
            bowed = air.Fan(fan.sealed, fan.open_flow, bow)
            dense = air.vacuum_left(area, bowed, rho, c)
            left += [dense, air.vacuum_left(area * air.expansibility(dense, ambient), bowed, rho, c)]
    kept = vacuum / fan.sealed
    flow = air.orifice_flow(area, vacuum, rho, cd)
    result = Result("vacuum-left",
                    _("A hole of {hole} mm leaves {vacuum} kPa, {percent} % of the sealed vacuum.").format(
                        hole=q.write(v["hole"] * 1e3), vacuum=_kpa(vacuum), percent=q.write(kept * 100, decimals=0)),
                    {"hole": Span(v["hole"]), "area": Span(area), "leak_flow": Span(flow),
                     "vacuum": Span(vacuum, min(left), max(left))})
    k = cd * area * math.sqrt(2 / rho * fan.sealed) / fan.open_flow
    result.workings = [
        Working("k = Cd·A·√(2·P0/ρ)/Qm", _("A = {area} mm²").format(area=q.write(area * 1e6)), q.write(k, 4)),
        Working("p/P0 = ((√(k² + 4) − k)/2)²", f"((√({q.write(k, 4)}² + 4) − {q.write(k, 4)})/2)²", q.write(kept, 4)),
    ]
    return result


def _kpa(pascal: float) -> str:
    return q.write(pascal / 1e3, 4)


def _flow(cubic_metres: float) -> str:
    return q.write(cubic_metres * 3600, 4)


CALCULATOR = Calculator(
    id="leak-size",
    question=mark("How big is the hole? What would this hole cost me?"),
    summary=mark("From the vacuum that is left to the size of the hole, or from a hole to the vacuum left."),
    fields=(
        Field("vacuum", mark("Vacuum read"), "quantity", mark("With the path closed; or give the hole instead."),
              quantity="pressure", unit="kPa", units=PRESSURES, low=0, high=101, above=True, what=mark("a vacuum")),
        Field("hole", mark("Diameter of the hole"), "quantity", mark("Of one round hole; or give the vacuum instead."),
              quantity="length", unit="mm", units=("mm", "in"), low=0, high=200, above=True, what=mark("a diameter")),
        replace(SEALED_VACUUM, required=True),
        replace(OPEN_FLOW, required=True),
        Field("discharge_coefficient", mark("Discharge coefficient"), "number",
              mark("Leave empty for 0.61 with the range from 0.60, thin edge, to 0.80, thick edge."), low=0.3, high=1,
              what=mark("a coefficient")),
        ALTITUDE,
        AIR_TEMPERATURE,
    ),
    figures=(
        Figure("hole", mark("as one round hole"), "length", "mm", decimals=1),
        Figure("vacuum", mark("vacuum left"), "pressure", "kPa", decimals=1),
        Figure("vacuum_share", mark("of the sealed vacuum"), show="%", decimals=0),
        Figure("leak_flow", mark("air that gets in"), "flow", "m3/h", decimals=0),
        Figure("area", mark("area of the hole"), "area", "mm2", decimals=0, minor=True),
        Figure("water_lift", mark("water the vacuum left can hold"), "length", "m", decimals=2, minor=True),
    ),
    outcomes=(("hole-found", mark("hole found")), ("vacuum-left", mark("vacuum left")), ("tight", mark("tight"))),
    run=_run,
    example={"hole": "8 mm", "sealed_vacuum": "20 kPa", "open_flow": "150 m3/h"},
    examples=(
        ("from the vacuum", {"vacuum": "16.2 kPa", "sealed_vacuum": "20 kPa", "open_flow": "150 m3/h"}),
        ("tight", {"vacuum": "20 kPa", "sealed_vacuum": "20 kPa", "open_flow": "150 m3/h"}),
        ("in the mountains", {"hole": "3/8 in", "sealed_vacuum": "80 inH2O", "open_flow": "90 cfm", "altitude": "1600 m"}),
        ("both", {"hole": 8, "vacuum": 8, "sealed_vacuum": 20, "open_flow": 150}),
        ("more than the motor makes", {"vacuum": 25, "sealed_vacuum": 20, "open_flow": 150}),
    ),
    formulas=("Q = Qm·(1 − p/P0)", "A = Q/(Cd·√(2p/ρ))", "d = √(4A/π)", "H = p/(ρ·g)"),
    limits=(
        mark("One hole in a path that is closed otherwise: several small ones add up to one of this size."),
        mark("The range holds Cd from 0.60 to 0.80, the air's expansion and a motor curve that bows, n from 0.9 to 1.4."),
        mark("The water lift is what the vacuum can hold, not what the air carries."),
    ),
    sources=(mark("Orifice formula; ISO 5167-2 for expansion; straight fan line with bow (common practice)."),),
    lookup=Lookup(mark("Vacuum left by one hole"), mark("hole"), tuple(
        (f"{mm} mm", {"hole": f"{mm} mm", "vacuum": None}) for mm in (3, 4, 5, 6, 8, 10, 12, 15, 20, 25)),
        ("vacuum", "vacuum_share", "leak_flow")),
)
