"""How much of the water laid comes back?

``share = recovered / laid``; what stays, ``laid - recovered``, spread over the area is a film
``d = (laid - recovered) / area`` (1 L/m2 is 1 mm). Range: each quantity may be off by the uncertainty u,
so ``(r - u) / (l + u)`` to ``(r + u) / (l - u)``: a bound, not a standard error.

Limits: no published pass mark for pick-up was found; the machine is judged against its own figure,
taken when it was well. Water on the pads, in the dirt and in the air counts as not recovered.
"""

from . import quantity as q
from .form import Calculator, Field, Figure, Lookup, Result, Span, Working, refuse
from .pictures.recovery_rate import picture
from .quantity import WATER_DENSITY
from .words import _, mark

#: A range wider than this says too little to call the machine healthy.
TELLING_WIDTH = 0.06


def share(laid: float, recovered: float, uncertainty: float) -> Span:
    """Recovered share with its bounds; all in m3. `uncertainty` must be below `laid`."""
    return Span(recovered / laid, max(0.0, recovered - uncertainty) / (laid + uncertainty),
                min(1.0, (recovered + uncertainty) / (laid - uncertainty)))


def _run(v: dict) -> Result:
    laid, recovered, u = v["laid"], v["recovered"], v["uncertainty"]
    if u >= laid / 2:
        raise refuse("uncertainty", f"{q.write(u * 1e3)} L", _("less than half of the water laid; lay more water"))
    if recovered > laid + 2 * u + 1e-12:
        raise refuse("recovered", f"{q.write(recovered * 1e3)} L",
                     _("no more than was laid; empty the tank first and repeat"))
    part = share(laid, recovered, u)
    part = Span(min(1.0, part.value), min(part.low, 1.0), part.high)
    outcome, answer = _finding(part, v["healthy_share"])
    result = Result(outcome, answer, {"recovered_share": part})
    result.workings = [Working(_("share = recovered/laid"),
                               f"{q.write(recovered * 1e3)}/{q.write(laid * 1e3)}",
                               f"{q.write(part.value * 100, decimals=1)} %")]
    if v["area"] is not None:
        _add_film(v, result)
    if v["healthy_share"] is None:
        result.notes.append(_("Take this figure as the machine's own once it is set well: there is no published mark."))
    result.cautions = [_("The floor is slippery while you test. Close the area off.")]
    result.picture = picture(part, v["healthy_share"])
    return result


def _finding(part: Span, healthy: float | None) -> tuple[str, str]:
    percent = q.write(part.value * 100, decimals=0)
    if healthy is None:
        return "cannot-tell", _("{percent} % of the water comes back. Whether that is good, only this machine's own "
                                "figure can say.").format(percent=percent)
    own = q.write(healthy * 100, decimals=0)
    if part.high < healthy - 1e-9:
        return "below-healthy", _("{percent} % of the water comes back, less than the {own} % of this machine when "
                                  "it was well.").format(percent=percent, own=own)
    if part.low > healthy - 1e-9 or part.high - part.low <= TELLING_WIDTH:
        return "as-healthy", _("{percent} % of the water comes back, as when this machine was well "
                               "({own} %).").format(percent=percent, own=own)
    return "cannot-tell", _("Between {low} and {high} % comes back; that is too wide to compare with {own} %. Lay more "
                            "water or measure finer.").format(
                                low=q.write(part.low * 100, decimals=0), high=q.write(part.high * 100, decimals=0),
                                own=own)


def _add_film(v: dict, result: Result) -> None:
    left, u, area = max(0.0, v["laid"] - v["recovered"]), v["uncertainty"], v["area"]
    film = Span(left / area, max(0.0, left - 2 * u) / area, (left + 2 * u) / area)
    result.figures["film"] = film
    result.figures["left_per_area"] = Span(*(x * WATER_DENSITY for x in (film.value, film.low, film.high)))
    result.workings.append(Working(_("film = (laid − recovered)/area"),
                                   f"{q.write(left * 1e3)} L/{q.write(area)} m²", f"{q.write(film.value * 1e6)} µm"))
    if v["width"] is not None and v["speed"] is not None:
        seconds = area / (v["width"] * v["speed"])
        result.figures["litres_per_minute"] = v["recovered"] / seconds


CALCULATOR = Calculator(
    id="recovery-rate",
    question=mark("How much of the water laid comes back?"),
    summary=mark("Recovered share, the film left on the floor, and whether it is this machine's own figure."),
    fields=(
        Field("laid", mark("Water laid"), "quantity", mark("Measured or weighed."), quantity="water", unit="L",
              units=("L", "kg", "gal"), low=0, high=1000, above=True, required=True, what=mark("an amount of water")),
        Field("recovered", mark("Water picked up"), "quantity", mark("From an empty, rinsed tank."), quantity="water",
              unit="L", units=("L", "kg", "gal"), low=0, high=1000, required=True, what=mark("an amount of water")),
        Field("area", mark("Floor wetted"), "quantity", quantity="area", unit="m2", units=("m2", "ft2"), low=0,
              high=1e5, above=True, what=mark("an area")),
        Field("width", mark("Width of the squeegee"), "quantity", quantity="length", unit="cm", units=("cm", "in"),
              low=10, high=300, what=mark("a width"), machine="squeegee.width"),
        Field("speed", mark("Speed driven"), "quantity", quantity="speed", unit="km/h", units=("km/h", "m/s", "mph"),
              low=0, high=20, above=True, what=mark("a speed")),
        Field("uncertainty", mark("Uncertainty of each amount"), "quantity", mark("± of the measuring jug or scale."),
              quantity="water", unit="L", units=("L", "kg", "gal"), low=0, high=50, default=0.1,
              what=mark("an uncertainty")),
        Field("healthy_share", mark("This machine's own share"), "quantity", mark("Taken when it was well."),
              quantity="ratio", unit="%", low=0, high=100, above=True, what=mark("a share"),
              machine="recovery.healthy_share"),
    ),
    figures=(
        Figure("recovered_share", mark("comes back"), show="%", decimals=0),
        Figure("film", mark("film left on the floor"), "length", "um", decimals=0),
        Figure("left_per_area", mark("left on the floor"), "area_density", "g/m2", decimals=0),
        Figure("litres_per_minute", mark("lifted a minute"), "water_flow", "L/min", decimals=1),
    ),
    outcomes=(("as-healthy", mark("as when it was well")), ("below-healthy", mark("less than when it was well")),
              ("cannot-tell", mark("cannot tell"))),
    run=_run,
    example={"laid": "10 L", "recovered": "8.7 L", "area": "50 m2", "width": "90 cm", "speed": "4 km/h",
             "healthy_share": "93 %"},
    examples=(
        ("as healthy", {"laid": "10 L", "recovered": "9.3 L", "healthy_share": "93 %"}),
        ("no own figure", {"laid": "10 kg", "recovered": "9.1 kg"}),
        ("too little water", {"laid": "2 L", "recovered": "1.85 L", "uncertainty": "0.2 L", "healthy_share": "95 %"}),
        ("more than laid", {"laid": "10 L", "recovered": "12 L"}),
    ),
    formulas=(mark("share = recovered/laid"), mark("film = (laid − recovered)/area")),
    limits=(mark("Compare with the same machine, floor and water setting only."),
            mark("No published pass mark for pick-up was found.")),
    sources=(mark("Definition; water 998.2 kg/m³ at 20 °C."),),
    lookup=Lookup(mark("Film left when 10 L are laid on 50 m²"), mark("picked up"), tuple(
        (f"{litres:g} L", {"laid": "10 L", "recovered": f"{litres} L", "area": "50 m2", "healthy_share": None})
        for litres in (9.8, 9.5, 9.2, 9.0, 8.5, 8.0, 7.0, 5.0)), ("recovered_share", "film", "left_per_area")),
)
