"""Guides have a title, and drawings that are there."""

from macros import guides
from macros.model import Handbook
from macros.problems import Problem


def check(handbook: Handbook) -> list[Problem]:
    """Problems of the guides in prose."""
    return guides.read(handbook)[1]
