"""Signs that a safety message may carry; the pages draw each of them."""

from macros.model import Handbook
from macros.problems import Problem, meant
from macros.words import _

#: ISO 7010 signs that the handbook draws, and `fan`, a warning sign of our own for a turning fan.
SIGNS = (
    "M002",
    "M004",
    "M009",
    "M013",
    "M021",
    "M026",
    "M028",
    "P002",
    "P003",
    "W011",
    "W012",
    "W018",
    "W021",
    "W023",
    "W024",
    "W026",
    "fan",
)


def check(handbook: Handbook) -> list[Problem]:
    """Problems for signs that are not drawn."""
    return [
        Problem(
            message.place(f"signs/{number}"),
            "unknown-sign",
            _('unknown sign "{sign}"').format(sign=sign),
            "",
            meant(sign, SIGNS),
        )
        for message in handbook.messages.values()
        for number, sign in enumerate(message.signs)
        if sign not in SIGNS
    ]
