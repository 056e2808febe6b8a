"""Every calculator takes the figures of every machine, and beside a step the values put in for it."""

import json
from collections.abc import Iterator
from typing import Any

from calculators import REGISTER, calculate, calculator
from macros.figures import filled
from macros.kept import Piece, listed
from macros.model import Handbook, Procedure, Use
from macros.problems import Place, Problem
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems for figures and values that a calculator refuses."""
    problems = []
    refused: dict[tuple[str, str | None], set[str]] = {}
    for (machine, one_id), piece in zip(_each(handbook), pieces(handbook), strict=True):
        refusals = piece.found()
        refused[one_id, machine] = {refusal["field"] for refusal in refusals}
        problems += [
            _problem(_figure_place(handbook, one_id, machine, refusal["field"]), one_id, machine, refusal)
            for refusal in refusals
        ]
    for procedure in handbook.procedures.values():
        for step in procedure.steps:
            if step.calculator is not None and step.calculator.id in REGISTER:
                problems += _use(handbook, procedure, step.calculator, refused)
    return problems


@listed
def pieces(handbook: Handbook) -> Iterator[Piece]:
    """What each calculator refuses of the figures of each machine."""
    for machine, one_id in _each(handbook):
        yield _refusals(one_id, filled(handbook, one_id, machine, {}))


def _each(handbook: Handbook) -> Iterator[tuple[str | None, str]]:
    """Each calculator with each machine."""
    for machine in handbook.machines or (None,):
        for one_id in REGISTER:
            yield machine, one_id


def _refusals(one_id: str, inputs: dict[str, Any]) -> Piece:
    """What a calculator refuses; asked once for the same inputs, which machines of one make have."""
    return Piece(f"refused {one_id} {json.dumps(inputs)}", (), lambda: calculate(one_id, inputs).get("refused", []))


def _use(
    handbook: Handbook, procedure: Procedure, use: Use, told: dict[tuple[str, str | None], set[str]]
) -> list[Problem]:
    """What the calculator refuses of the values put in at a step, beyond what it refuses without them."""
    machines = [m for m in (procedure.machines or handbook.machines) if m in handbook.machines] or [None]
    problems: dict[tuple[str, str], Problem] = {}
    for machine in machines if use.inputs else ():
        for refusal in _refusals(use.id, filled(handbook, use.id, machine, use.inputs)).found():
            if refusal["field"] not in told.get((use.id, machine), ()):
                key = (refusal["field"], refusal["got"])
                problems.setdefault(
                    key, _problem(_input_place(use, refusal["field"]), use.id, machine, refusal)
                )
    return list(problems.values())


def _problem(at: Place, one_id: str, machine: str | None, refusal: dict[str, str]) -> Problem:
    if machine is None:
        found = _('{calculator} refuses "{got}" for {field}')
    else:
        found = _('{calculator} refuses "{got}" for {field}, with the machine {machine}')
    return Problem(
        at,
        "calculator-input",
        found.format(calculator=one_id, got=refusal["got"], field=refusal["field"], machine=machine),
        _("it takes {takes}").format(takes=refusal["takes"]),
    )


def _input_place(use: Use, path: str) -> Place:
    """Where the value at a field's path stands, or the nearest that holds it."""
    names = ["with", *path.split("/")]
    while names and "/".join(names) not in use.places:
        names.pop()
    return use.place("/".join(names)) if names else use.at


def _figure_place(handbook: Handbook, one_id: str, machine: str | None, path: str) -> Place:
    """Where the figure that fills a field stands."""
    field = next((f for f in calculator(one_id).fields if f.name == path.split("/")[0]), None)
    source, _dot, name = (field.machine if field else "").partition(".")
    if source == "handbook":
        return handbook.head.place(name)
    if machine is None:
        return handbook.head.at
    one = handbook.machines[machine]
    return one.places.get(f"{source}/{name}", one.place(source))
