"""Where a walk through a procedure stands: the machine's state, the messages read, who set what."""

from dataclasses import dataclass, field

State = tuple[str | None, ...]
Setter = tuple[str, str, int]
"""Procedure, step, line; ("", "", i) for the value of variable i as it came into the procedure."""


@dataclass(frozen=True)
class Here:
    """A state with the messages read (numbers of the items), and who last set each value.

    Who set a value is for the words of a problem alone: it is no part of what is compared.
    """

    state: State
    read: frozenset[int] = frozenset()
    setters: tuple[Setter | None, ...] = field(default=(), compare=False)


def in_order(heres: set[Here]) -> list[Here]:
    """States in an order that stays, so that the same content gives the same words."""
    return sorted(heres, key=lambda here: ([str(value) for value in here.state], sorted(here.read)))
