"""What each mark of the rig is called on the page: its groups, and a mark's words by its id."""

from dataclasses import dataclass

from macros.words import _


@dataclass(frozen=True)
class Asked:
    """Marks that belong together: `id` is their place on the page, `calculators` are those that they judge.

    `found`: what the examination taught, in words; the figures stand in the marks alone.
    """

    id: str
    title: str
    says: str
    calculators: tuple[str, ...]
    marks: dict[str, str]
    found: str = ""


def asked() -> list[Asked]:
    """Every group, in the order of the page."""
    unsure = _("{trouble}: nothing is called right, worn or bent")
    return [
        Asked("leaks", _("Where the vacuum is lost"),
              _("One hidden fault, a motor curve straight or bowed, parts with scatter, all within what the answer allows for: a "
                "motor or a hole of another kind was not examined. Every station is read with a gauge good to ± 0.25 kPa; some "
                "technicians know the healthy readings and some do not."), ("suction-drop",), {
            "suction-segment": _("A leak of 5 mm or more: the stretch named is the one that leaks"),
            "suction-wrong": _("A leak of 5 mm or more: something else is named with confidence"),
            "suction-hole": _("A leak of 5 mm or more: its true size lies within the range stated"),
            "suction-hole-width": _("How wide that range is in the middle case, as a share of the hole"),
            "suction-segment-small": _("A leak of 5 to 6 mm: the stretch named is the one that leaks"),
            "suction-half": _("The smallest hole that is found half the time"),
            "suction-weak-motor": _("Weak motor or not: told rightly"),
            "suction-false-alarm": _("A sound machine: a fault is named"),
            "suction-blockage": _("A blockage, read flowing beside healthy readings: the stretch named is blocked"),
            "suction-blockage-wrong": _("A blockage: something else is named with confidence"),
        }, _(
            "A small hole hardly shows in the readings: below about the size found half the time the answer says that a hole of "
            "this size may hide.")),
        Asked("hands", _("By hand, without a gauge"),
              _("A palm feels none, weak, fair or strong, one palm not like the other. Four in five machines leak somewhere."),
              ("suction-drop",), {
            "hands-gauge": _("The answer is that hands cannot tell: use a gauge"),
            "hands-wrong": _("A fault is named with confidence that is not there"),
        }, _(
            "Hands tell an open path from a closed one and little between: take a gauge wherever there is one.")),
        Asked("setting", _("Setting the squeegee"),
              _("Wheels, tilt or both are set wrong by up to ten flats. The bend is read at three places to ± 0.5 mm and judged "
                "along the whole blade: every place must come within the tolerance of the machine."),
              ("blade-level", "wheel-adjust"), {
            "setting-one-round": _("Right along the whole blade after one round"),
            "setting-two-rounds": _("Right along the whole blade after two rounds"),
            "setting-left-alone-wrongly": _("Of the blades that the answer leaves as they are: not right after all"),
            "setting-clear-of-floor": _("The blade stands clear of the floor somewhere at first: right after three rounds"),
            "setting-both-wheels": _("Both wheels off alike, both stems turned as told: right after one round"),
        }, _(
            "Where one round fell short, the next reading said so: read the bend again after every setting.")),
        Asked("edge", _("How long an edge lasts"),
              _("The flat of every edge is read one to six times, at chance hours, with a loupe of 0.1 mm. What is judged is the "
                "hour at which it truly reached the limit."), ("edge-life",), {
            "edge-range": _("The true hour lies within the range stated, meant to hold nine in ten"),
            "edge-range-one-reading": _("The same with one reading alone"),
            "edge-gone-before-range": _("The edge was gone before the range began"),
            "edge-forecast-off": _("How far the forecast is off, on average, as a share of the true hours"),
            "edge-straight-line": _("How far the habit of judging by width in a straight line is off"),
        }),
        Asked("order", _("What to check first"),
              _("Every symptom with each of its causes as often as it occurs, and checks that err as often as the table says. "
                "The best order there can be is found by exact search over the same tables, which are the same for every machine."),
              ("fault-order",), {
            "order-minutes": _("Minutes to the true cause, above those of the best order there can be"),
            "order-saved": _("Minutes saved against the checks in their written order"),
            "order-right": _("The cause named first is the true one"),
            "order-contradiction": _("The results contradict each other, and the answer says so"),
            "order-mean": _("Mean minutes, following the answers"),
            "order-mean-best": _("Mean minutes, the best order there can be"),
            "order-mean-written": _("Mean minutes, the written order"),
            "order-one-certain": _("Every look taken that the answers ask for: the true cause is called certain"),
            "order-one-open": _("The same: no cause is called certain"),
            "order-one-wrong": _("The same: another cause is called certain"),
            "order-one-minutes": _("Mean minutes of these looks"),
        }, _(
            "The checks err themselves, so no order names the right cause always. Who mends what is likely saves the looks that "
            "make it certain; both are stated.")),
        Asked("beyond", _("Beyond one fault: the air path"),
              _("The answers assume one fault and an honest gauge. Here neither is so. To name one of two faults counts as right, "
                "since the next survey finds the other."), ("suction-drop",), {
            **_three("leak-and-blade", _("A leak, and blades that gape")),
            **_three("blockage-and-leak", _("A blockage, and a leak beyond it")),
            **_three("two-leaks", _("Two leaks")),
            **_three("gauge-off", _("A gauge off by as much everywhere, or by the same share")),
            **_three("swapped", _("Two readings written down at each other's station")),
            **_three("battery", _("A battery that sinks during the survey")),
            "battery-unchecked-wrong": _("A battery that sinks, the first station not read again: wrong with confidence"),
        }, _(
            "A battery that sinks looks like a leak. So the motor inlet is read again at the end, and a loss counts only beyond "
            "what that first reading fell. Two readings changed over between neighbours that differ little cannot be seen; a "
            "reading that rises away from the motor is refused.")),
        Asked("beyond-setting", _("Beyond the screws: worn edges and bent bodies"),
              _("A third of the blades are sound, a third unevenly worn, a third hang on a body bent too far to be set, all with "
                "their screws set wrong. The bend is read at five places, up to six times."), ("blade-level",), {
            **_three("blade-sound", _("A sound blade"), "open", unsure),
            **_three("blade-worn", _("An edge worn unevenly"), "open", unsure),
            **_three("blade-bent", _("A bent body"), "open", unsure),
            "setting-carrier-bent": _("A bent body: it is called bent"),
            "blade-bent-edge-in-vain": _("A bent body: an edge was renewed in vain first"),
        }, _(
            "A worn edge and a bent body give the same bends: a fresh edge tells them apart, so many a bent body is found only "
            "then. What stays wrong are worn patches between the places read that no eye sees.")),
        Asked("beyond-order", _("Beyond one cause: the order of checks"),
              _("Two causes of one symptom at once, or one result written down wrongly."), ("fault-order",), {
            "order-two-certain": _("Two causes: one of them is called certain"),
            "order-two-open": _("Two causes: none is called certain"),
            "order-two-wrong": _("Two causes: a third is called certain"),
            "order-two-minutes": _("Two causes: mean minutes of the looks"),
            "order-slip-certain": _("A slip of the pen: the true cause is called certain"),
            "order-slip-open": _("A slip of the pen: no cause is called certain"),
            "order-slip-wrong": _("A slip of the pen: another cause is called certain"),
            "order-slip-minutes": _("A slip of the pen: mean minutes of the looks"),
            "order-slip-unchecked": _("A slip of the pen, nobody looks twice: the remedy tried first is the right one all the same"),
        }, _(
            "One result written down wrongly used to lead to a wrong cause more often than not. So a cause is now called certain "
            "only when the results that decide were looked at twice.")),
    ]


def _three(trouble: str, says: str, unsure: str = "unsure", unsure_says: str = "") -> dict[str, str]:
    unsure_says = unsure_says or _("{trouble}: the answer says that it cannot tell")
    return {f"{trouble}-right": _("{trouble}: right").format(trouble=says),
            f"{trouble}-{unsure}": unsure_says.format(trouble=says),
            f"{trouble}-wrong": _("{trouble}: wrong with confidence").format(trouble=says)}


def titles() -> dict[str, str]:
    """Every mark that can be said, by its id."""
    return {id: says for one in asked() for id, says in one.marks.items()}
