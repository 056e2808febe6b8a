"""How long will this edge last, and when must a new blade be on the shelf?

The flat's width grows with the square root of the hours; the fit and its 90 % range are in `wear`.

Limits: constant floor, load and cleaning; hours of running stand for sliding distance.
"""

import datetime
import math

from . import quantity as q
from .form import Calculator, Field, Figure, Lookup, Result, Span, Table, Working, refuse
from .numeric import t_quantile
from .pictures.edge_life import picture
from .wear import DAY, HOUR, MOST, Wear, fit, hours_at, with_floors
from .words import _, mark

MM = 1e-3
#: Days beyond which no date is given.
MOST_DAYS = 36500
#: A forecast that reaches further than this many times the readings is warned of.
FAR = 4.0


def _run(v: dict) -> Result:
    rows, again = _readings(v)
    limit, resolution = v["flat_limit"], v["flat_resolution"]
    pairs = [(t, f) for t, f, _row in rows]
    wear = with_floors(fit(pairs, resolution), pairs, limit, v["floors"])
    edge = hours_at(limit, wear)
    if edge.value is None:
        _t, flat, row = rows[-1]
        raise refuse(f"readings/{row}/flat", f"{_mm(flat)} mm",
                     _("a flat wide enough to measure wear by: run the edge on and read it again"))
    now = rows[-1][0]
    at_end = [f for t, f, _row in rows if t >= now * (1 - 1e-9)]
    last = math.fsum(at_end) / len(at_end)
    past = edge.value <= now * (1 + 1e-9) or max(at_end) >= limit * (1 - 1e-9)
    left = Span(0.0 if past else edge.value - now, 0.0 if past else max(0.0, edge.low - now),
                None if edge.high is None else max(0.0, edge.high - now))
    more = v["edges"] - v["edge_now"]
    blade = Span(left.value + more * edge.value, left.low + more * edge.low,
                 None if left.high is None else left.high + more * edge.high)
    result = Result("", "", {"edge_hours": edge, "hours_left": left, "used_share": (last / limit) ** 2,
                             "blade_hours_left": blade, "reach": edge.value / now})
    if last > 0 and now * limit / last < MOST:
        result.figures["straight_line_hours"] = now * limit / last
    dates = _dates(v, left, blade, more)
    result.outcome = _outcome(v, left, past, more)
    result.answer = _answer(v, result.outcome, edge, left, max(at_end), now, dates)
    if dates:
        result.tables["dates"] = [{"what": what, **{key: None if day is None else day.isoformat()
                                                    for key, day in days.items()}} for what, days in dates.items()]
    _notes(v, result, wear, again, past, dates)
    _cautions(v, result, rows, dates)
    _workings(result, rows, wear, limit, edge)
    result.picture = picture([(t / HOUR, f / MM) for t, f, _row in rows], tuple(
        a * math.sqrt(HOUR) / MM for a in (wear.a, max(0.0, wear.low), wear.high)), limit / MM,
        _hours(edge), result.figures.get("straight_line_hours", 0.0) / HOUR, past)
    return result


def _mm(length: float) -> str:
    return q.write(length / MM)


def _hours(span: Span) -> tuple[float, float | None, float | None]:
    return tuple(None if x is None else x / HOUR for x in (span.value, span.low, span.high))


def _h(seconds: float) -> str:
    """Hours for a sentence: whole ones, below ten with one decimal."""
    hours = seconds / HOUR
    return q.write(hours, decimals=0 if q.rounded(hours) >= 9.95 else 1)


def _readings(v: dict) -> tuple[list[tuple[float, float, int]], int]:
    """(seconds, metres, row) by hours, the same reading typed twice taken once; how many were dropped.

    Refuses an edge beyond the last, readings without wear, and readings that shrink with the hours.
    """
    if v["edge_now"] > v["edges"]:
        raise refuse("edge_now", v["edge_now"], _("a whole number from 1 to {edges}, the edges of this blade").format(
            edges=v["edges"]))
    kept: dict[tuple[float, float], tuple[float, float, int]] = {}
    for number, reading in enumerate(v["readings"]):
        hours, flat = reading["hours"], reading["flat"]
        kept.setdefault((q.rounded(hours), q.rounded(flat)), (hours, flat, number))
    rows = sorted(kept.values())
    again = len(v["readings"]) - len(rows)
    if all(flat == 0 for _t, flat, _row in rows):
        raise refuse(f"readings/{rows[-1][2]}/flat", "0 mm",
                     _("a flat wider than 0: an edge without wear has no forecast yet"))
    fall = _fall(rows)
    if fall > 2 * v["flat_resolution"] * (1 + 1e-9):
        t, flat, row = rows[-1]
        raise refuse(f"readings/{row}/flat", f"{_mm(flat)} mm",
                     _("a flat that grows with the hours: these shrink by {fall} mm up to {hours} h. Measure again, "
                       "and give the readings of one edge only").format(fall=_mm(fall), hours=_h(t)))
    return rows, again


def _fall(rows: list[tuple[float, float, int]]) -> float:
    """How much the straight line through the readings (over √t) falls from the first to the last, in metres."""
    roots = [math.sqrt(t) for t, _f, _row in rows]
    span = roots[-1] - roots[0]
    if span <= 1e-9 * roots[-1]:
        return 0.0
    middle = math.fsum(roots) / len(roots)
    width = math.fsum((x - middle) ** 2 for x in roots)
    return -span * math.fsum((x - middle) * f for x, (_t, f, _row) in zip(roots, rows, strict=True)) / width


def _outcome(v: dict, left: Span, past: bool, more: int) -> str:
    if past:
        return "turn-now" if more else "renew-now"
    share = v["hours_per_week"]
    if share is not None and left.value <= 7 * DAY * share * (1 + 1e-9):
        return "turn-soon"
    return "fit-for-use"


# ---- dates ----

def _dates(v: dict, left: Span, blade: Span, more: int) -> dict[str, dict[str, datetime.date | None]]:
    """turn_by (while edges are left), renew_by, order_by: each the date, early and late; {} without inputs."""
    start, share = v["read_on"], v["hours_per_week"]
    if start is None or share is None:
        return {}

    def day(seconds: float | None, less: int = 0) -> datetime.date | None:
        if seconds is None or seconds / share > MOST_DAYS * DAY:
            return None
        # The last whole day before the limit; what lacks no more than an hour of a day counts as whole.
        days = math.floor(seconds / share / DAY + 1 / 24 + 1e-6) - less
        try:
            return start + datetime.timedelta(days=days)
        except OverflowError:
            return None

    def days(span: Span, less: int = 0) -> dict[str, datetime.date | None]:
        return {"date": day(span.value, less), "early": day(span.low, less), "late": day(span.high, less)}

    lead = math.ceil(v["lead_time"] / DAY - 1e-9)
    turn = {"turn_by": days(left)} if more else {}
    return turn | {"renew_by": days(blade), "order_by": days(blade, lead)}


_MONTHS = (mark("January"), mark("February"), mark("March"), mark("April"), mark("May"), mark("June"), mark("July"),
           mark("August"), mark("September"), mark("October"), mark("November"), mark("December"))


def _said(day: datetime.date) -> str:
    return _("{day} {month} {year}").format(day=day.day, month=_(_MONTHS[day.month - 1]), year=day.year)


# ---- words ----

def _answer(v: dict, outcome: str, edge: Span, left: Span, flat: float, now: float, dates: dict) -> str:
    last_edge = v["edge_now"] == v["edges"]
    hours, limit = _h(left.value), _mm(v["flat_limit"])
    if outcome in ("turn-now", "renew-now"):
        if flat >= v["flat_limit"] * (1 - 1e-9):
            says = (_("Renew the blade now: its last edge has a flat of {flat} mm, and the limit is {limit} mm.")
                    if last_edge else
                    _("Turn the blade now: this edge has a flat of {flat} mm, and the limit is {limit} mm."))
        else:
            says = (_("Renew the blade now: by its wear the last edge reached the limit of {limit} mm about "
                      "{ago} hours ago.") if last_edge else
                    _("Turn the blade now: by its wear this edge reached the limit of {limit} mm about {ago} hours "
                      "ago."))
        says = says.format(flat=_mm(flat), limit=limit, ago=_h(max(0.0, now - edge.value)))
    elif outcome == "turn-soon":
        says = (_("Renew the blade within the week: its last edge is good for about {hours} hours more.") if last_edge
                else _("Turn the blade within the week: this edge is good for about {hours} hours more."))
        says = says.format(hours=hours)
    else:
        says = (_("This edge, the last, is good for about {hours} hours more.") if last_edge else
                _("This edge is good for about {hours} hours more.")).format(hours=hours)
    return f"{says} {when}" if (when := _when(outcome, dates)) else says


def _when(outcome: str, dates: dict) -> str:
    """The second sentence: by when to turn or renew, and by when a new blade must be on the shelf."""
    if not dates or dates["renew_by"]["early"] is None:
        return ""
    shelf = _said(dates["renew_by"]["early"])
    if outcome == "renew-now":
        return ""
    turn = dates.get("turn_by", {}).get("date")
    if outcome == "fit-for-use" and turn:
        return _("Turn the blade by {turn}, and have a new blade on the shelf by {shelf}.").format(
            turn=_said(turn), shelf=shelf)
    if outcome == "fit-for-use" and "turn_by" not in dates and dates["renew_by"]["date"]:
        return _("Renew the blade by {renew}, and have the new one on the shelf by {shelf}.").format(
            renew=_said(dates["renew_by"]["date"]), shelf=shelf)
    return _("Have a new blade on the shelf by {shelf}.").format(shelf=shelf)


def _notes(v: dict, result: Result, wear: Wear, again: int, past: bool, dates: dict) -> None:
    figures, say = result.figures, result.notes.append
    if not past:
        say(_("The forecast reaches {times} times as far as the readings. It holds while floor, load and cleaning stay "
              "as they are.").format(times=q.write(figures["reach"], decimals=1)))
    resolution = _mm(v["flat_resolution"])
    if wear.count == 1:
        say(_("There is one reading. The range is what {resolution} mm either way allows; a second reading on another "
              "day shows the scatter.").format(resolution=resolution))
    elif wear.by_resolution:
        say(_("The readings agree better than they can be read. The range is what reading to {resolution} mm "
              "allows.").format(resolution=resolution))
    if figures["edge_hours"].high is None:
        say(_("The readings are too few, too alike or too scattered to give an upper end of the range."))
    if again:
        say(_("The same hours and width were given more than once and are counted once."))
    straight = figures.get("straight_line_hours")
    if not past and straight is not None and straight < figures["edge_hours"].value * 0.95:
        wasted = 1 - straight / figures["edge_hours"].value
        say(_("Judged in a straight line this edge would be turned at {hours} hours, with {percent} % of its life "
              "thrown away.").format(hours=_h(straight), percent=q.write(wasted * 100, decimals=0)))
    if v["edge_now"] < v["edges"]:
        say(_("The edges that are left are taken to last as long as this one."))
    if not dates:
        say(_("For dates, give the day of the last reading and the hours a week."))
    elif any(days["date"] is None for days in dates.values()):
        say(_("A date more than a hundred years off is not given."))


def _cautions(v: dict, result: Result, rows: list[tuple[float, float, int]], dates: dict) -> None:
    say = result.cautions.append
    widest: tuple[float, float, int] | None = None
    for row in rows:
        if widest and row[0] > widest[0] and row[1] < widest[1] - 2 * v["flat_resolution"] * (1 + 1e-9):
            say(_("The flat at {hours} h is narrower than the one at {before} h. A flat never shrinks: measure it "
                  "again.").format(hours=_h(row[0]), before=_h(widest[0])))
        if widest is None or row[1] > widest[1]:
            widest = row
    if result.figures["reach"] > FAR * (1 + 1e-9):
        say(_("The forecast reaches far beyond the readings. Read the edge again before you rely on it."))
    order = dates.get("order_by", {}).get("early") if dates else None
    if order is not None and order <= v["read_on"] or result.outcome == "renew-now":
        say(_("Order a new blade now if none is on the shelf."))
    say(_("Before you read or turn an edge: key out, plug apart, squeegee blocked up."))


def _workings(result: Result, rows: list, wear: Wear, limit: float, edge: Span) -> None:
    scale = math.sqrt(HOUR) / MM
    top = math.fsum(f / MM * math.sqrt(t / HOUR) for t, f, _row in rows)
    total = math.fsum(t for t, _f, _row in rows) / HOUR
    a = q.write(wear.a * scale, 4)
    result.workings = [
        Working("a = Σ(f·√t)/Σt", f"{q.write(top, 5)}/{q.write(total, 5)}", f"{a} mm/√h"),
        Working(_("hours at the limit = (limit/a)²"), f"({_mm(limit)}/{a})²", f"{_h(edge.value)} h"),
    ]
    reading = math.sqrt(max(0.0, (wear.high - wear.a) ** 2 - wear.floors**2))
    half = q.write(reading * scale, 3)
    if wear.count == 1:
        numbers = f"{q.write(rows[0][1] / MM)} ± {q.write(reading * math.sqrt(rows[0][0]) / MM)} mm"
        rule = _("range of a = resolution/√t")
    elif wear.by_resolution:
        rule, numbers = _("90 % range of a = ± 1.645·(resolution/√12)/√Σt"), f"a ± {half}"
    else:
        rule = _("90 % range of a = ± t·s/√Σt, Student's t (degrees of freedom: {freedom})").format(
            freedom=wear.count - 1)
        numbers = (f"t = {q.write(t_quantile(0.95, wear.count - 1), 4)}, s = {q.write(wear.spread / MM, 3)} mm, "
                   f"a ± {half}")
    until = _("{low} h or more").format(low=_h(edge.low)) if edge.high is None else _("{low} to {high} h").format(
        low=_h(edge.low), high=_h(edge.high))
    if not wear.floors:
        result.workings.append(Working(rule, numbers, until))
        return
    floors, both = q.write(wear.floors * scale, 3), q.write((wear.high - wear.a) * scale, 3)
    result.workings += [Working(rule, numbers, f"± {half} mm/√h"),
                        Working(_("with the floors to come, in squares"), f"√({half}² + {floors}²) = {both}", until)]


_EXAMPLE = {
    "readings": [{"hours": 25, "flat": 0.5}, {"hours": 50, "flat": 0.8}, {"hours": 75, "flat": 0.9},
                 {"hours": 100, "flat": 1.1}],
    "flat_limit": "2 mm", "edge_now": 2, "edges": 4, "hours_per_week": 30, "read_on": "2026-11-23", "lead_time": 7,
}

CALCULATOR = Calculator(
    id="edge-life",
    question=mark("How long will this edge last, and when must a new blade be on the shelf?"),
    summary=mark("From the width of the worn flat at a few hours: hours and dates to turn, renew and order."),
    fields=(
        Field("readings", mark("Readings of this edge"), "list", mark("One row for each time the edge was read."),
              fields=(
                  Field("hours", mark("Hours run on this edge"), "quantity", mark("From the hour meter."),
                        quantity="time", unit="h", units=("h",), low=0.1, high=50000, required=True,
                        what=mark("hours")),
                  Field("flat", mark("Width of the flat"), "quantity", mark("The widest place of the worn edge."),
                        quantity="length", unit="mm", units=("mm", "in"), low=0, high=20, required=True,
                        what=mark("a width")),
              ), least=1, most=50, required=True, row_title=mark("Reading")),
        Field("flat_limit", mark("Flat at the limit"), "quantity", mark("Turn the blade when the flat is this wide."),
              quantity="length", unit="mm", units=("mm", "in"), low=0.1, high=20, default=2, what=mark("a width"),
              machine="squeegee.flat_limit"),
        Field("edge_now", mark("Edge in use"), "integer", mark("1 for a new blade."), low=1, high=8, default=1),
        Field("edges", mark("Edges of the blade"), "integer", low=1, high=8, default=4, machine="squeegee.edges"),
        Field("hours_per_week", mark("Hours a week"), "quantity", mark("Running time of the machine."), quantity="duty",
              unit="h/week", units=("h/week", "h/d"), low=0, high=168, above=True, what=mark("a running time")),
        Field("read_on", mark("Day of the last reading"), "date"),
        Field("lead_time", mark("Days from order to shelf"), "quantity", quantity="time", unit="d", units=("d",), low=0,
              high=730, default=7, what=mark("a time")),
        Field("flat_resolution", mark("Read to the nearest"), "quantity", mark("What one reading may be off by."),
              quantity="length", unit="mm", units=("mm", "in"), low=0.001, high=2, default=0.1,
              what=mark("a resolution")),
        Field("floors", mark("Floors differ by"), "quantity",
              mark("How much faster or slower one week's floors wear an edge than the mean."), quantity="ratio",
              unit="%", low=0, high=100, default=10, what=mark("a share")),
    ),
    figures=(
        Figure("hours_left", mark("left on this edge"), "time", "h", decimals=0),
        Figure("edge_hours", mark("hours at the limit"), "time", "h", decimals=0),
        Figure("used_share", mark("of its life used"), show="%", decimals=0),
        Figure("blade_hours_left", mark("left on the whole blade"), "time", "h", decimals=0),
        Figure("straight_line_hours", mark("judged in a straight line"), "time", "h", decimals=0, minor=True),
        Figure("reach", mark("forecast over readings"), decimals=1, minor=True),
    ),
    tables=(Table("dates", mark("Dates"), (
        Figure("what", mark("what")), Figure("date", mark("by")), Figure("early", mark("early")),
        Figure("late", mark("late"))),
        {"turn_by": mark("turn the blade"), "renew_by": mark("renew the blade"),
         "order_by": mark("order a new one")}),),
    outcomes=(("fit-for-use", mark("fit for use")), ("turn-soon", mark("turn within the week")),
              ("turn-now", mark("turn now")), ("renew-now", mark("renew now"))),
    run=_run,
    example=_EXAMPLE,
    examples=(
        ("turn within the week", _EXAMPLE | {"readings": [{"hours": 150, "flat": 1.3}, {"hours": 330, "flat": 1.95}]}),
        ("past the limit", _EXAMPLE | {"readings": [{"hours": 100, "flat": 1.2}, {"hours": 300, "flat": 2.1}]}),
        ("the last edge, past", _EXAMPLE | {"edge_now": 4, "readings": [{"hours": 310, "flat": 2.2}]}),
        ("the last edge, fit", _EXAMPLE | {"edge_now": 4}),
        ("one reading, no dates", {"readings": [{"hours": "40 h", "flat": "0.02 in"}]}),
        ("no such edge", _EXAMPLE | {"edge_now": 5}),
        ("shrinking", _EXAMPLE | {"readings": [{"hours": 25, "flat": 1.1}, {"hours": 100, "flat": 0.5}]}),
        ("no wear", _EXAMPLE | {"readings": [{"hours": 25, "flat": 0}]}),
        ("no hours", _EXAMPLE | {"readings": [{"hours": 0, "flat": 0.5}]}),
    ),
    formulas=(mark("f = a·√t, with f the width of the flat and t the hours"), "a = Σ(f·√t)/Σt",
              mark("hours at the limit = (limit/a)²"), mark("share of life used = (f/limit)²"),
              mark("90 % range of a: ± Student's t · s/√Σt, with n − 1 degrees of freedom; and in squares, what "
                   "floors to come may differ by")),
    limits=(mark("Holds while floor, load on the blade and cleaning stay as they are; a rougher floor wears faster."),
            mark("A torn edge or a nick is not wear: turn the blade at once."),
            mark("The limit is common practice and the machine's own figure.")),
    sources=(mark("Archard 1953: worn volume grows with sliding distance at constant load. The area of a worn corner "
                  "grows with the square of its flat."),
             mark("Student's t for the range of a fitted slope through the origin.")),
    lookup=Lookup(mark("One reading, limit 2 mm: hours at which the edge is used up"), mark("reading"), tuple(
        (f"{flat:g} mm, {hours} h", {"readings": [{"hours": hours, "flat": flat}], "edge_now": 1})
        for hours, flat in ((25, 0.5), (50, 0.6), (50, 0.8), (75, 0.8), (100, 0.8), (100, 1.0), (100, 1.2), (150, 1.2),
                            (200, 1.2), (200, 1.5))), ("edge_hours", "hours_left", "used_share")),
)
