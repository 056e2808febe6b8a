"""What the blade's levelling says: the finding, the three settings, what to mind, how it was worked out."""

import math
from collections.abc import Sequence

from . import quantity as q
from .form import Result, Working
from .levelling import Fit, Reading, Squeegee
from .turning import MM, amount, mm, way
from .words import _


def _one(length: float) -> str:
    return q.write(length / MM, decimals=1)


def place(at: str, x: float) -> str:
    """Where a reading stands, as it is said after a bend: "at the left end"."""
    if at in ("left", "middle", "right"):
        return {"left": _("at the left end"), "middle": _("in the middle"), "right": _("at the right end")}[at]
    if abs(x) < 1e-9:
        return _("in the middle")
    says = _("{distance} mm right of the middle") if x > 0 else _("{distance} mm left of the middle")
    return says.format(distance=mm(abs(x)))


def answer(v: dict, result: Result, readings: Sequence[Reading], fit: Fit, flats: tuple[int, int, int],
           short: tuple[str, float] | None) -> str:
    """The answer: the finding first, then what to turn."""
    outcome = result.outcome
    if outcome == "within-tolerance":
        says = _("The bend is within {tolerance} mm of {wanted} mm at every place read.").format(
            tolerance=mm(v["tolerance"]), wanted=mm(v["wanted"]))
        if not any(flats):
            return _("{says} Leave the screws as they are.").format(says=says)
        return _("{says} A reading may be out by {error} mm, though: set it nearer to be sure. {settings}").format(
            says=says, error=mm(v["uncertainty"]), settings=settings(v, flats))
    if outcome == "carrier-bent":
        return _bent(v, fit, readings, short)
    if outcome == "blade-worn-uneven":
        where = fit.worn[0]
        r, least = readings[where], _one(abs(fit.misfits[where] or 0.0))
        says = _("The blade is worn unevenly: {place} it bends {least} mm less than any setting explains.").format(
            place=place(r.at, r.x), least=least)
        return _("{says} Turn the blade to a fresh edge or renew it, then read again. If a fresh edge bends the same, "
                 "the body or its carrier is bent there.").format(says=says)
    finding = _finding(v, readings)
    if outcome == "too-much-bend":
        r = next(r for r in readings if r.face)
        finding = _("Too much bend: the blade lies on its face {place}.").format(place=place(r.at, r.x))
        if short:
            return _("{finding} Turn both stems out of the body until it stands, and read again.").format(finding=finding)
        return _("{finding} Turn at least this much, then read again. {settings}").format(
            finding=finding, settings=settings(v, flats))
    if not any(flats):
        return _("{finding} Even so, leave the screws: no whole flat brings the worst place nearer.").format(finding=finding)
    return _("{finding} {settings} {expect}").format(finding=finding, settings=settings(v, flats), expect=_expect(result))


def _finding(v: dict, readings: Sequence[Reading]) -> str:
    worst = max(readings, key=lambda r: round(abs(r.bend - v["wanted"]), 9))
    off = worst.bend - v["wanted"]
    says = _("The bend is {off} mm too much {place}.") if off > 0 else _("The bend is {off} mm too little {place}.")
    return says.format(off=_one(abs(off)), place=place(worst.at, worst.x))


def _bent(v: dict, fit: Fit, readings: Sequence[Reading], short: tuple[str, float] | None) -> str:
    if short is None:
        where = max((i for i, m in enumerate(fit.misfits) if m is not None), key=lambda i: round(abs(fit.misfits[i]), 9))
        says = _("No setting levels this blade: {place} {off} mm are left over whatever is turned.").format(
            place=place(readings[where].at, readings[where].x), off=_one(abs(fit.misfits[where])))
        return _("{says} Look for a bent carrier, a bent body or a badly seated blade before you set anything.").format(
            says=says)
    screw, value = short
    if screw == "angle":
        says = _("The screws cannot level this blade: the body would have to tilt by {angle}°.").format(
            angle=q.write(math.degrees(abs(value)), 2))
    else:
        says = {"left-wheel": _("The screws cannot level this blade: the left stem would hold by {after} mm of thread, less "
                                "than one diameter."),
                "right-wheel": _("The screws cannot level this blade: the right stem would hold by {after} mm of thread, "
                                 "less than one diameter."),
                "tilt": _("The screws cannot level this blade: the tilt bolt would hold by {after} mm of thread, less than "
                          "one diameter.")}[screw].format(after=mm(value))
    return _("{says} Look for bent carrier tabs or a worn wheel, and mend those first.").format(says=says)


def settings(v: dict, flats: tuple[int, int, int]) -> str:
    """The three settings as sentences."""
    left, right, tilt = flats
    lines = []
    if left == right:
        lines.append(_("Turn both stems {amount} {way}.").format(
            amount=amount(left, v["flats"]), way=way(left > 0, v["into_body"])) if left else _("Leave both stems."))
    else:
        for number, turn, leave in ((left, _("Turn the left stem {amount} {way}."), _("Leave the left stem.")),
                                    (right, _("Turn the right stem {amount} {way}."), _("Leave the right stem."))):
            lines.append(turn.format(amount=amount(number, v["flats"]), way=way(number > 0, v["into_body"]))
                         if number else leave)
    if tilt:
        says = {(True, True): _("Turn the tilt bolt {amount} clockwise: nose up."),
                (True, False): _("Turn the tilt bolt {amount} anticlockwise: nose up."),
                (False, False): _("Turn the tilt bolt {amount} clockwise: nose down."),
                (False, True): _("Turn the tilt bolt {amount} anticlockwise: nose down."),
                }[tilt > 0, v["tilt_clockwise"] == "nose-up"]
        lines.append(says.format(amount=amount(tilt, v["tilt_flats"] or v["flats"])))
    else:
        lines.append(_("Leave the tilt bolt."))
    return " ".join(lines)


def _expect(result: Result) -> str:
    bends = [row["bend"].value for row in result.tables["expected"]]
    low, high = _one(min(bends)), _one(max(bends))
    if low == high:
        return _("Expect a bend of {bend} mm.").format(bend=low)
    return _("Expect a bend of {low} to {high} mm.").format(low=low, high=high)


def notes_and_cautions(v: dict, result: Result, readings: Sequence[Reading], flats: tuple[int, int, int], now: float,
                       error: float) -> None:
    """Add what to know and what to mind to the result."""
    note, say = result.notes.append, result.cautions.append
    told = "settings" in result.tables
    if told and any(flats):
        if result.outcome in ("carrier-bent", "blade-worn-uneven"):
            note(_("Until it is mended, the settings in the table come nearest: {left} mm are left at the worst place.").format(
                left=_one(result.figures["worst_expected"])))
        else:
            note(_("Rounding to flats leaves the worst place {left} mm from the bend wanted.").format(
                left=_one(result.figures["worst_expected"])))
    if result.outcome == "within-tolerance":
        note(_("Look along the blade before you leave it. Where it bends otherwise than on both sides, read there too, and "
               "give that reading with the others."))
    if any(r.clear for r in readings):
        note(_("A blade without bend may stand clear of the floor, and then by how much is not known. Set, roll forward and "
               "read again."))
    if v["measure"] == "trail":
        note(_("Bend is the trail of the edge. The screws move heights, which are not in proportion to it: they are reckoned "
               "from the exact shape of a bent strip."))
    if len(readings) == 3 and result.outcome == "set":
        note(_("Three readings fit any setting. Read at five places to see a worn blade or a bent body."))
    if not (told and any(flats)):
        return
    note(_("Turn all three as told, roll the machine forward, stop, and read again."))
    say(_("Key out, squeegee raised and blocked, before hands go to the wheels and the tilt bolt."))
    say(_("Loosen the lock nuts first. Afterwards hold each screw and tighten its lock nut against the body."))
    if v["engaged"] is None and min(flats[:2]) < 0:
        say(_("Measure the thread left in the body: at least one diameter must hold."))


def workings(v: dict, squeegee: Squeegee, readings: Sequence[Reading], wanted: float, fit: Fit) -> list[Working]:
    """How it was worked out."""
    lines = []
    if v["measure"] == "trail":
        lines.append(Working(_("height from trail, by the elastica (about 0.6·W²/L)"),
                             ", ".join(f"{mm(r.bend)} → {q.write(r.height / MM, decimals=2)}" for r in readings),
                             _("wanted {height} mm").format(height=q.write(wanted / MM, decimals=2))))
    turns = squeegee.turns(fit.setting)
    lines.append(Working("y(0) = R − √(R² − c²/4)", f"{mm(squeegee.radius)} − √({mm(squeegee.radius)}² − {mm(squeegee.chord)}²/4)",
                         f"{q.write(squeegee.arc(0.0) / MM, 4)} mm"))
    lines.append(Working(_("height change at x = left·(1/2 − x/w) + right·(1/2 + x/w) + y·sin θ"),
                         ", ".join(_("{change} mm at {x} mm").format(
                             change=q.write((wanted - r.height) / MM, decimals=2), x=mm(r.x)) for r in readings),
                         _("left {left} mm, right {right} mm, sin θ {sine}").format(
                             left=q.write(fit.setting.left / MM, decimals=2), right=q.write(fit.setting.right / MM, decimals=2),
                             sine=q.write(fit.setting.sine, 3))))
    lines.append(Working(_("turns = height/(pitch × lever ratio)"),
                         f"{q.write(squeegee.pitch / MM, 4)} mm × {q.write(squeegee.ratio)}",
                         _("left {left}, right {right}").format(left=q.write(turns[0], decimals=2),
                                                                right=q.write(turns[1], decimals=2))))
    lines.append(Working(_("tilt turns = tan θ × arm/pitch"),
                         f"{mm(squeegee.tilt_arm)} mm/{q.write(squeegee.tilt_pitch / MM, 4)} mm", q.write(turns[2], decimals=2)))
    return lines
