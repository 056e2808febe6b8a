"""Where a walk through a procedure stands: the machine's state, the messages read, who set what."""

State = tuple[str | None, ...]
Setter = tuple[str, str, int]
"""Procedure, step, line; ("", "", i) for the value of variable i as it came into the procedure."""


class Here:
    """A state with the messages read (numbers of the items), and who last set each value. Never changed.

    Who set a value is for the words of a problem alone: it is no part of what is compared.
    """

    __slots__ = ("state", "read", "setters", "_hash")

    def __init__(self, state: State, read: frozenset[int] = frozenset(), setters: tuple[Setter | None, ...] = ()):
        self.state, self.read, self.setters = state, read, setters
        self._hash = hash((state, read))  # a walk asks for it many times

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Here) and self.state == other.state and self.read == other.read

    def __hash__(self) -> int:
        return self._hash

    def __repr__(self) -> str:
        return f"Here({self.state!r}, {self.read!r}, {self.setters!r})"


def in_order(heres: set[Here]) -> list[Here]:
    """States in an order that stays, so that the same content gives the same words."""
    if len(heres) < 2:
        return list(heres)
    return sorted(heres, key=lambda here: ([str(value) for value in here.state], sorted(here.read)))
