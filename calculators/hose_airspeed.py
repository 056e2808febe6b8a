"""Is the air fast enough to carry water up?

``v = Q/(π·D²/4)`` against the band of speeds that carries water up, and what the hose takes of the vacuum (`pipe`).
The air's density is that at the place, its temperature and the vacuum in the hose. The flow is either given, as it
runs in the hose, or read off the motor's straight line ``Q = Qm·(1 − p/P0)`` at a vacuum.

Limits: one straight upright hose; air alone, so water, bends and cuffs take more; the air's density taken as even
along the hose (speeds to 100 m/s and losses to a quarter of the pressure there).
"""

import math

from . import air, pipe
from . import quantity as q
from .asked import AIR_TEMPERATURE, ALTITUDE, OPEN_FLOW, PRESSURES, SEALED_VACUUM
from .form import Calculator, Field, Figure, Lookup, Refusal, Refused, Result, Span, Working
from .pictures.hose_airspeed import picture
from .words import _, mark

#: The fastest air (m/s) and the largest share of the pressure lost that the formulas are used for.
FASTEST, MOST_LOST = 100.0, 0.25
_NEAR = 1e-9


def _run(v: dict) -> Result:
    flow, vacuum, fan = _flow(v)
    rho, mu = air.density(v["altitude"], v["air_temperature"], vacuum), pipe.viscosity(v["air_temperature"])
    bore, area = v["bore"], air.hole_area(v["bore"])
    speed = flow / area
    name = "flow" if fan is None else "flow_at_vacuum"
    if speed > FASTEST * (1 + _NEAR):
        raise Refused([Refusal(name, f"{_flow_of(flow)} m³/h", _(
            "a flow up to {most} m³/h in a bore of {bore} mm: more than {speed} m/s is not reckoned here").format(
                most=_flow_of(FASTEST * area), bore=_mm(bore), speed=q.write(FASTEST)))])
    low, high = pipe.carry_band(bore, rho)
    middle = (low + high) / 2
    smooth = pipe.drop(speed, bore, v["length"], rho, mu)
    times = pipe.CORRUGATED if v["wall"] == "corrugated" else None
    drop = Span(smooth) if times is None else Span(smooth * times[1], smooth * times[0], smooth * times[2])
    pressure = air.ambient_pressure(v["altitude"]) - vacuum
    if drop.value > MOST_LOST * pressure:
        raise Refused([Refusal("length", f"{q.write(v['length'])} m", _(
            "a hose that takes less than {most} kPa: this one would take {drop} kPa").format(
                most=q.write(MOST_LOST * pressure / 1e3), drop=q.write(drop.value / 1e3)))])
    outcome = "carries" if speed >= high * (1 - _NEAR) else "marginal" if speed >= low * (1 - _NEAR) else "too-slow"
    result = Result(outcome, _answer(outcome, speed, low, high), {
        "speed": speed, "carry_speed": Span(middle, low, high),
        "margin": Span(speed / middle - 1, speed / high - 1, speed / low - 1), "drop": drop, "flow": flow,
        "reynolds": pipe.reynolds(speed, bore, rho, mu), "flow_needed": Span(middle * area, low * area, high * area)})
    _notes(v, result, vacuum, drop, outcome)
    result.workings = _workings(v, result, flow, vacuum, fan, rho, mu, low, high, smooth)
    result.picture = picture(speed, low, high, bore, v["length"], v["wall"] == "corrugated")
    return result


def _flow(v: dict) -> tuple[float, float, air.Fan | None]:
    """Flow in the hose, vacuum in it, and the motor where the flow is read off its line; refuses what does not fit."""
    ambient = air.ambient_pressure(v["altitude"])
    if v["flow"] is not None:
        if v["flow_at_vacuum"] is not None:
            raise Refused([Refusal("flow_at_vacuum", _kpa(v["flow_at_vacuum"]),
                                   _("nothing beside a flow; the vacuum in the hose has a field of its own"))])
        vacuum = v["vacuum"] or 0.0
        _within_air("vacuum", vacuum, ambient)
        return v["flow"], vacuum, None
    at = v["flow_at_vacuum"]
    if at is None:
        raise Refused([Refusal("flow", _("nothing"), _("an air flow; or a vacuum with the motor's figures instead"))])
    bad = []
    if v["vacuum"] is not None and abs(v["vacuum"] - at) > 1e-6 * at:
        bad.append(Refusal("vacuum", _kpa(v["vacuum"]), _("nothing beside the vacuum at which the flow is read off")))
    for field in ("sealed_vacuum", "open_flow"):
        if v[field] is None:
            bad.append(Refusal(field, _("nothing"), _("the motor's figure: the flow is read off its line")))
    if bad:
        raise Refused(bad)
    _within_air("flow_at_vacuum", at, ambient)
    fan = air.Fan(v["sealed_vacuum"] * air.density_ratio(v["altitude"], v["air_temperature"]), v["open_flow"])
    if at >= fan.sealed * (1 - _NEAR):
        raise Refused([Refusal("flow_at_vacuum", _kpa(at), _(
            "less than the {sealed} kPa that this motor makes here when nothing flows").format(
                sealed=q.write(fan.sealed / 1e3)))])
    return fan.flow(at), at, fan


def _within_air(field: str, vacuum: float, ambient: float) -> None:
    if vacuum > 0.9 * ambient:
        raise Refused([Refusal(field, _kpa(vacuum), _("at most {most} kPa, nine tenths of the air's own pressure there").format(
            most=q.write(0.9 * ambient / 1e3)))])


def _kpa(pressure: float) -> str:
    return f"{q.write(pressure / 1e3)} kPa"


def _mm(length: float) -> str:
    return q.write(length * 1e3)


def _flow_of(flow: float) -> str:
    return q.write(flow * 3600)


def _answer(outcome: str, speed: float, low: float, high: float) -> str:
    says = {
        "carries": _("The air runs at {speed} m/s: fast enough. Carrying water up takes {low} to {high} m/s."),
        "marginal": _("The air runs at {speed} m/s: that may or may not carry water up, which takes {low} to {high} m/s."),
        "too-slow": _("The air runs at {speed} m/s: too slow. Carrying water up takes {low} to {high} m/s."),
    }[outcome]
    return says.format(speed=_one(speed), low=_one(low), high=_one(high))


def _one(number: float) -> str:
    return q.write(number, decimals=1)


def _notes(v: dict, result: Result, vacuum: float, drop: Span, outcome: str) -> None:
    note = result.notes.append
    if outcome != "carries":
        note(_("Water that is not carried up falls back and lies in the hose. Look for air that gets in before the hose, a "
               "blockage, a tired motor or a hose that is too wide."))
        note(_("This bore needs {low} to {high} m³/h.").format(low=_flow_of(result.figures["flow_needed"].low),
                                                               high=_flow_of(result.figures["flow_needed"].high)))
    note(_("The band begins where droplets are held up. It ends where droplets with a fifth more, and a film on the wall, are "
           "carried for certain."))
    if v["wall"] == "corrugated":
        note(_("Corrugated hose takes {low} to {high} times what a smooth one takes; here three times is shown.").format(
            low=q.write(pipe.CORRUGATED[0]), high=q.write(pipe.CORRUGATED[2])))
    if vacuum == 0:
        note(_("No vacuum in the hose was given: the air is taken as thick as outside. Under vacuum it is thinner and must "
               "run faster."))
    elif drop.value > vacuum:
        note(_("The hose takes more than the whole vacuum: this flow cannot run through it. Check flow, bore and length."))


def _workings(v: dict, result: Result, flow: float, vacuum: float, fan: air.Fan | None, rho: float, mu: float, low: float,
              high: float, smooth: float) -> list[Working]:
    speed, bore, lines = result.figures["speed"], v["bore"], []
    ambient = air.ambient_pressure(v["altitude"])
    lines.append(Working(_("ρ = 1.2·(p − vacuum)/101325·293.15/T"), _("p = {ambient} kPa, vacuum {vacuum} kPa, T = {kelvin} K").format(
        ambient=q.write(ambient / 1e3, 4), vacuum=q.write(vacuum / 1e3), kelvin=q.write(v["air_temperature"], 4)),
        f"{q.write(rho, 4)} kg/m³"))
    if fan is not None:
        lines.append(Working("Q = Qm·(1 − p/P0)", f"{_flow_of(fan.open_flow)}·(1 − {_kpa(vacuum)}/{_kpa(fan.sealed)})",
                             f"{_flow_of(flow)} m³/h"))
    lines.append(Working("v = Q/(π·D²/4)", f"{_flow_of(flow)} m³/h, {_mm(bore)} mm", f"{q.write(speed)} m/s"))
    lines.append(Working("v = 5.464·(σ·(ρl − ρg)/ρg²)^0.25", f"5.464·({q.write(pipe.SURFACE_TENSION)}·({q.write(q.WATER_DENSITY, 4)} − {q.write(rho)})/"
                         f"{q.write(rho)}²)^0.25", f"{q.write(low)} m/s"))
    lines.append(Working("v = √(g·D·(ρl − ρg)/ρg)", f"√({q.write(pipe.GRAVITY)}·{q.write(bore)}·{q.write(q.WATER_DENSITY - rho, 4)}/{q.write(rho)})",
                         f"{q.write(pipe.flooding_speed(bore, rho))} m/s"))
    factor = pipe.friction_factor(result.figures["reynolds"])
    lines.append(Working("Δp = f·(L/D)·ρv²/2", f"{q.write(factor)}·({q.write(v['length'])}/{q.write(bore)})·{q.write(rho)}·"
                         f"{q.write(speed)}²/2", _("{drop} kPa in a smooth hose").format(drop=q.write(smooth / 1e3))))
    return lines


_PRESSURE = {"quantity": "pressure", "unit": "kPa", "units": PRESSURES}
_MOTOR = {"sealed_vacuum": "20 kPa", "open_flow": "150 m3/h"}
_HOSE = {"bore": "38 mm", "length": "1.5 m", "wall": "corrugated"}
_EXAMPLE = {"flow_at_vacuum": "8 kPa", **_MOTOR, **_HOSE}

CALCULATOR = Calculator(
    id="hose-airspeed",
    question=mark("Is the air fast enough to carry water up?"),
    summary=mark("Speed of the air in the hose against the speed that carries water, and what the hose takes."),
    fields=(
        Field("flow_at_vacuum", mark("Vacuum at work"), "quantity",
              mark("The flow is then read off the motor's line. Or give the flow instead."), **_PRESSURE, low=0, high=101,
              above=True, what=mark("a vacuum")),
        Field("flow", mark("Air flow in the hose"), "quantity", mark("Instead of the vacuum at work."),
              quantity="flow", unit="m3/h", units=OPEN_FLOW.units, low=0, high=2000, above=True, what=mark("an air flow")),
        Field("vacuum", mark("Vacuum in the hose"), "quantity", mark("Beside a flow, for the air's density there."),
              **_PRESSURE, low=0, high=101, what=mark("a vacuum")),
        SEALED_VACUUM,
        OPEN_FLOW,
        Field("bore", mark("Bore of the hose"), "quantity", mark("Inside, where it is narrowest."), quantity="length",
              unit="mm", units=("mm", "in"), low=10, high=200, required=True, what=mark("a bore"), machine="hose.bore"),
        Field("length", mark("Length of the hose"), "quantity", quantity="length", unit="m", units=("m", "ft"), low=0,
              high=50, above=True, required=True, what=mark("a length"), machine="hose.length"),
        Field("wall", mark("Wall"), "choice", default="corrugated", machine="hose.wall",
              choices=(("smooth", mark("smooth")), ("corrugated", mark("corrugated")))),
        ALTITUDE,
        AIR_TEMPERATURE,
    ),
    figures=(
        Figure("speed", mark("speed of the air"), "speed", "m/s", decimals=1),
        Figure("carry_speed", mark("speed that carries water"), "speed", "m/s", decimals=1),
        Figure("margin", mark("faster than that by"), show="%", decimals=0),
        Figure("drop", mark("the hose takes"), "pressure", "kPa", decimals=2),
        Figure("flow", mark("air flow"), "flow", "m3/h", decimals=0),
        Figure("flow_needed", mark("flow that carries water"), "flow", "m3/h", decimals=0, minor=True),
        Figure("reynolds", mark("Reynolds number"), decimals=0, minor=True),
    ),
    outcomes=(("carries", mark("carries water")), ("marginal", mark("marginal")), ("too-slow", mark("too slow"))),
    run=_run,
    example=_EXAMPLE,
    examples=(
        ("by flow, smooth", {"flow": "60 m3/h", "bore": "38.1 mm", "length": "1.5 m", "wall": "smooth"}),
        ("marginal", {"flow": "66 m3/h", "vacuum": "8 kPa", **_HOSE}),
        ("too slow", {"flow": "40 m3/h", "vacuum": "8 kPa", **_HOSE}),
        ("barely moving", {"flow": "0.5 m3/h", "bore": "50 mm", "length": "2 m", "wall": "smooth"}),
        ("wide, in the mountains", {"flow_at_vacuum": "30 inH2O", "sealed_vacuum": "80 inH2O", "open_flow": "90 cfm",
                                    "bore": "2 in", "length": "6 ft", "altitude": "5000 ft", "air_temperature": "90 degF"}),
        ("no flow", {**_MOTOR, **_HOSE}),
        ("both", _EXAMPLE | {"flow": "60 m3/h", "vacuum": "3 kPa"}),
        ("no motor", {"flow_at_vacuum": "10 kPa", "vacuum": "9 kPa", **_HOSE}),
        ("nothing flows", _EXAMPLE | {"flow_at_vacuum": "20 kPa"}),
        ("too fast", {"flow": "900 m3/h", **_HOSE}),
        ("too long", {"flow": "60 m3/h", "bore": "20 mm", "length": "40 m"}),
        ("more vacuum than air", {"flow": "60 m3/h", "vacuum": "95 kPa", **_HOSE}),
    ),
    formulas=("v = Q/(π·D²/4)", "Q = Qm·(1 − p/P0)", "v = 5.464·(σ·(ρl − ρg)/ρg²)^0.25", "v = √(g·D·(ρl − ρg)/ρg)",
              "Δp = f·(L/D)·ρv²/2", "1/√f = −2·lg(2.51/(Re·√f))", "f = 64/Re"),
    limits=(
        mark("A straight upright hose with air alone: water in it, bends and cuffs take more."),
        mark("The band of speeds is drawn from two criteria for upright pipes; a floor machine's hose is short and winds."),
        mark("A corrugated hose takes two to four times what a smooth one takes: common practice, no published bound."),
        mark("Speeds up to 100 m/s, and a loss up to a quarter of the pressure in the hose."),
    ),
    sources=(
        mark("Droplets: Turner, Hubbard and Dukler 1969. Flooding: Wallis 1969."),
        mark("Friction: Darcy, Colebrook 1939. Viscosity and pressure of air: U.S. Standard Atmosphere 1976."),
    ),
    lookup=Lookup(mark("Air in a corrugated hose of 38 mm, 1.5 m long, under 8 kPa"), mark("air flow"), tuple(
        (f"{flow} m³/h", {"flow": f"{flow} m3/h", "vacuum": "8 kPa", "flow_at_vacuum": None})
        for flow in (20, 30, 40, 50, 60, 70, 80, 90, 100, 120)), ("speed", "carry_speed", "margin", "drop")),
)
