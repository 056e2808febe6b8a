"""What the content knows, put into a calculator's fields: the machine's figures and the handbook's own."""

from collections.abc import Mapping
from typing import Any

from calculators import calculator
from macros.model import Handbook


def figure(handbook: Handbook, machine: str | None, path: str) -> Any:
    """The figure at a field's `machine` path as plain JSON, or None.

    ``vacuum.sealed`` is the machine's own; ``handbook.tax_rate`` is said in handbook.yml for all machines.
    """
    if not path:
        return None
    if path.startswith("handbook."):
        if handbook.may_be("figures", "handbook.yml"):  # that file could not be read: nothing is known of it
            return None
        return _plain(getattr(handbook, path.removeprefix("handbook."), None))
    return _plain(handbook.machines[machine].figure(path)) if machine in handbook.machines else None


def filled(handbook: Handbook, one_id: str, machine: str | None, given: Mapping[str, Any]) -> dict[str, Any]:
    """A calculator's inputs: its example, over it machine's and handbook's figures, over it `given`."""
    one = calculator(one_id)
    inputs = dict(one.example)
    for field in one.fields:
        value = figure(handbook, machine, field.machine)
        if value is not None:
            inputs[field.name] = value
    return {**inputs, **given}


def _plain(value: Any) -> Any:
    """A value of the content as plain JSON: decimals and dates as their text."""
    if isinstance(value, Mapping):
        return {str(name): _plain(inner) for name, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    return value if value is None or isinstance(value, (str, bool, int, float)) else str(value)
