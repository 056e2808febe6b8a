"""``calc --machine``: the content's figures for a calculator's fields, and where each came from."""

import difflib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from calculators.form import Calculator
from calculators.present import field_title
from calculators.private import sayable
from macros.cli import WRONG_USE
from macros.console import Stop
from macros.words import _


def fill(
    one: Calculator, by_hand: Mapping[str, Any], machine: str, content: Path
) -> tuple[str, dict[str, Any]]:
    """The machine's title, and its figure for every field of `one` that was not given by hand.

    Raises: Stop for content that does not load (status 1) and for a machine it does not have (status 2).
    """
    from macros.check import load_and_check
    from macros.figures import figure

    if not content.is_dir():
        raise Stop(
            _("--content: {folder} is not a folder; give the folder that holds handbook.yml.").format(
                folder=content
            ),
            WRONG_USE,
        )
    handbook, problems = load_and_check(content)
    if handbook is None:
        raise Stop(
            _(
                "The content in {folder} has {number} problems, the first: {problem} See all: "
                "python3 handbook.py check"
            ).format(folder=content, number=len(problems), problem=problems[0] if problems else "")
        )
    if machine not in handbook.machines:
        near = difflib.get_close_matches(machine, handbook.machines, 1)
        meant = _(" Did you mean {near}?").format(near=near[0]) if near else ""
        raise Stop(
            _("There is no machine {id!r}; they are {ids}.").format(
                id=machine, ids=", ".join(handbook.machines)
            )
            + meant,
            WRONG_USE,
        )
    filled = {
        field.name: figure(handbook, machine, field.machine)
        for field in one.fields
        if field.machine and field.name not in by_hand
    }
    title = handbook.machines[machine].title
    return title, {name: value for name, value in filled.items() if value is not None}


def origin(one: Calculator, by_hand: Mapping[str, Any], filled: Mapping[str, Any], title: str) -> list[str]:
    """Sentences that say which figures came from the machine and which were given by hand."""
    notes = []
    if filled:
        notes.append(
            _("From the content, for {machine}: {figures}.").format(
                machine=title, figures="; ".join(_named(one, name, value) for name, value in filled.items())
            )
        )
    else:
        notes.append(_("The content filled nothing in for {machine}.").format(machine=title))
    said = sayable(one.fields, by_hand)
    if said:
        notes.append(
            _("Given by hand: {figures}.").format(
                figures="; ".join(_named(one, name, value) for name, value in said.items())
            )
        )
    return notes


def _named(one: Calculator, name: str, value: Any) -> str:
    """A field and its value in a few words."""
    title = field_title(one.fields, name)
    if isinstance(value, list):
        return _("{title} (rows: {number})").format(title=title, number=len(value))
    return f"{title} {value}"
