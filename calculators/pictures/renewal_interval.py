"""What a running hour costs, against the time at which the part is renewed; the best time marked."""

from .. import quantity as q
from ..figure import Drawing, nice_step, points
from ..weibull import Life
from ..words import _

LEFT, RIGHT, FOOT, TOP = 52.0, 308.0, 214.0, 40.0


def picture(life: Life | None, planned: float, failure: float, best: float | None, rate: float,
            to_failure: float) -> str:
    """The drawing. Costs as money, `best` in hours or None, rates as money an hour; no `life`: an empty sheet that says
    so."""
    drawing = Drawing("renewal-interval", 272, _("Cost of a running hour and the time of renewal"),
                      _about(life, best, rate, to_failure))
    drawing.text(8, 20, _("cost of an hour, by hours at renewal"), "small")
    drawing.line("bold", LEFT, FOOT, RIGHT, FOOT).line("thin", LEFT, TOP - 8, LEFT, FOOT)
    if life is None:
        drawing.text((LEFT + RIGHT) / 2, 130, _("too few records"), "strong mid")
        return drawing.svg()
    end = max(1.6 * life.mean, 2.2 * (best or 0.0))
    most = max(2.0 * to_failure, 1.2 * life.cost_rate(end, planned, failure))
    step, by = nice_step(end, 4), nice_step(most, 4)

    def across(hours: float) -> float:
        return LEFT + (RIGHT - LEFT) * hours / end

    def up(money: float) -> float:
        return FOOT - (FOOT - TOP) * min(money, most) / most

    for i in range(int(end / step) + 1):
        drawing.line("thin", across(i * step), FOOT, across(i * step), FOOT + 6)
        drawing.text(min(across(i * step), 298), FOOT + 20, q.write(i * step), "small mid")
    for i in range(1, int(most / by) + 1):
        drawing.line("thin", LEFT - 6, up(i * by), LEFT, up(i * by)).text(LEFT - 9, up(i * by) + 4, q.write(i * by, 2), "small end")
    line = [(end * i / 120, life.cost_rate(end * i / 120, planned, failure)) for i in range(1, 121)]
    seen = [(h, c) for h, c in line if c <= most]
    if len(seen) > 1:
        drawing.path("bold", points((across(h), up(c)) for h, c in seen))
    drawing.line("thin", LEFT, up(to_failure), RIGHT, up(to_failure), "6 5")
    drawing.text(RIGHT, up(to_failure) + (16 if best is None else -7), _("run to failure {rate}").format(rate=q.write(to_failure)), "small end")
    if best is not None:
        x = across(best)
        drawing.line("thin ask", x, up(rate), x, FOOT).circle("bold ask ask-full", x, up(rate), 4)
        drawing.text(min(max(x, 90), 250), FOOT + 42, _("best at {hours} h: {rate}").format(
            hours=q.write(best), rate=q.write(rate)), "word mid")
    return drawing.svg()


def _about(life: Life | None, best: float | None, rate: float, to_failure: float) -> str:
    if life is None:
        return _("Too few records: nothing is drawn.")
    if best is None:
        return _("Run to failure it costs {rate} an hour; no earlier renewal costs less.").format(rate=q.write(to_failure))
    return _("The curve is lowest at {hours} hours with {rate} an hour; run to failure it costs {other}.").format(
        hours=q.write(best), rate=q.write(rate), other=q.write(to_failure))
