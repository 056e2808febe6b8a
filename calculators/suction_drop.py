"""Where between motor and floor is the vacuum lost?

Sealed readings, one station closed after the other from the motor outwards: r_i = p_i / p_1, drop
1 - p_i / p_(i-1). A segment is lost for certain when its difference exceeds 2u (u: ± of one reading, 0 to
10 kPa) and what the first station reads lower at the end. The leak seen from station i is
``c_i = Qm (1 - p_i/P0) / sqrt(p_i)``; leaks add, so the hole between two stations is
``A = (c_(i+1) - c_i) / (Cd sqrt(2/rho))``, ``d = sqrt(4 A / pi)``. Its range: `air.hole_between`. P0 is
scaled by the density of the air (altitude -400 to 5000 m, -20 to 60 degC).

Outcomes, in order of `suction_path.judge`: leak, blockage, motor-weak, path-sound, cannot-tell.

Limits: one closed end read at many points says nothing; a straight fan line; one fault in each segment. A
sealed reading shows no blockage but a whole one.
Source: the handbook's own derivation; orifice after ISO 5167-2:2003, air after U.S. Standard Atmosphere 1976.
"""

from . import air
from . import quantity as q
from . import suction_figures as size
from . import suction_path as path
from .asked import AIR_TEMPERATURE, ALTITUDE, OPEN_FLOW, PRESSURES, SEALED_VACUUM
from .form import Calculator, Field, Figure, Lookup, Result, Span, Table, Working
from .pictures.suction_drop import picture
from .suction_words import answer, notes_and_cautions
from .words import _, mark

OUTCOME = {"blocked-through": "blockage", "leak": "leak", "blockage": "blockage", "motor-weak": "motor-weak",
           "flowing-leak": "leak", "sound": "path-sound", "flowing-as-healthy": "path-sound"}


def _run(v: dict) -> Result:
    error = round(v["uncertainty"], 6)
    ambient = air.ambient_pressure(v["altitude"])
    rho = air.density(v["altitude"], v["air_temperature"])
    full = None if v["sealed_vacuum"] is None else v["sealed_vacuum"] * rho / air.STANDARD_DENSITY
    taken = path.take({"readings": v["readings"], "healthy": v["healthy"]}, error, full, ambient)
    now, healthy = taken["readings"], taken["healthy"]
    fell = path.fallen(now, v["first_again"], error)
    found = path.judge(now, healthy, error, full, fell)
    fan = air.Fan(full, v["open_flow"]) if full is not None and v["open_flow"] is not None else None
    rows = [_row(s, now, healthy, fan, full, rho, ambient, error, fell) for s in found.segments]
    figures = _figures(now, found, rows, full, error)
    result = Result(OUTCOME.get(found.kind, "cannot-tell"), answer(found, now, figures, full), figures,
                    {"segments": rows} if rows else {})
    result.notes, result.cautions = notes_and_cautions(found, now, healthy, rows, v, full, fan is not None)
    result.workings = _workings(found, now, fan, full, rho, figures)
    result.picture = picture(now, healthy, found, figures, full)
    return result


def _row(s: path.Segment, now: path.Readings, healthy: path.Readings, fan: air.Fan | None, full: float | None,
         rho: float, ambient: float, error: float, fell: float) -> dict:
    row: dict = {"from": s.near.station, "to": s.far.station, "sure": s.sure}
    if now.flowing:
        row["state"] = s.state
    if s.near.vacuum and s.far.vacuum is not None:
        row["ratio"] = s.far.vacuum / s.near.vacuum
        row["drop"] = 1 - row["ratio"]
    if s.state == "sealed" and fan is not None:
        first = next(iter(now.sealed.values()))
        hole = size.hole(s, first, healthy.sealed.get(first.station), fan, rho, ambient,
                         error + fell / 2)
        if hole is not None:
            row["hole"] = Span(*hole)
    if s.state == "flowing":
        both = [name for name in now.flowing if name in healthy.flowing]
        at = (both[0] if full is not None else both[-1]) if both else None
        last = (now.flowing[at], healthy.flowing[at]) if at else None
        times = size.resistance_ratio(s, last, full, error)
        if times is not None:
            row["resistance_times_healthy"] = Span(*times)
    return row


def _figures(now: path.Readings, found: path.Finding, rows: list[dict], full: float | None,
             error: float) -> dict:
    figures: dict = {}
    main = now.sealed if len(now.sealed) > 1 or not now.flowing else now.flowing
    first, last = next(iter(main.values())), list(main.values())[-1]
    sealed_first = next(iter(now.sealed.values()), None)
    if found.kind == "leak" and found.segment is not None:
        row = next(r for r, s in zip(rows, found.segments, strict=True) if s is found.segment)
        if found.segment.loss is not None:
            lost = found.segment.loss
            figures["lost"] = Span(lost, max(0.0, lost - 2 * error - found.fell), lost + 2 * error)
            every = sum(max(0.0, s.loss or 0.0) for s in found.segments if s.state == "sealed")
            figures["lost_share"] = lost / every
        if "hole" in row:
            figures["hole"] = row["hole"]
    if found.kind == "blockage" and found.segment is not None:
        row = next(r for r, s in zip(rows, found.segments, strict=True) if s is found.segment)
        if "resistance_times_healthy" in row:
            figures["resistance"] = row["resistance_times_healthy"]
    if sealed_first is not None and full is not None:
        value, low, high = size.fan_share(sealed_first, full)
        figures["motor_share"] = Span(value if sealed_first.vacuum is not None else None, low, high)
    if last is not first and first.vacuum and last.vacuum is not None:
        figures["overall_ratio"] = _ratio(first.vacuum, last.vacuum, error)
    state = "sealed" if main is now.sealed else "flowing"
    # behind a reading of nothing there is nothing left to lose
    drops = [(r["drop"], s) for r, s in zip(rows, found.segments, strict=True)
             if "drop" in r and s.state == state and s.near.high > 2 * error + path.SAME]
    if drops:
        worst, s = max(drops, key=lambda d: d[0])
        ratio = _ratio(s.near.vacuum or 0.0, s.far.vacuum or 0.0, error)
        figures["worst_drop"] = Span(worst, 1 - (ratio.high or 0.0), 1 - (ratio.low or 0.0))
    return figures


def _ratio(near: float, far: float, error: float) -> Span:
    """far / near with the range that readings ± error allow; vacuum does not grow away from the motor."""
    low = max(0.0, far - error) / (near + error)
    high = min(1.0, (far + error) / max(near - error, 1.0))
    return Span(far / near, low, max(high, far / near))


def _kpa(pascal: float, decimals: int = 2) -> str:
    return q.write(pascal / 1e3, decimals=decimals)


def _workings(found: path.Finding, now: path.Readings, fan: air.Fan | None, full: float | None, rho: float,
              figures: dict) -> list[Working]:
    lines = []
    first = next(iter(now.sealed.values()), None)
    if first is not None and first.vacuum is not None and full is not None:
        lines.append(Working(_("share of the sealed vacuum = p₁/P0"), f"{_kpa(first.vacuum)}/{_kpa(full)}",
                             q.write(first.vacuum / full)))
    s = found.segment
    if s is None or s.near.vacuum is None or s.far.vacuum is None or not s.near.vacuum:
        return lines
    lines.append(Working("r = pᵢ₊₁/pᵢ", f"{_kpa(s.far.vacuum)}/{_kpa(s.near.vacuum)}",
                         q.write(s.far.vacuum / s.near.vacuum)))
    if found.kind == "leak" and fan is not None and "hole" in figures:
        seen = []
        for name, reading in (("cᵢ", s.near), ("cᵢ₊₁", s.far)):
            p = reading.vacuum or 1.0
            share = 1 - p / max(fan.sealed, first.vacuum or 0.0 if first else 0.0)
            c = fan.open_flow * share / p**0.5
            seen.append(c)
            put_in = f"{q.write(p / 1e3)}/{q.write(fan.sealed / 1e3)})/√{q.write(p, 5)}"
            lines.append(Working(f"{name} = Qm·(1 − p/P0)/√p", f"{q.write(fan.open_flow, 4)}·(1 − {put_in}",
                                 f"{q.write(c * 1e6, 4)}·10⁻⁶ m³/(s·√Pa)"))
        hole = figures["hole"].value
        more = f"({q.write(seen[1] * 1e6, 4)} − {q.write(seen[0] * 1e6, 4)})·10⁻⁶"
        lines.append(Working("A = (cᵢ₊₁ − cᵢ)/(Cd·√(2/ρ))", f"{more}/(0.61·√(2/{q.write(rho)}))",
                             f"{q.write((seen[1] - seen[0]) / (air.CD * (2 / rho) ** 0.5) * 1e6)} mm²"))
        lines.append(Working("d = √(4·A/π)", _("the healthy machine's leak taken off") if s.healthy else "",
                             f"{q.write(hole * 1e3)} mm"))
    if "resistance" in figures:
        lines.append(Working("R/R₀ = (Δp/Δp₀)·(Q₀/Q)²", "", q.write(figures["resistance"].value)))
    return lines


_TITLES = (("motor-inlet", mark("Motor inlet")), ("tank-port", mark("Tank port")),
           ("hose-end", mark("Hose end")), ("squeegee-outlet", mark("Squeegee outlet")))
_GRADE_TITLES = (("none", mark("None")), ("weak", mark("Weak")), ("fair", mark("Fair")),
                 ("strong", mark("Strong")))
_STATES = (("sealed", mark("Sealed: closed at this station")), ("flowing", mark("Flowing: path open")))
_ROW = (
    Field("station", mark("Station"), "choice", mark("Where the path was closed and read."), choices=_TITLES,
          required=True),
    Field("vacuum", mark("Vacuum"), "quantity", mark("What the gauge shows."), quantity="pressure",
          unit="kPa", units=PRESSURES, low=0, high=101, what=mark("a vacuum")),
    Field("grade", mark("By hand"), "choice", mark("Only where there is no gauge."), choices=_GRADE_TITLES),
    Field("state", mark("State"), "choice", mark("Sealed shows leaks, flowing shows blockages."),
          choices=_STATES, default="sealed"),
)


def _survey(*values: float | str, state: str = "sealed") -> list[dict]:
    """Rows of all stations from the motor outwards: gauge readings in kPa, or grades."""
    rows = []
    for (station, _title), value in zip(_TITLES, values, strict=False):
        rows.append({"station": station, "grade" if isinstance(value, str) else "vacuum": value} |
                    ({"state": state} if state != "sealed" else {}))
    return rows


_MOTOR = {"sealed_vacuum": "20 kPa", "open_flow": "150 m3/h"}
_WELL = _survey(8.9, 8.4, 6.6, 6.1, state="flowing")

CALCULATOR = Calculator(
    id="suction-drop",
    question=mark("Where between motor and floor is the vacuum lost?"),
    summary=mark("Readings at the stations of the air path, from the motor outwards, name the stretch that "
                 "leaks or is blocked, or the motor."),
    fields=(
        Field("readings", mark("Readings"), "list",
              mark("From the motor outwards; leave out what was not read."),
              fields=_ROW, least=1, most=8, row_title=mark("Reading")),
        Field("uncertainty", mark("Gauge, ±"), "quantity", mark("How far one reading may be off."),
              quantity="pressure",
              unit="kPa", units=PRESSURES, low=0, high=10, default=0.25, what=mark("an uncertainty")),
        Field("first_again", mark("First station again, at the end"), "quantity",
              mark("Shows whether the battery sank during the survey, which looks like a leak."), quantity="pressure", unit="kPa",
              units=PRESSURES, low=0, high=101, what=mark("a vacuum")),
        SEALED_VACUUM,
        OPEN_FLOW,
        Field("healthy", mark("Readings when it was well"), "list",
              mark("The same stations, read on this machine at this place when it was well."), fields=_ROW,
              least=0, most=8, row_title=mark("Healthy reading"), machine="vacuum.healthy"),
        ALTITUDE,
        AIR_TEMPERATURE,
    ),
    figures=(
        Figure("lost", mark("lost there"), "pressure", "kPa", decimals=1),
        Figure("hole", mark("as one round hole"), "length", "mm", decimals=1),
        Figure("resistance", mark("resistance, times healthy"), decimals=1),
        Figure("lost_share", mark("of all loss along the path"), show="%", decimals=0),
        Figure("motor_share", mark("first reading, of the sealed vacuum"), show="%", decimals=0),
        Figure("overall_ratio", mark("last reading, of the first"), show="%", decimals=0),
        Figure("worst_drop", mark("largest drop in one stretch"), show="%", decimals=0),
    ),
    tables=(Table("segments", mark("Stretch by stretch"), (
        Figure("from", mark("from")), Figure("to", mark("to")), Figure("state", mark("state")),
        Figure("ratio", mark("ratio"), decimals=3), Figure("drop", mark("drop"), show="%", decimals=1),
        Figure("sure", mark("certain")), Figure("hole", mark("hole"), "length", "mm", decimals=1),
        Figure("resistance_times_healthy", mark("resistance, times healthy"), decimals=1),
    ), words=dict(_TITLES) | {"sealed": mark("sealed"), "flowing": mark("flowing")}),),
    outcomes=(("leak", mark("air gets in")), ("blockage", mark("the path is blocked")),
              ("motor-weak", mark("the motor is weak")), ("path-sound", mark("the path is sound")),
              ("cannot-tell", mark("these readings cannot tell"))),
    run=_run,
    example={"readings": _survey(19.4, 19.1, 16.2, 15.9), "uncertainty": 0.25, "first_again": 19.4} | _MOTOR,
    examples=(
        ("lid leaks", {"readings": _survey(19.5, 14.1, 14.0, 13.8)} | _MOTOR),
        ("two leaks", {"readings": _survey(19.6, 19.5, 17.2, 15.8)} | _MOTOR),
        ("sound", {"readings": _survey(19.6, 19.4, 19.4, 19.2)} | _MOTOR),
        ("weak motor", {"readings": _survey(15.1, 15.0, 14.9, 14.8)} | _MOTOR),
        ("weak motor and a leak", {"readings": _survey(15.1, 15.0, 12.4, 12.2)} | _MOTOR),
        ("in the mountains", {"readings": _survey(15.8, 15.7, 15.6, 15.6), "altitude": "1600 m"} | _MOTOR),
        ("blocked through", {"readings": _survey(19.8, 19.7, 0.1, 0)} | _MOTOR),
        ("blocked hose, flowing", {"readings": _survey(13.2, 13.0, 3.1, 2.9, state="flowing"),
                                   "healthy": _WELL} | _MOTOR),
        ("blocked beyond the outlet",
         {"readings": _survey(12.1, 11.8, 10.9, 10.6, state="flowing"), "healthy": _WELL}),
        ("sealed and flowing", {"readings": _survey(19.6, 19.5, 19.4, 19.3) + _survey(13.2, 13.0, 3.1, 2.9,
                                state="flowing"), "healthy": _WELL} | _MOTOR),
        ("all lowered", {"readings": _survey(6.0, 5.6, 4.5, 4.2, state="flowing"),
                         "healthy": _WELL} | _MOTOR),
        ("battery sinks", {"readings": _survey(19.5, 18.9, 18.3, 17.6), "first_again": 17.4} | _MOTOR),
        ("leak and a sinking battery", {"readings": _survey(19.5, 19.2, 14.1, 13.8), "first_again": 18.3} | _MOTOR),
        ("designed bleed", {"readings": _survey(19.4, 18.7, 18.6, 18.5),
                            "healthy": _survey(19.5, 18.8, 18.7, 18.6)} | _MOTOR),
        ("by hand, far apart", {"readings": _survey("strong", "strong", "weak", "weak")}),
        ("by hand, too close", {"readings": _survey("strong", "strong", "fair", "fair")}),
        ("coarse gauge", {"readings": _survey(19, 18, 16, 15), "uncertainty": "2 kPa"} | _MOTOR),
        ("refused: rises", {"readings": _survey(19.4, 15.2, 19.1, 15.9)} | _MOTOR),
        ("refused: twice", {"readings": _survey(19.4, 19.1) + _survey(19.3)}),
    ),
    formulas=("rᵢ = pᵢ/p₁", mark("drop = 1 − pᵢ₊₁/pᵢ; a loss is certain beyond 2u + f"), "c = Qm·(1 − p/P0)/√p",
              "A = (cᵢ₊₁ − cᵢ)/(Cd·√(2/ρ)); d = √(4·A/π)", "R/R₀ = (Δp/Δp₀)·(Q₀/Q)²"),
    limits=(
        mark("The path is closed at one station after the other: one closed end read at many points says "
             "nothing."),
        mark("A sealed reading shows no blockage, but a whole one hides all that lies beyond it."),
        mark("A motor that slows as the battery sinks looks like a leak. A loss counts beyond twice the gauge's error "
             "and what the first station reads lower at the end (f). Without that reading f is taken as 0."),
        mark("The hole takes the straight fan line and Cd 0.61. Its range holds readings ± the gauge, Cd "
             "from 0.60 (thin edge) to 0.80 (thick edge), the air's expansion (2.5 % at 10 kPa, 5 % at 20 "
             "kPa), a motor curve p = P0·(1 − (Q/Qm)ⁿ) with n from 0.9 to 1.4, and a first reading that is "
             "low by a bleed or by a slow motor."),
        mark("That bow is 4 % of the sealed vacuum below the straight line to 12 % above it, at half the "
             "open flow. A bow upwards makes the true hole larger: of the range, most reaches above the "
             "figure."),
        mark("Air: standard atmosphere; the sealed vacuum goes with its density. An unloaded series motor "
             "speeds up a little in thin air and loses less."),
    ),
    sources=(mark("Leak and fan: the handbook's own derivation; check values in the tests."),
             mark("Orifice: ISO 5167-2:2003. Air: U.S. Standard Atmosphere 1976, standard air 1.2 kg/m³ at "
                  "20 °C."),
             mark("Grades by hand, nine tenths for a good motor, the bow of motors: common practice.")),
    lookup=Lookup(mark("Lost between tank port (19.4 kPa) and hose end, motor 20 kPa and 150 m³/h"),
                  mark("hose end reads"), tuple(
        (f"{p} kPa", {"readings": _survey(19.6, 19.4, p, p)})
        for p in (18.5, 18, 17, 16, 15, 14, 12, 10, 8, 5)),
        ("lost", "hole", "overall_ratio")),
)
