"""Turning a stem or a bolt: pitch from what is given, flats from a movement, and how it is said aloud."""

import math

from . import quantity as q
from .form import Refusal, Refused, refuse
from .words import _

MM = 1e-3
#: Flats closer than this to a half are taken as the half, so that the last bits decide nothing.
EDGE = 1e-9


def to_flats(change: float, pitch: float, ratio: float, flats: int) -> int:
    """Flats to turn for a `change` of height (m), to the nearest, half a flat away from zero; + into the body."""
    exact = change / (pitch * ratio) * flats
    whole = math.floor(abs(exact) + 0.5 + EDGE)
    return whole if exact >= 0 else -whole


def mm(length: float) -> str:
    """A length in metres, written in millimetres."""
    return q.write(length / MM, 3)


def thread_of(v: dict, thread_field: str = "thread", pitch_field: str = "pitch",
              diameter_field: str = "diameter") -> tuple[float, float | None]:
    """Pitch and diameter (m), from the thread's designation or as given in the fields named.

    The diameter is `None` where nothing tells it. Raises `Refused` for what clashes or is missing.
    """
    thread, pitch, diameter = v[thread_field], v[pitch_field], v.get(diameter_field)
    if thread is None and pitch is None:
        raise refuse(thread_field, None, _("a thread such as M10, or its pitch in the field for it"))
    bad = []
    if thread is not None:
        if pitch is not None and abs(pitch - thread.pitch) > 0.005 * thread.pitch:
            bad.append(Refusal(pitch_field, f"{mm(pitch)} mm", _("{pitch} mm with the thread {thread}; leave one of the "
                               "two out").format(pitch=mm(thread.pitch), thread=thread.designation)))
        if diameter is not None and abs(diameter - thread.diameter) > 0.05 * thread.diameter:
            bad.append(Refusal(diameter_field, f"{mm(diameter)} mm", _("{diameter} mm with the thread {thread}; leave one "
                               "of the two out").format(diameter=mm(thread.diameter), thread=thread.designation)))
    elif diameter is not None and diameter < pitch:
        bad.append(Refusal(diameter_field, f"{mm(diameter)} mm",
                           _("a diameter larger than the pitch of {pitch} mm").format(pitch=mm(pitch))))
    if bad:
        raise Refused(bad)
    return (thread.pitch, thread.diameter) if thread else (pitch, diameter)


def amount(number: int, flats: int) -> str:
    """A number of flats in words: "1 turn and 2 flats"."""
    whole, rest = divmod(abs(number), flats)
    turns = _("1 turn") if whole == 1 else _("{number} turns").format(number=whole)
    part = _("1 flat") if rest == 1 else _("{number} flats").format(number=rest)
    if whole and rest:
        return _("{turns} and {flats}").format(turns=turns, flats=part)
    return turns if whole else part


def way(into: bool, into_body: str) -> str:
    """The direction of a stem both ways: along it and seen from above."""
    if into:
        return (_("into the body (clockwise, seen from above)") if into_body == "clockwise"
                else _("into the body (anticlockwise, seen from above)"))
    return (_("out of the body (anticlockwise, seen from above)") if into_body == "clockwise"
            else _("out of the body (clockwise, seen from above)"))
