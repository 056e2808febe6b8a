"""What do I check first, what next?

Bayes' rule over one cause at a time, and the order of checks and remedies with the fewest expected minutes until
the true cause is mended; the method and its limits are in `diagnosis`. The handbook's symptoms fill `faults`.

A cause is called found when it stands out and no single result carries that alone: each result without which it
would stand out no longer was seen twice (`again`). A result written down wrongly is caught by the second look;
until then the cause is only likely, and the answer names what to look at once more.

Limits: one cause at a time is assumed; checks are taken as independent once the cause is given; the
figures of how often a cause occurs are the company's own counts, or invented ones that are marked so.
"""

from itertools import combinations

from . import diagnosis as d
from . import quantity as q
from .form import Calculator, Field, Figure, Refusal, Refused, Result, Table, Working
from .pictures.fault_order import picture
from .words import _, mark

#: The sum of the shares of one check under one cause may miss 1 by this much (rounded shares).
SUM_SLACK = 0.02


class _Faults:
    """The table of faults as read: names beside the numbers that `diagnosis` works with."""

    def __init__(self, v: dict):
        given = v["faults"]
        refusals: list[Refusal] = []
        self.causes = [row["cause"] for row in given["causes"]]
        self.titles = {row["cause"]: row["title"] or row["cause"] for row in given["causes"]}
        self.titles |= {row["check"]: row["title"] or row["check"] for row in given["checks"]}
        _refuse_twice(self.causes, "faults/causes/{}/cause", refusals)
        self.checks = [row["check"] for row in given["checks"]]
        _refuse_twice(self.checks, "faults/checks/{}/check", refusals)
        self.results: list[list[str]] = []
        checks = []
        for number, row in enumerate(given["checks"]):
            results, likely = self._likely(row, f"faults/checks/{number}/likely", refusals)
            self.results.append(results)
            checks.append(d.Check(row["minutes"] / 60, likely))
        weights = d.normal([row["weight"] for row in given["causes"]])
        if weights is None:
            refusals.append(Refusal("faults/causes", "0", _("at least one cause with a weight above 0")))
        if refusals:
            raise Refused(refusals)
        self.table = d.Table(weights, tuple(row["minutes"] / 60 for row in given["causes"]), tuple(checks),
                             v["enough"], v["besides"] / 60, v["certain_only"])

    def _likely(self, row: dict, path: str, refusals: list[Refusal]) -> tuple[list[str], tuple]:
        results: list[str] = []
        shares: dict[tuple[str, str], float] = {}
        for number, cell in enumerate(row["likely"]):
            if cell["cause"] not in self.causes:
                refusals.append(Refusal(f"{path}/{number}/cause", cell["cause"],
                                        _("one of: {choices}").format(choices=", ".join(self.causes))))
                continue
            if cell["result"] not in results:
                results.append(cell["result"])
            if (cell["result"], cell["cause"]) in shares:
                refusals.append(Refusal(f"{path}/{number}", f"{cell['cause']}, {cell['result']}",
                                        _("each cause and result once")))
            shares[cell["result"], cell["cause"]] = cell["share"]
        sums = {}
        for cause in self.causes:
            sums[cause] = sum(shares.get((result, cause), 0.0) for result in results)
            if abs(sums[cause] - 1) > SUM_SLACK:
                refusals.append(Refusal(path, f"{cause}: {q.write(sums[cause] * 100, decimals=0)} %",
                                        _("shares that add up to 100 % for each cause")))
        return results, tuple(tuple(shares.get((result, cause), 0.0) / (sums[cause] or 1) for cause in self.causes)
                              for result in results)

    def found(self, rows: list[dict], path: str) -> list[tuple[int, int]]:
        """Rows of check and result -> indices; refuses names that the table does not hold."""
        refusals: list[Refusal] = []
        pairs = []
        for number, row in enumerate(rows):
            if row["check"] not in self.checks:
                refusals.append(Refusal(f"{path}/{number}/check", row["check"],
                                        _("one of: {choices}").format(choices=", ".join(self.checks))))
                continue
            check = self.checks.index(row["check"])
            if row["result"] not in self.results[check]:
                refusals.append(Refusal(f"{path}/{number}/result", row["result"], _("one of: {choices}").format(
                    choices=", ".join(self.results[check]))))
                continue
            if any(check == other for other, _result in pairs):
                refusals.append(Refusal(f"{path}/{number}/check", row["check"], _("each check once")))
                continue
            pairs.append((check, self.results[check].index(row["result"])))
        if refusals:
            raise Refused(refusals)
        return pairs

    def mended(self, rows: list[dict], path: str) -> list[int]:
        """Rows of causes mended in vain -> indices; refuses names that the table does not hold."""
        refusals = [Refusal(f"{path}/{number}/cause", row["cause"],
                            _("one of: {choices}").format(choices=", ".join(self.causes)))
                    for number, row in enumerate(rows) if row["cause"] not in self.causes]
        _refuse_twice([row["cause"] for row in rows], path + "/{}/cause", refusals)
        if refusals:
            raise Refused(refusals)
        return [self.causes.index(row["cause"]) for row in rows]

    def posterior(self, pairs: list[tuple[int, int]], mended: list[int] = ()) -> tuple[float, ...] | None:
        """Probability of each cause after the results `pairs`, without those mended; None where no cause is left."""
        p = d.normal([0.0 if i in mended else weight for i, weight in enumerate(self.table.weights)])
        for check, result in pairs if p is not None else ():
            _chance, p = d.after(p, self.table.checks[check].likely[result])
            if p is None:
                return None
        return p


def _refuse_twice(names: list[str], path: str, refusals: list[Refusal]) -> None:
    for number, name in enumerate(names):
        if name in names[:number]:
            refusals.append(Refusal(path.format(number), name, _("each name once")))


def _run(v: dict) -> Result:
    faults = _Faults(v)
    pairs = faults.found(v["found"], "found")
    mended = faults.mended(v["mended"], "mended")
    unable = {row["check"] for row in v["cannot"]}
    p = faults.posterior(pairs, mended)
    if p is None:
        return _contradiction(faults, pairs) if faults.posterior(pairs) is None else _all_mended(faults)
    done = {check for check, _result in pairs}
    left = frozenset(i for i, name in enumerate(faults.checks) if i not in done and name not in unable)
    search = d.Search(faults.table)
    values, exact = search.next(p, left)
    order = d.choose(values)
    if order:
        result = Result("check-next", _("Next: {check}.").format(check=faults.titles[faults.checks[order[0]]]))
    else:
        result = _mend(faults, p, search, _carried_once(faults, v["found"], pairs, mended, p, search), left)
    result.figures["top_probability"] = max(p)
    if order:
        result.figures["expected_minutes"] = 60 * values[order[0]].minutes
        result.figures["expected_minutes_by_habit"] = 60 * search.by_habit(p, sorted(left))
        result.notes.append(
            _("The order is exact: every way the checks can turn out was followed.") if exact else
            _("The order looks one step ahead: the table is too large to follow every way it can turn out."))
    result.notes.append(_("One cause at a time is assumed."))
    ranked = sorted(range(len(p)), key=lambda i: (-round(p[i], 12), i))
    result.tables["causes"] = [{"cause": faults.causes[i], "title": faults.titles[faults.causes[i]],
                                "probability": p[i]} for i in ranked if p[i] > d.TINY]
    result.tables["checks"] = [{"check": faults.checks[c], "title": faults.titles[faults.checks[c]],
                                "minutes": faults.table.checks[c].minutes * 60, "order": place + 1,
                                "why": _why(faults, p, c)} for place, c in enumerate(order)]
    result.workings = _workings(faults, pairs, p, ranked[0])
    result.picture = picture([(faults.titles[faults.causes[i]], p[i]) for i in ranked if p[i] > 0.005][:8],
                             found=result.outcome == "found")
    return result


def _carried_once(faults: _Faults, rows: list[dict], pairs, mended, p, search: d.Search) -> list[tuple[int, int]]:
    """Results seen once without which the cause to mend would not stand out, the one it hangs on most first."""
    cause = search.remedies(p)[0]
    without = []
    for place, (row, pair) in enumerate(zip(rows, pairs, strict=True)):
        rest = faults.posterior(pairs[:place] + pairs[place + 1:], mended)
        if not row["again"] and rest[cause] < faults.table.enough - d.TINY:
            without.append((round(rest[cause], 12), place, pair))
    return [pair for _share, _place, pair in sorted(without)]


def _mend(faults: _Faults, p, search: d.Search, once: list[tuple[int, int]], left: frozenset[int]) -> Result:
    """It is time to mend: which cause first, how certain that is, and what to look at once more to be certain."""
    remedies = search.remedies(p)
    first = remedies[0]
    cause, percent = faults.titles[faults.causes[first]], q.write(p[first] * 100, decimals=0)
    if p[first] >= faults.table.enough - d.TINY:
        if once:
            check = faults.titles[faults.checks[once[0][0]]]
            result = Result("likely", _("Likely, {percent} %: {cause}. To be certain, look once more: {check}.").format(
                percent=percent, cause=cause, check=check))
        else:
            result = Result("found", _("It is {percent} % certain: {cause}.").format(percent=percent, cause=cause))
    elif search.telling(p, left):
        result = Result("likely", _("Mend this first, then test: {cause} ({percent} %). No check that is left saves "
                                    "more minutes than it takes.").format(cause=cause, percent=percent))
    else:
        second = remedies[1]
        result = Result("cannot-tell", _("No check is left that tells {cause} ({percent} %) from {second} ({other} %). "
                                         "Mend {cause} first, then test.").format(
            cause=cause, percent=percent, second=faults.titles[faults.causes[second]],
            other=q.write(p[second] * 100, decimals=0)))
    result.tables["remedies"] = [{"cause": faults.causes[i], "title": faults.titles[faults.causes[i]],
                                  "minutes": faults.table.remedies[i] * 60, "order": place + 1}
                                 for place, i in enumerate(remedies)]
    if p[first] >= faults.table.enough - d.TINY:
        result.tables["again"] = [{"check": faults.checks[c], "title": faults.titles[faults.checks[c]],
                                   "result": faults.results[c][r]} for c, r in once]
    return result


def _all_mended(faults: _Faults) -> Result:
    """Every cause that the results leave was mended, and it is still seen."""
    result = Result("contradiction", _("Every cause that these results leave was mended, and it is still seen. Repeat "
                                       "the checks, or look for two faults."))
    result.notes = [_("One cause at a time is assumed.")]
    weights = faults.table.weights
    ranked = sorted(range(len(weights)), key=lambda i: (-weights[i], i))
    result.picture = picture([(faults.titles[faults.causes[i]], weights[i]) for i in ranked][:8])
    return result


def _why(faults: _Faults, p, check: int) -> str:
    """What the check would change: the result that moves a cause the most, in words."""
    best = None
    for number, row in enumerate(faults.table.checks[check].likely):
        chance, after = d.after(p, row)
        if after is None or chance <= d.TINY:
            continue
        for i, (before, now) in enumerate(zip(p, after, strict=True)):
            gain = round(chance * abs(now - before), 12)
            if best is None or gain > best[0]:
                best = (gain, number, i, before, now)
    if best is None:
        return ""
    _gain, number, i, before, now = best
    return _("If the result is “{result}”, {cause} goes from {before} to {now} %.").format(
        result=faults.results[check][number], cause=faults.titles[faults.causes[i]],
        before=q.write(before * 100, decimals=0), now=q.write(now * 100, decimals=0))


def _contradiction(faults: _Faults, pairs: list[tuple[int, int]]) -> Result:
    """The results exclude every cause: name two that clash, or all of them where no two do."""
    clash = next((two for two in combinations(pairs, 2) if faults.posterior(list(two)) is None), None)
    alone = next(([one] for one in pairs if faults.posterior([one]) is None), None)
    named = alone or clash or pairs
    words = [_("{check}: {result}").format(check=faults.titles[faults.checks[c]], result=faults.results[c][r])
             for c, r in named]
    answer = _("These results cannot all be right with one cause: {results}. Repeat them, or look for two faults.")
    result = Result("contradiction", answer.format(results="; ".join(words)))
    result.notes = [_("One cause at a time is assumed.")]
    result.tables["clash"] = [{"check": faults.checks[c], "result": faults.results[c][r]} for c, r in named]
    weights = faults.table.weights  # the picture shows what was likely before these results
    ranked = sorted(range(len(weights)), key=lambda i: (-weights[i], i))
    result.picture = picture([(faults.titles[faults.causes[i]], weights[i]) for i in ranked][:8])
    return result


def _workings(faults: _Faults, pairs, p, top: int) -> list[Working]:
    factors = [q.write(faults.table.weights[top])] + [
        q.write(faults.table.checks[c].likely[r][top]) for c, r in pairs]
    return [Working(_("P(cause | results) = weight × P(result | cause) × …, brought to a sum of 1"),
                    _("{cause}: {factors}").format(cause=faults.titles[faults.causes[top]], factors=" × ".join(factors)),
                    f"{q.write(p[top] * 100, decimals=0)} %")]


def _text(name: str, title: str, **more) -> Field:
    return Field(name, title, "text", **more)


_CAUSE = (
    _text("cause", mark("Cause"), required=True), _text("title", mark("Title")),
    Field("weight", mark("How often"), "number", mark("A count or a share; only proportions matter."), low=0, high=1e9,
          required=True, what=mark("a weight")),
    Field("minutes", mark("Minutes of the remedy"), "quantity", quantity="time", unit="min", low=0, high=1e5,
          default="15 min", what=mark("a time")),
)
_CHECK = (
    _text("check", mark("Check"), required=True), _text("title", mark("Title")),
    Field("minutes", mark("Minutes"), "quantity", quantity="time", unit="min", low=0, high=1e4, required=True,
          what=mark("a time")),
    Field("likely", mark("Results under each cause"), "list", least=1, most=200, row_title=mark("Result"), fields=(
        _text("cause", mark("Cause"), required=True), _text("result", mark("Result"), required=True),
        Field("share", mark("Share"), "quantity", quantity="ratio", unit="1", low=0, high=1, required=True,
              what=mark("a share")))),
)


def _likely(**shares: float) -> list[dict]:
    """Rows for a check with the results yes and no: cause=probability of yes (hyphens as underscores)."""
    return [row for cause, share in shares.items()
            for row in ({"cause": cause.replace("_", "-"), "result": "yes", "share": share},
                        {"cause": cause.replace("_", "-"), "result": "no", "share": round(1 - share, 6)})]


_EXAMPLE_FAULTS = {
    "causes": [
        {"cause": "lid-seal", "title": "tank lid seal leaks", "weight": 32, "minutes": 15},
        {"cause": "drain-cap", "title": "drain cap leaks", "weight": 14, "minutes": 5},
        {"cause": "hose-split", "title": "recovery hose split", "weight": 24, "minutes": 20},
        {"cause": "outlet-blocked", "title": "squeegee outlet blocked", "weight": 18, "minutes": 10},
        {"cause": "motor-tired", "title": "vacuum motor tired", "weight": 12, "minutes": 60},
    ],
    "checks": [
        {"check": "look-lid", "title": "Look at the lid seal", "minutes": 2,
         "likely": _likely(lid_seal=0.8, drain_cap=0.05, hose_split=0.05, outlet_blocked=0.05, motor_tired=0.05)},
        {"check": "feel-cap", "title": "Feel the drain cap", "minutes": 1,
         "likely": _likely(lid_seal=0.02, drain_cap=0.9, hose_split=0.02, outlet_blocked=0.02, motor_tired=0.02)},
        {"check": "port-strong", "title": "Feel the suction at the tank port", "minutes": 4,
         "likely": _likely(lid_seal=0.1, drain_cap=0.1, hose_split=0.95, outlet_blocked=0.95, motor_tired=0.05)},
        {"check": "hose-strong", "title": "Feel the suction at the hose end", "minutes": 3,
         "likely": _likely(lid_seal=0.1, drain_cap=0.1, hose_split=0.1, outlet_blocked=0.9, motor_tired=0.05)},
    ],
}

CALCULATOR = Calculator(
    id="fault-order",
    question=mark("What do I check first, what next?"),
    summary=mark("The causes left with their weights, and the next check that costs the fewest minutes."),
    fields=(
        _text("symptom", mark("What is seen")), _text("machine", mark("Machine")),
        Field("found", mark("Found so far"), "list", most=60, row_title=mark("Result"), fields=(
            _text("check", mark("Check"), required=True), _text("result", mark("Result"), required=True),
            Field("again", mark("Seen twice"), "flag", default=False))),
        Field("mended", mark("Mended in vain"), "list", most=60, row_title=mark("Cause"), fields=(
            _text("cause", mark("Cause"), required=True),)),
        Field("cannot", mark("Cannot be done"), "list", most=60, row_title=mark("Check"), fields=(
            _text("check", mark("Check"), required=True),)),
        Field("faults", mark("Causes and checks"), "object", required=True, fields=(
            Field("causes", mark("Causes"), "list", least=1, most=60, row_title=mark("Cause"), fields=_CAUSE),
            Field("checks", mark("Checks"), "list", least=0, most=60, row_title=mark("Check"), fields=_CHECK))),
        Field("enough", mark("Certain enough"), "quantity", mark("A cause stands out at this probability."),
              quantity="ratio", unit="%", low=50, high=100, default=95, what=mark("a share")),
        Field("besides", mark("A remedy in vain costs besides"), "quantity",
              mark("A part fitted for nothing, a second drive: with more, more is checked before anything is mended."),
              quantity="time", unit="min", low=0, high=1e5, default="10 min", what=mark("a time")),
        Field("certain_only", mark("Mend only what is certain enough"), "flag",
              mark("Check on as long as any check can tell, whatever it costs."), default=False),
    ),
    figures=(
        Figure("expected_minutes", mark("expected until it is mended, in this order"), "time", "min", decimals=0),
        Figure("expected_minutes_by_habit", mark("in the written order"), "time", "min", decimals=0),
        Figure("top_probability", mark("likeliest cause"), show="%", decimals=0),
    ),
    outcomes=(("check-next", mark("check next")), ("likely", mark("likely, not certain")), ("found", mark("found")),
              ("cannot-tell", mark("cannot tell")),
              ("contradiction", mark("the results clash"))),
    tables=(
        Table("causes", mark("Causes left"), (Figure("cause", mark("code")), Figure("title", mark("cause")),
                                              Figure("probability", mark("probability"), show="%", decimals=0))),
        Table("checks", mark("Checks left"), (
            Figure("order", mark("order"), kind="count"), Figure("check", mark("code")), Figure("title", mark("check")),
            Figure("minutes", mark("minutes"), "time", "min", decimals=0), Figure("why", mark("why")))),
        Table("remedies", mark("Remedies in their order"), (
            Figure("order", mark("order"), kind="count"), Figure("cause", mark("code")), Figure("title", mark("cause")),
            Figure("minutes", mark("minutes"), "time", "min", decimals=0))),
        Table("again", mark("Look once more"), (Figure("check", mark("code")), Figure("title", mark("check")),
                                                Figure("result", mark("result")))),
        Table("clash", mark("Results that clash"), (Figure("check", mark("check")), Figure("result", mark("result")))),
    ),
    run=_run,
    example={"symptom": "whole width wet, vacuum sounds normal", "faults": _EXAMPLE_FAULTS,
             "found": [{"check": "look-lid", "result": "no"}]},
    examples=(
        ("found", {"faults": _EXAMPLE_FAULTS, "found": [{"check": "feel-cap", "result": "yes", "again": True},
                                                        {"check": "look-lid", "result": "no", "again": True},
                                                        {"check": "port-strong", "result": "no", "again": True}]}),
        ("seen once", {"faults": _EXAMPLE_FAULTS, "found": [{"check": "feel-cap", "result": "yes"},
                                                            {"check": "look-lid", "result": "no"},
                                                            {"check": "port-strong", "result": "no"}]}),
        ("mended in vain", {"faults": _EXAMPLE_FAULTS, "found": [{"check": "feel-cap", "result": "yes"}],
                            "mended": [{"cause": "drain-cap"}]}),
        ("cannot tell", {"faults": _EXAMPLE_FAULTS, "found": [{"check": "port-strong", "result": "yes"}],
                         "cannot": [{"check": "look-lid"}, {"check": "feel-cap"}, {"check": "hose-strong"}]}),
        ("contradiction", {"faults": {
            "causes": [{"cause": "a", "weight": 1}, {"cause": "b", "weight": 1}],
            "checks": [{"check": "x", "minutes": 1, "likely": _likely(a=1, b=0)},
                       {"check": "y", "minutes": 1, "likely": _likely(a=1, b=0)}]},
            "found": [{"check": "x", "result": "yes"}, {"check": "y", "result": "no"}]}),
    ),
    formulas=(mark("P(cause | results) ∝ weight × ∏ P(result | cause)"),
              mark("minutes to the cause = minutes of the check + Σ P(result) × minutes after it"),
              mark("found = probability large enough, also without any one result seen only once")),
    limits=(mark("One cause at a time."), mark("Checks are taken as independent once the cause is given."),
            mark("As good as the counts it is given.")),
    sources=(mark("Bayes' rule; Kalagnanam and Henrion 1990 for the order of checks (reference/fault_order.csv)."),),
)
