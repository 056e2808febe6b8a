"""Renew at a planned time or run to failure?

Age renewal after Barlow and Hunter with a Weibull life (`weibull`), given as scale and shape or fitted to records of
units that failed and units that did not. Costs are money as typed; what comes out is money for a running hour.

Limits: a renewed part is as good as new; one part; costs that stay the same. Fewer than three failures are too few.
"""

from . import quantity as q
from .form import Calculator, Field, Figure, Lookup, Refusal, Refused, Result, Span, Working, takes
from .pictures.renewal_interval import picture
from .weibull import MOST_SHAPE, Life, fit
from .words import _, mark

HOUR = 3600.0
#: The fewest failures from which a life is fitted.
FEWEST = 3
#: A saving below this share is none.
NOTHING = 1e-3


def _run(v: dict) -> Result:
    life, scale, shape, few = _life(v)
    if life is None:
        return _too_few(v, few)
    planned, failure = float(v["planned_cost"]), float(v["failure_cost"])
    best, to_failure = life.best_age(planned, failure), failure / life.mean
    rate = to_failure if best is None else life.cost_rate(best, planned, failure)
    saving = max(0.0, 1 - rate / to_failure)
    if saving < NOTHING:
        best, rate, saving = None, to_failure, 0.0
    result = Result("run-to-failure" if best is None else "renew-planned", "", {
        "cost_rate": rate, "run_to_failure_rate": to_failure, "saving_share": saving,
        "scale": Span(scale.value * HOUR, *(None if x is None else x * HOUR for x in (scale.low, scale.high))),
        "shape": shape, "mean_life": life.mean * HOUR})
    if best is not None:
        result.figures |= {"best_hours": best * HOUR, "reach_share": life.reached(best)}
    result.answer = _answer(life, best, rate, to_failure, saving, planned, failure)
    _notes(v, result, life, shape, best)
    result.workings = _workings(v, life, best, rate, to_failure, planned, failure)
    result.picture = picture(life, planned, failure, best, rate, to_failure)
    return result


def _life(v: dict) -> tuple[Life | None, Span, Span, int]:
    """The life with its ranges; None where the records are too few, with the number of failures; refuses what clashes."""
    records, scale, shape = v["records"], v["scale"], v["shape"]
    nothing, fields = Span(0.0), {f.name: f for f in CALCULATOR.fields}
    if records:
        clash = [Refusal(name, q.write(value), _("nothing beside records: scale and shape follow from them"))
                 for name, value in (("scale", None if scale is None else scale / HOUR), ("shape", shape))
                 if value is not None]
        if clash:
            raise Refused(clash)
        failures = [row["hours"] / HOUR for row in records if row["failed"]]
        found = fit(failures, [row["hours"] / HOUR for row in records if not row["failed"]])
        if len(failures) < FEWEST or found is None:
            return None, nothing, nothing, len(failures)
        return found.life, Span(found.life.scale, *found.scale), Span(found.life.shape, *found.shape), len(failures)
    if scale is None and shape is None:
        raise Refused([Refusal("records", _("nothing"), _("records of units that failed or did not; or scale and shape"))])
    missing = [Refusal(name, _("nothing"), _("{takes}, beside the other").format(takes=takes(fields[name])))
               for name, value in (("scale", scale), ("shape", shape)) if value is None]
    if missing:
        raise Refused(missing)
    return Life(scale / HOUR, shape), Span(scale / HOUR), Span(shape), 0


def _too_few(v: dict, failures: int) -> Result:
    result = Result("too-few-records", "")
    if failures < FEWEST:
        says = (_("Too few records: one failure is among them, at least {fewest} are needed.") if failures == 1 else
                _("Too few records: {failures} failures are among them, at least {fewest} are needed."))
        result.answer = says.format(failures=failures, fewest=FEWEST)
    else:
        result.answer = _("These records tell no life: the failures lie too close together, or much too far apart.")
    result.notes.append(_("Go on as the maker says, and write down the hours of every unit, failed or renewed whole."))
    result.picture = picture(None, float(v["planned_cost"]), float(v["failure_cost"]), None, 0.0, 0.0)
    return result


def _hours(hours: float) -> str:
    return q.write(hours)


def _money(rate: float) -> str:
    return q.write(rate, decimals=2) if rate >= 0.1 else q.write(rate, 2)


def _answer(life: Life, best: float | None, rate: float, to_failure: float, saving: float, planned: float,
            failure: float) -> str:
    if best is not None:
        return _("Renew it at {hours} running hours: that costs {rate} an hour instead of {other} when it runs to failure, "
                 "{percent} % less.").format(hours=_hours(best), rate=_money(rate), other=_money(to_failure),
                                             percent=q.write(saving * 100, 2))
    if failure <= planned:
        return _("Run it to failure: a failure costs no more than a planned renewal.")
    if life.shape <= 1:
        return _("Run it to failure: it fails no more often when old, so a new one gains nothing.")
    return _("Run it to failure: renewing it by plan would save less than {percent} %.").format(
        percent=q.write(NOTHING * 100))


def _notes(v: dict, result: Result, life: Life, shape: Span, best: float | None) -> None:
    note = result.notes.append
    if best is not None:
        note(_("{percent} % of the units reach that time; the others fail before and are renewed then.").format(
            percent=q.write(result.figures["reach_share"] * 100, 2)))
    if shape.low is not None and shape.low <= 1 < shape.value:
        note(_("The records do not show for certain that it wears out: its shape may be as low as {low}. Go on recording.").format(
            low=q.write(shape.low, 2)))
    if shape.high is not None and shape.value <= 1 < shape.high:
        note(_("The records do not rule out that it wears out: its shape may be as high as {high}. Go on recording.").format(
            high=q.write(shape.high, 2)))
    if v["records"]:
        failed = sum(1 for row in v["records"] if row["failed"])
        note(_("Fitted to {failed} failures and {whole} units that did not fail. The ranges hold in nine cases of ten; with few "
               "failures the shape tends to come out too high.").format(failed=failed, whole=len(v["records"]) - failed))
    note(_("What a failure costs is the whole of it: the part, the labour, the call-out and the time the machine stands."))


def _workings(v: dict, life: Life, best: float | None, rate: float, to_failure: float, planned: float,
              failure: float) -> list[Working]:
    lines = []
    if v["records"]:
        lines.append(Working("Σ t^β·ln t/Σ t^β − 1/β = Σ ln t/r", _("{failures} failures of {units} units").format(
            failures=sum(1 for row in v["records"] if row["failed"]), units=len(v["records"])),
            f"β = {q.write(life.shape)}, η = {_hours(life.scale)} h"))
    lines.append(Working("cf/(η·Γ(1 + 1/β))", f"{q.write(failure, 6)}/({_hours(life.scale)}·Γ(1 + 1/{q.write(life.shape)}))",
                         f"{q.write(to_failure, 4)}"))
    if best is not None:
        lines.append(Working("h(T)·∫R dt − (1 − R) = cp/(cf − cp)",
                             f"{q.write(planned, 6)}/({q.write(failure, 6)} − {q.write(planned, 6)})", f"T = {_hours(best)} h"))
        lines.append(Working("(cp·R + cf·(1 − R))/∫R dt", _("R = {reached}, ∫R dt = {running} h").format(
            reached=q.write(life.reached(best)), running=_hours(life.running(best))), q.write(rate, 4)))
    return lines


_HOURS = {"quantity": "time", "unit": "h", "units": ("h", "d")}


def _records(failed: tuple[int, ...], whole: tuple[int, ...]) -> list[dict]:
    return [{"hours": h, "failed": True} for h in failed] + [{"hours": h, "failed": False} for h in whole]


_EXAMPLE = {"planned_cost": "140", "failure_cost": "460", "records": _records((620, 790, 880, 960, 1150), (700, 1000, 1200))}
_KNOWN = {"planned_cost": "40", "failure_cost": "160", "scale": "300 h", "shape": 2.5}

CALCULATOR = Calculator(
    id="renewal-interval",
    question=mark("Renew at a planned time or run to failure?"),
    summary=mark("The running hours at which a wearing part is best renewed, from costs and records of its life."),
    fields=(
        Field("planned_cost", mark("Cost of a planned renewal"), "decimal", mark("Part and labour, at a time that suits."),
              low=0, high=1e6, above=True, required=True, what=mark("a cost")),
        Field("failure_cost", mark("Cost of a failure"), "decimal",
              mark("Part, labour, call-out, and what it costs that the machine stands."), low=0, high=1e6, above=True,
              required=True, what=mark("a cost")),
        Field("records", mark("Records of units"), "list", mark("Every unit known: how long it ran, and whether it failed."),
              row_title=mark("unit"), most=200, fields=(
                  Field("hours", mark("Hours run"), "quantity", **_HOURS, low=0.01, high=1e6, required=True,
                        what=mark("a running time")),
                  Field("failed", mark("Failed"), "flag", mark("No: it still runs, or was renewed whole."), default=True))),
        Field("scale", mark("Scale of the life"), "quantity", mark("Instead of records: 63 % have failed by then."), **_HOURS,
              low=0.01, high=1e6, what=mark("a running time")),
        Field("shape", mark("Shape of the life"), "number", mark("Instead of records: above 1 wears out."), low=0.1,
              high=MOST_SHAPE, what=mark("a shape")),
    ),
    figures=(
        Figure("best_hours", mark("renew at"), "time", "h", decimals=0),
        Figure("cost_rate", mark("costs for each running hour"), office=True),
        Figure("run_to_failure_rate", mark("when run to failure"), office=True),
        Figure("saving_share", mark("saved"), show="%", decimals=0),
        Figure("reach_share", mark("of the units reach it"), show="%", decimals=0),
        Figure("scale", mark("scale of the life"), "time", "h", decimals=0, minor=True),
        Figure("shape", mark("shape of the life"), decimals=2, minor=True),
        Figure("mean_life", mark("mean life"), "time", "h", decimals=0, minor=True),
    ),
    outcomes=(("renew-planned", mark("renew by plan")), ("run-to-failure", mark("run to failure")),
              ("too-few-records", mark("too few records"))),
    run=_run,
    example=_EXAMPLE,
    examples=(
        ("a life that is known", _KNOWN),
        ("does not wear", _KNOWN | {"shape": 0.9}),
        ("a failure costs no more", _KNOWN | {"failure_cost": 40}),
        ("hardly wears", _KNOWN | {"shape": 1.02, "failure_cost": 45}),
        ("wears sharply", _KNOWN | {"shape": 12}),
        ("two failures", _EXAMPLE | {"records": _records((620, 790), (700,))}),
        ("all at one time", _EXAMPLE | {"records": _records((800, 800, 800), (700,))}),
        ("young failures", _EXAMPLE | {"records": _records((5, 30, 90, 400), (1500, 1500, 1500))}),
        ("neither", {"planned_cost": 40, "failure_cost": 160}),
        ("both", _EXAMPLE | {"scale": "300 h", "shape": 2}),
        ("half", {"planned_cost": 40, "failure_cost": 160, "shape": 2}),
    ),
    formulas=("R = e^(−(t/η)^β)", "(cp·R + cf·(1 − R))/∫R dt", "h(T)·∫R dt − (1 − R) = cp/(cf − cp)", "cf/(η·Γ(1 + 1/β))",
              "Σ t^β·ln t/Σ t^β − 1/β = Σ ln t/r"),
    limits=(
        mark("A renewed part is as good as new, and costs stay as they are."),
        mark("Fewer than three failures are too few; with fewer than ten the shape is uncertain and tends to be too high."),
        mark("Savings below 0.1 % count as none."),
    ),
    sources=(
        mark("Age renewal: Barlow and Hunter 1960, Optimum preventive maintenance policies."),
        mark("Fit with units that did not fail: Cohen 1965; Nelson, Applied Life Data Analysis."),
    ),
    lookup=Lookup(mark("A part with a scale of 1000 h, planned renewal at 100"), mark("cost of a failure, shape"), tuple(
        (f"{cost}, {q.write(shape)}", {"planned_cost": 100, "failure_cost": cost, "shape": shape, "scale": "1000 h",
                                       "records": None})
        for cost in (200, 400, 1000) for shape in (1.5, 2.5, 4)), ("best_hours", "cost_rate", "run_to_failure_rate",
                                                                   "saving_share")),
)
