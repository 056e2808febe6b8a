"""A calculator beside a step takes the values put in for it, and the figures of every machine it serves."""

from calculators import REGISTER, calculate, calculator
from macros.model import Handbook, Procedure, Use
from macros.problems import Problem
from macros.words import _


def filled(handbook: Handbook, one_id: str, machine: str | None, given: dict) -> dict:
    """Inputs of a calculator: its example, over it the machine's figures and the handbook's, over it `given`."""
    one = calculator(one_id)
    inputs = dict(one.example)
    for field in one.fields:
        value = figure(handbook, machine, field.machine)
        if value is not None:
            inputs[field.name] = value
    return {**inputs, **given}


def figure(handbook: Handbook, machine: str | None, path: str) -> object:
    """The figure at a calculator field's `machine` path: of the machine, or of the handbook (`handbook.tax_rate`)."""
    if not path:
        return None
    if path.startswith("handbook."):
        value = getattr(handbook, path.removeprefix("handbook."), None)
        return None if value is None else str(value)
    return handbook.machines[machine].figure(path) if machine in handbook.machines else None


def check(handbook: Handbook) -> list[Problem]:
    """Problems for values that the calculator refuses."""
    problems = []
    for procedure in handbook.procedures.values():
        for step in procedure.steps:
            if step.calculator is not None and step.calculator.id in REGISTER:
                problems += _use(handbook, procedure, step.calculator)
    return problems


def _use(handbook: Handbook, procedure: Procedure, use: Use) -> list[Problem]:
    problems = []
    for machine in [m for m in (procedure.machines or handbook.machines) if m in handbook.machines]:
        answer = calculate(use.id, filled(handbook, use.id, machine, use.inputs))
        for refusal in answer.get("refused", ()):
            problems.append(Problem(
                use.place("given") if "given" in use.places else use.at, "calculator-input",
                _("{calculator} refuses {field} for {machine}: {got}").format(
                    calculator=use.id, field=refusal["field"], machine=machine, got=refusal["got"]),
                _("it takes {takes}").format(takes=refusal["takes"])))
    return problems
