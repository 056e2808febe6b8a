"""What state is this flooded lead-acid set in?

Charge from specific gravity, each cell corrected for temperature, and the run time by Peukert's law.

* Correction: ``g80 = g + 0.004 * (T - 80 degF) / 10 degF`` (common practice of battery makers' tables).
* Charge: straight lines between 1.265, 1.225, 1.190, 1.155 and 1.120 at 80 degF for 100, 75, 50, 25 and
  0 % (common flooded lead-acid table); for another full gravity the table is moved by the difference.
* Run time: ``t = H * (C / (I * H))**k`` with capacity C at the H-hour rate, current I, exponent k
  (Peukert 1897, in the form that returns H at the rated current), times the charge left.

Limits: read after charging and after the set has rested; water added since the last charge reads low.
"""

from . import quantity as q
from .form import Calculator, Field, Figure, Lookup, Result, Span, Table, Working, refuse
from .pictures.battery_charge import picture
from .words import _, mark

#: (gravity at 80 degF of a set that is full at 1.265, charge): a common flooded lead-acid table.
CHARGE_TABLE = ((1.120, 0.0), (1.155, 0.25), (1.190, 0.50), (1.225, 0.75), (1.265, 1.0))
TABLE_FULL = 1.265
REFERENCE_KELVIN = q.to_si(80, "temperature", "degF")
PER_KELVIN = 0.004 / (10 / 1.8)
WEAK_SPREAD = 0.050
CHARGE_NOW = 0.20
CHARGED = 0.75


def corrected(gravity: float, kelvin: float) -> float:
    """Specific gravity at 80 degF of a reading taken at `kelvin`; +0.004 for each 10 degF above."""
    return gravity + PER_KELVIN * (kelvin - REFERENCE_KELVIN)


def charge_of(gravity: float, full: float = TABLE_FULL) -> float:
    """Charge 0 to 1 of a cell whose gravity at 80 degF is `gravity`; `full` is its gravity when full."""
    wanted = gravity - full + TABLE_FULL
    if wanted <= CHARGE_TABLE[0][0]:
        return 0.0
    for (g0, c0), (g1, c1) in zip(CHARGE_TABLE, CHARGE_TABLE[1:], strict=False):
        if wanted <= g1:
            return c0 + (c1 - c0) * (wanted - g0) / (g1 - g0)
    return 1.0


def peukert_time(capacity: float, hours: float, current: float, exponent: float) -> float:
    """Seconds that a full set lasts: t = H (C / (I H))^k; capacity in C, hours in s, current in A."""
    return hours * (capacity / (current * hours)) ** exponent


def _run(v: dict) -> Result:
    readings = [row["gravity"] for row in v["cells"]]
    at80 = [corrected(g, v["electrolyte_temperature"]) for g in readings]
    full = v["full_gravity"]
    mean = sum(at80) / len(at80)
    best, worst = max(at80), min(at80)
    spread = best - worst
    charges = [charge_of(g, full) for g in at80]
    charge = sum(charges) / len(charges)
    weak = [best - g > WEAK_SPREAD + 1e-9 for g in at80]
    result = Result(*_finding(charge, spread, weak))
    result.figures = {"mean_gravity": mean, "charge": charge, "spread": spread}
    result.tables = {"cells": [
        {"cell": i + 1, "corrected": g, "charge": c, "weak": w}
        for i, (g, c, w) in enumerate(zip(at80, charges, weak, strict=True))]}
    celsius = q.write(v["electrolyte_temperature"] - 273.15, decimals=1)
    result.workings = [
        Working(_("gravity at 80 °F = reading + 0.00072·(T − 26.7 °C)"),
                _("first cell: {reading} at {celsius} °C").format(
                    reading=q.write(readings[0], decimals=3), celsius=celsius),
                q.write(at80[0], decimals=3)),
        Working(_("charge: table 1.265, 1.225, 1.190, 1.155, 1.120, moved to the full gravity"),
                _("mean of {count} cells, full at {full}").format(count=len(at80), full=q.write(full, decimals=3)),
                f"{q.write(charge * 100, decimals=0)} %"),
    ]
    _add_run_time(v, charge, result)
    result.cautions = [
        _("Acid burns. Wear eye protection, gloves and an apron when you draw acid into the hydrometer."),
        _("No flame, no spark and no metal tool over the cells: charging gas explodes."),
    ]
    result.notes = [_("Read after charging and a rest. Water added since the last charge makes the reading low.")]
    result.picture = picture(at80, weak, full, charge)
    return result


def _finding(charge: float, spread: float, weak: list[bool]) -> tuple[str, str]:
    percent = q.write(charge * 100, decimals=0)
    gap = q.write(spread, decimals=3)
    if any(weak):
        names = ", ".join(str(i + 1) for i, w in enumerate(weak) if w)
        if charge >= CHARGED:
            return "cell-weak", _("Cell {names} lags: the cells differ by {gap}, more than 0.050, although the set "
                                  "is {percent} % charged.").format(names=names, gap=gap, percent=percent)
        return "recharge-then-test", _("The cells differ by {gap}, but the set is only {percent} % charged. Charge it "
                                       "fully, let it rest, and read again before you blame a cell.").format(
                                           gap=gap, percent=percent)
    if charge < CHARGE_NOW:
        return "charge-now", _("Charge now: the set is at {percent} %, and below 20 % it is harmed.").format(
            percent=percent)
    if charge < CHARGED:
        return "part-charged", _("The set is {percent} % charged and its cells agree.").format(percent=percent)
    return "charged", _("The set is charged, {percent} %, and its cells agree.").format(percent=percent)


def _add_run_time(v: dict, charge: float, result: Result) -> None:
    given = [v["capacity"], v["current"]]
    if all(x is None for x in given):
        return
    if v["capacity"] is None:
        raise refuse("capacity", None, _("a capacity when a current is given"))
    if v["current"] is None:
        raise refuse("current", None, _("a current when a capacity is given"))
    hours = v["capacity_hours"]
    full = peukert_time(v["capacity"], hours, v["current"], v["peukert"])
    result.figures["run_time"] = Span(full * charge)
    result.figures["run_time_full"] = Span(full)
    result.workings.append(Working(
        "t = H·(C/(I·H))^k",
        _("{hours}·({capacity}/({current}·{hours}))^{k}").format(
            hours=q.write(hours / 3600, 4), capacity=q.write(v["capacity"] / 3600, 4),
            current=q.write(v["current"], 4), k=q.write(v["peukert"], 3)),
        f"{q.write(full / 3600)} h"))


CALCULATOR = Calculator(
    id="battery-charge",
    question=mark("What state is this flooded lead-acid set in?"),
    summary=mark("Charge and weak cells from hydrometer readings, and how long the set will run."),
    fields=(
        Field("cells", mark("Cells"), "list", mark("One hydrometer reading for each cell."), least=1, most=60,
              row_title=mark("Cell"), fields=(
                  Field("gravity", mark("Specific gravity"), "number", low=1.0, high=1.4, required=True,
                        what=mark("a specific gravity")),)),
        Field("electrolyte_temperature", mark("Temperature of the acid"), "quantity", quantity="temperature",
              unit="degC", units=("degC", "degF"), low=-30, high=70, default="80 degF", what=mark("a temperature")),
        Field("full_gravity", mark("Gravity when full"), "number", mark("From the battery's own data, at 80 °F."),
              low=1.2, high=1.35, default=1.265, what=mark("a specific gravity"), machine="battery.full_gravity"),
        Field("capacity", mark("Capacity"), "quantity", quantity="charge", unit="Ah", low=0, high=5000, above=True,
              what=mark("a capacity"), machine="battery.capacity"),
        Field("capacity_hours", mark("Hours of that capacity"), "quantity", mark("5 for a capacity at the 5-hour rate."),
              quantity="time", unit="h", low=0, high=100, above=True, default=20, what=mark("a time"),
              machine="battery.capacity_hours"),
        Field("current", mark("Current drawn at work"), "quantity", quantity="current", unit="A", low=0, high=2000,
              above=True, what=mark("a current")),
        Field("peukert", mark("Peukert exponent"), "number", mark("1.1 to 1.3 for flooded cells."), low=1, high=2,
              default=1.2, what=mark("an exponent")),
    ),
    figures=(
        Figure("charge", mark("charged"), show="%", decimals=0),
        Figure("spread", mark("between best and worst cell"), decimals=3),
        Figure("mean_gravity", mark("mean gravity at 80 °F"), decimals=3),
        Figure("run_time", mark("run time from here to empty"), "time", "h", decimals=1),
        Figure("run_time_full", mark("run time of the full set"), "time", "h", decimals=1, minor=True),
    ),
    outcomes=(("charged", mark("charged")), ("part-charged", mark("part charged")), ("charge-now", mark("charge now")),
              ("cell-weak", mark("a cell lags")), ("recharge-then-test", mark("recharge, then test"))),
    tables=(Table("cells", mark("Cell by cell"), (
        Figure("cell", mark("cell"), kind="count"), Figure("corrected", mark("gravity at 80 °F"), decimals=3),
        Figure("charge", mark("charge"), show="%", decimals=0), Figure("weak", mark("lags")))),),
    run=_run,
    example={"cells": [{"gravity": g} for g in (1.262, 1.259, 1.264, 1.258, 1.261, 1.260,
                                                1.257, 1.263, 1.203, 1.260, 1.259, 1.262)],
             "electrolyte_temperature": "22 degC", "full_gravity": 1.265, "capacity": "240 Ah",
             "capacity_hours": "5 h", "current": "48 A"},
    examples=(
        ("charged", {"cells": [{"gravity": 1.265}, {"gravity": 1.262}], "electrolyte_temperature": "80 degF"}),
        ("part charged", {"cells": [{"gravity": 1.190}] * 3}),
        ("charge now", {"cells": [{"gravity": 1.135}] * 3}),
        ("recharge, then test", {"cells": [{"gravity": 1.190}, {"gravity": 1.120}]}),
    ),
    formulas=(mark("gravity at 80 °F = reading + 0.004·(T − 80 °F)/10"), "t = H·(C/(I·H))^k"),
    limits=(
        mark("Flooded lead-acid cells only; a sealed battery has no acid to read."),
        mark("The battery's own table comes before this one."),
        mark("A spread above 0.050 counts once the set has been charged fully."),
    ),
    sources=(
        mark("Common flooded lead-acid table; temperature correction 0.004 per 10 °F (common practice)."),
        mark("Peukert 1897, in the form with the hour rate."),
    ),
    lookup=Lookup(mark("Charge by gravity at 80 °F, full at 1.265"), mark("gravity"), tuple(
        (f"{g:.3f}", {"cells": [{"gravity": g}], "electrolyte_temperature": "80 degF", "full_gravity": 1.265})
        for g in (1.265, 1.250, 1.225, 1.210, 1.190, 1.175, 1.155, 1.140, 1.120)), ("charge",)),
)
