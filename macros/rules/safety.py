"""A procedure that can hurt does not build: the walk through the machine's state; what zones may allow."""

from collections.abc import Iterable

from macros import state
from macros.kept import Piece
from macros.model import Handbook
from macros.problems import Problem
from macros.state import walk
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems of the walk, and zones with moving parts that allow hands while they move.

    Without the whole of hazards.yml nothing can be said of any step: the walk waits until it can be read.
    """
    problems = [
        Problem(
            zone.place("while_running"),
            "moving-parts",
            _("hands are allowed in {zone} while it runs").format(zone=f'"{zone.title}"'),
            _("never where parts move (moving_parts: true)"),
            _("take while_running out"),
        )
        for zone in handbook.zones.values()
        if zone.moving_parts and zone.while_running == "allowed"
    ]
    return problems + walk(handbook).problems if _can_walk(handbook) else problems


def pieces(handbook: Handbook) -> Iterable[Piece]:
    """The walk through each procedure."""
    return state.pieces(handbook) if _can_walk(handbook) else ()


def _can_walk(handbook: Handbook) -> bool:
    return not any(handbook.may_be(kind, "") for kind in ("state", "zone", "message", "running"))
