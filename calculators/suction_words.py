"""What suction-drop says: the finding as a sentence, where to look, what the readings cannot tell."""

from . import quantity as q
from .form import Span
from .suction_path import SAME, STATIONS, Finding, Readings, Segment
from .words import _, mark

#: Where to look, by the station at the near end of each stretch between neighbouring stations.
LOOK_FOR_LEAK = (mark("Look at the tank: lid seal, drain-hose cap, motor inlet gasket."),
                 mark("Look at the hose: bend it along its whole length, and press its cuff on the tank "
                      "port."),
                 mark("Look at the floor end: hose cuff, squeegee outlet, squeegee body."))
LOOK_FOR_BLOCKAGE = (mark("Look in the tank: inlet filter, float, deflector behind the tank port."),
                     mark("Look through the hose: its bends, and its cuff on the tank port."),
                     mark("Look into the squeegee outlet and the hose cuff."))

#: Share of the first reading up to which a loss may be a battery that sank during the survey.
SMALL_LOSS = 0.1


def answer(found: Finding, now: Readings, figures: dict, full: float | None) -> str:
    """The finding, first and in one or two sentences that can be read aloud."""
    said = _main(found, now, figures, full)
    if found.motor == "weak" and found.kind != "motor-weak":
        said = _("{finding} The motor is weak as well: it makes less than nine tenths of its sealed "
                 "vacuum.").format(
            finding=said)
    return said


def _main(found: Finding, now: Readings, figures: dict, full: float | None) -> str:
    ends = {"near": found.near.name if found.near else "", "far": found.far.name if found.far else ""}
    if found.kind == "leak":
        hole = q.write(figures["hole"].value * 1e3, 2) if "hole" in figures else ""
        return _leak(found, figures).format(hole=hole, **ends)
    if found.kind == "blockage":
        if found.segment is None:
            return _("The path is blocked beyond {near}.").format(**ends)
        return _("The path is blocked between {near} and {far}.").format(**ends)
    if found.kind == "motor-weak":
        return _weak(now, figures)
    if found.kind == "flowing-leak" and found.near:
        return _("Air gets in beyond {near}: between the squeegee and the floor, or at a blade.").format(
            **ends)
    if found.kind == "sinking":
        return _("The motor's vacuum sank by {fell} kPa during the survey, as with a battery that runs down, and "
                 "no stretch loses more for certain. Charge the battery, then survey again.").format(
            fell=q.write(found.fell / 1e3))
    if found.kind == "stretch" and found.segment:
        return _("Vacuum is lost between {near} and {far}, but no single step is large enough for this "
                 "gauge. The largest lies between {from_} and {to}.").format(from_=found.segment.near.name,
                                                                  to=found.segment.far.name, **ends)
    if found.kind == "sound":
        stations = list(now.sealed.values())
        return _("The path is sound from {first} to {last}, as far as this gauge can tell.").format(
            first=stations[0].name, last=stations[-1].name)
    return _(_PLAIN[found.kind]).format(
        **ends, station=next(iter((now.sealed or now.flowing).values())).name)


_PLAIN = {
    "blocked-through": mark("Nothing comes through between {near} and {far}: the path is blocked there, or "
                            "stands wide open."),
    "flowing-leak": mark("Air gets in somewhere along the path. Take sealed readings station by station to "
                         "find where."),
    "flowing-low": mark("The flowing vacuum is low, which a leak, a blockage and a weak motor can all do. "
                        "Take sealed readings, the motor inlet first."),
    "flowing-as-healthy": mark("The path is as it was when the machine was well, as far as this gauge can "
                               "tell."),
    "flowing-alone": mark("Flowing readings say something only beside those taken when the machine was well. "
                          "Take sealed readings to look for leaks."),
    "grades": mark("By hand these readings cannot be told apart for certain. Use a gauge."),
    "coarse": mark("This gauge is too coarse for these readings to call the path sound. Use a finer gauge."),
    "low-at-start": mark("The vacuum is low at {station} already. Read the motor inlet to tell the motor "
                         "from what lies between."),
    "one-reading": mark("One reading says nothing about the path. Read the next station outwards."),
}


def _leak(found: Finding, figures: dict) -> str:
    several = sum(1 for s in found.segments if s.sure and s.state == "sealed") > 1
    most = figures.get("lost_share", 1.0) > 0.5
    if "hole" in figures:
        if several:
            return _("Suction is lost in several places, most between {near} and {far}, as through a round "
                     "hole of about {hole} mm.") if most else _(
                     "Suction is lost in several places. The largest loss lies between {near} and {far}, as "
                     "through a round hole of about {hole} mm.")
        return _("Most of the suction is lost between {near} and {far}, as through a round hole of about "
                 "{hole} mm."
                 ) if most else _(
                 "The largest loss of suction lies between {near} and {far}, as through a round hole of "
                 "about {hole} mm.")
    if several:
        return _("Suction is lost in several places, most between {near} and {far}.") if most else _(
                 "Suction is lost in several places. The largest loss lies between {near} and {far}.")
    return _("Most of the suction is lost between {near} and {far}.") if most else _(
             "The largest loss of suction lies between {near} and {far}.")


def _weak(now: Readings, figures: dict) -> str:
    share = figures.get("motor_share")
    readings = list(now.sealed.values())
    sound = len(readings) > 1 and all(r.vacuum is not None and r.low > 0 for r in readings)
    if share is None or share.value is None:
        return _("The motor is weak: it makes less than nine tenths of its sealed vacuum.")
    percent = q.write(share.value * 100, decimals=0)
    if sound:
        return _("The motor is weak: it makes {percent} % of its sealed vacuum. Little is lost along the "
                 "path."
                 ).format(percent=percent)
    return _("The motor is weak: it makes {percent} % of its sealed vacuum.").format(percent=percent)


def notes_and_cautions(found: Finding, now: Readings, healthy: Readings, rows: list[dict], v: dict,
                       full: float | None, holes: bool) -> tuple[list[str], list[str]]:
    """Notes (what to do next, what was assumed) and cautions (what may mislead or hurt)."""
    notes = _where_to_look(found) + _what_it_took(found, now, healthy, rows, v, full, holes)
    cautions = []
    sealed_first = now.sealed.get("motor-inlet")
    if sealed_first is not None and sealed_first.grade:
        cautions.append(_("Never close the motor inlet by hand: lay the plate on while the machine is made "
                          "safe."))
    if found.kind == "blocked-through":
        cautions.append(_("What lies beyond cannot be judged until air comes through. A high, thin sound of "
                          "the motor speaks of a blockage, rushing air of an opening."))
    if found.fell > 2 * v["uncertainty"] + SAME and found.kind != "sinking":
        cautions.append(_("The motor's vacuum sank by {fell} kPa during the survey, so the loss may be smaller. Charge "
                          "the battery and survey again once this is mended.").format(fell=q.write(found.fell / 1e3)))
    if found.motor == "weak":
        cautions.append(_("A low battery makes a motor look weak: read again with the battery charged."))
    if found.motor == "doubtful" and sealed_first is not None and sealed_first.vacuum is not None:
        cautions.append(_("The motor may be a little weak; this gauge cannot tell."))
    if full is not None and any(r.vacuum and r.low > 1.1 * full + SAME for r in now.sealed.values()):
        cautions.append(_("A reading is well above what this motor makes. Check the unit, and the machine's "
                          "figures."))
    if found.kind in ("leak", "motor-weak", "blocked-through"):
        flow = _flow_finding(now, healthy, found)
        if flow:
            cautions.append(flow)
    return notes, cautions


def _flow_finding(now: Readings, healthy: Readings, found: Finding) -> str:
    raised = [r for s, r in now.flowing.items()
              if s in healthy.flowing and r.low > healthy.flowing[s].high + SAME]
    if not raised:
        return ""
    return _("The flowing readings are raised as far as {station}: there is a blockage beyond it as well."
             ).format(
        station=raised[-1].name)


def _stretches(segment: Segment) -> range:
    return range(segment.near.order, segment.far.order)


def _where_to_look(found: Finding) -> list[str]:
    s = found.segment
    if found.kind == "blockage" and s is None:
        if found.near and found.near.order < len(STATIONS) - 1:
            return [_(text) for text in LOOK_FOR_BLOCKAGE[found.near.order:]]
        return [_("Look into the squeegee body and under the blades.")]
    if s is None or found.kind not in ("leak", "stretch", "blockage", "blocked-through"):
        return []
    texts = LOOK_FOR_LEAK if found.kind in ("leak", "stretch") else LOOK_FOR_BLOCKAGE
    return [_(texts[n]) for n in _stretches(s)]


def _what_it_took(found: Finding, now: Readings, healthy: Readings, rows: list[dict], v: dict,
                  full: float | None, holes: bool) -> list[str]:
    notes = []
    if found.kind in ("sound", "motor-weak") and holes:
        hidden = [row["hole"].high for row in rows if isinstance(row.get("hole"), Span)]
        if hidden:
            notes.append(_("Behind this gauge a hole of up to {hole} mm could hide in one stretch.").format(
                hole=q.write(max(hidden) * 1e3, 2)))
    if found.kind in ("sound", "leak") and found.motor == "unknown":
        notes.append(_("Whether the motor makes its whole vacuum is not known without its sealed reading and "
                       "figure."))
    if found.kind == "sound" and not now.flowing:
        notes.append(_("Sealed readings show no partial blockage: flowing ones do, beside those of the healthy "
                       "machine."))
    lost, first = found.segment and found.segment.loss, next(iter(now.sealed.values()), None)
    if (found.kind in ("leak", "stretch") and v["first_again"] is None and lost and first and first.vacuum
            and lost < SMALL_LOSS * first.vacuum):
        notes.append(_("A battery that sinks during the survey looks like a small leak. Read {first} again at the end."
                       ).format(first=first.name))
    missing = [s for s in STATIONS if s not in now.sealed]
    if found.kind == "sound" and missing:
        notes.append(_("Not every station was read: what lies beyond is not judged."))
    if any(s.healthy and s.loss is not None and s.state == "sealed" for s in found.segments):
        notes.append(_("What the healthy machine loses from station to station was taken off."))
    if now.flowing and not any(s in healthy.flowing for s in now.flowing) and found.kind != "flowing-alone":
        notes.append(_("The flowing readings were left out: they need those of the healthy machine beside "
                       "them."))
    if found.segment is not None and found.segment.state == "flowing" and full is None and any(
            "resistance_times_healthy" in row for row in rows):
        notes.append(_("The resistance takes the flow from the last station, as if nothing had changed "
                       "beyond it."))
    if full is not None and abs(full / v["sealed_vacuum"] - 1) > 0.005:
        notes.append(_("In this air a motor in good order makes {full} kPa.").format(
            full=q.write(full / 1e3)))
    if any(s.sure and s.loss is None for s in found.segments):
        notes.append(_("Told apart by hand: grades are an order, so no size is given. Use a gauge to size "
                       "the hole."))
    return notes

