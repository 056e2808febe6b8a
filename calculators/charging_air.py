"""How much fresh air does the charging place need?

Traction batteries, EN 62485-3:2014: ``Q = 0.055 * n * I_gas`` in m3/h for n cells in series and the gas
current I_gas in ampere; several batteries add. Free opening for natural ventilation ``A = 28 * Q`` in
cm2, inlet and outlet each, for a room of at least ``2.5 * Q`` in m3 (as quoted by a battery supplier).
The gas current is a share of the capacity that depends on the charger's kind, not the charger's rating.

Limits: vented lead-acid cells; local codes decide first.
"""

from . import quantity as q
from .form import Calculator, Field, Figure, Lookup, Result, Span, Working, refuse
from .pictures.charging_air import picture
from .words import _, mark

#: Gas current in A for each 100 Ah (low, high): EN 62485-3 as quoted by a battery supplier.
GAS_CURRENT = {"IU": (2.0, 2.0), "IUI": (6.0, 6.0), "W": (5.0, 7.0)}
AIR_PER_CELL_AMPERE = 0.055
OPENING_PER_FLOW = 28.0
VOLUME_PER_FLOW = 2.5
KEEP_CLEAR = 0.5


def air_flow(cells: int, gas_current: float, batteries: int = 1) -> float:
    """Fresh air in m3/s for `batteries` of `cells` cells with `gas_current` in A: 0.055 n I m3/h each."""
    return AIR_PER_CELL_AMPERE * cells * gas_current * batteries / 3600


def _gas_current(v: dict) -> tuple[float, float]:
    """Gas current in A, low and high."""
    if v["gas_current"] is not None:
        return v["gas_current"], v["gas_current"]
    if v["capacity"] is None:
        raise refuse("gas_current", None, _("a gas current, or a capacity and the charger's kind"))
    if v["charger"] is None:
        raise refuse("charger", None, _("the charger's kind (IU, IUI or W) when no gas current is given"))
    low, high = GAS_CURRENT[v["charger"]]
    hundreds = v["capacity"] / 3600 / 100
    return low * hundreds, high * hundreds


def _run(v: dict) -> Result:
    low, high = _gas_current(v)
    flow = air_flow(v["cells"], high, v["batteries"])
    per_hour = flow * 3600
    opening = OPENING_PER_FLOW * per_hour * 1e-4
    room = v["room_volume"]
    figures = {"air_flow": Span(flow, air_flow(v["cells"], low, v["batteries"]) if low < high else None,
                                flow if low < high else None),
               "vent_area": opening, "keep_clear": KEEP_CLEAR, "least_room": VOLUME_PER_FLOW * per_hour,
               "gas_current": Span(high)}
    said = {"flow": q.write(per_hour), "area": q.write(opening * 1e4), "room": q.write(VOLUME_PER_FLOW * per_hour)}
    if room is None:
        outcome, answer = "air-needed", _("The charging place needs {flow} m³ of fresh air an hour.")
    elif room < VOLUME_PER_FLOW * per_hour * (1 - 1e-12):
        outcome, answer = "forced-air", _("This room is too small for open vents: move {flow} m³ of fresh air an hour "
                                          "with a fan, or charge in a room of at least {room} m³.")
    else:
        outcome, answer = "open-vents", _("Open vents will do: {flow} m³ of fresh air an hour, through an inlet low "
                                          "down and an outlet high up of {area} cm² each.")
    if room is not None:
        figures["air_changes"] = flow / room
    result = Result(outcome, answer.format(**said), figures)
    result.workings = [
        Working("Q = 0.055·n·I_gas", f"0.055·{v['cells']}·{q.write(high)} × {v['batteries']}",
                f"{said['flow']} m³/h"),
        Working("A = 28·Q", f"28·{said['flow']}", f"{said['area']} cm²"),
    ]
    result.cautions = [
        _("Charging gas explodes at 4 % hydrogen in air. Keep flames and sparks 0.5 m away from the vents."),
        _("Local codes and the battery maker's instructions come first."),
    ]
    result.notes = [_("The gas current is a share of the capacity, not the charger's rating.")]
    result.picture = picture(per_hour, opening * 1e4, room, outcome)
    return result


CALCULATOR = Calculator(
    id="charging-air",
    question=mark("How much fresh air does the charging place need?"),
    summary=mark("Air flow and vents for charging vented lead-acid batteries."),
    fields=(
        Field("cells", mark("Cells in the battery"), "integer", mark("12 in a 24 V set, 18 in a 36 V set."), low=1,
              high=120, required=True, machine="battery.cells", what=mark("a number of cells")),
        Field("gas_current", mark("Gas current"), "quantity", mark("Leave empty to take it from capacity and charger."),
              quantity="current", unit="A", low=0, high=500, above=True, what=mark("a current")),
        Field("capacity", mark("Capacity"), "quantity", quantity="charge", unit="Ah", low=0, high=5000, above=True,
              what=mark("a capacity"), machine="battery.capacity"),
        Field("charger", mark("Charger"), "choice", mark("On the charger's plate."),
              choices=(("IU", mark("IU, regulated, 2.4 V a cell")), ("IUI", mark("IUI, regulated, with a final current")),
                       ("W", mark("W, falling current"))), machine="battery.charger"),
        Field("batteries", mark("Batteries charged at once"), "integer", low=1, high=100, default=1,
              what=mark("a number of batteries")),
        Field("room_volume", mark("Volume of the room"), "quantity", quantity="volume", unit="m3", units=("m3", "ft3"),
              low=0, high=1e6, above=True, what=mark("a volume")),
    ),
    figures=(
        Figure("air_flow", mark("fresh air"), "flow", "m3/h", decimals=1),
        Figure("vent_area", mark("each vent, free opening"), "area", "cm2", decimals=0),
        Figure("air_changes", mark("air changes an hour"), "frequency", "1/h", decimals=2),
        Figure("keep_clear", mark("kept clear of sparks"), "length", "m", decimals=1),
        Figure("least_room", mark("least room for open vents"), "volume", "m3", decimals=0, minor=True),
        Figure("gas_current", mark("gas current"), "current", "A", decimals=1, minor=True),
    ),
    outcomes=(("open-vents", mark("open vents will do")), ("forced-air", mark("a fan is needed")),
              ("air-needed", mark("air needed"))),
    run=_run,
    example={"cells": 12, "capacity": "240 Ah", "charger": "IU", "room_volume": "60 m3"},
    examples=(
        ("gas current known", {"cells": 12, "gas_current": "10 A"}),
        ("small room", {"cells": 12, "capacity": "240 Ah", "charger": "W", "batteries": 3, "room_volume": 20}),
    ),
    formulas=("Q = 0.055·n·I_gas (m³/h)", "A = 28·Q (cm²)", mark("room at least 2.5·Q (m³)")),
    limits=(mark("Vented lead-acid traction batteries."), mark("Local codes decide; this figure is where they are silent.")),
    sources=(mark("EN 62485-3:2014; gas currents and openings as quoted from it by a battery supplier."),),
    lookup=Lookup(mark("Fresh air for one battery of 12 cells, by capacity and charger"), mark("battery"), tuple(
        (f"{ah} Ah, {kind}", {"cells": 12, "capacity": f"{ah} Ah", "charger": kind, "room_volume": None})
        for ah in (120, 180, 240, 320) for kind in ("IU", "IUI", "W")), ("air_flow", "vent_area")),
)
