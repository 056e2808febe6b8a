"""Drawings can be put into a page: shapes and texts, nothing that runs, nothing from elsewhere."""

from macros.model import Handbook
from macros.problems import Problem


def check(handbook: Handbook) -> list[Problem]:
    """Problems of the drawings' files, each with its line and column."""
    from macros.pages.drawings import problems

    return problems(handbook)
