"""Results kept within a process, each with the very things that it was made from.

A check of a handbook in which one file was saved asks again only what that file changes: a thing that was read anew is
another object, and what stayed is the same one. What two checks in a row have not asked for is let go.
"""

from collections.abc import Callable, Iterable
from typing import Any, NamedTuple, TypeVar

from calculators import words

Result = TypeVar("Result")

_held: dict[tuple[str, tuple[int, ...]], tuple[tuple[Any, ...], Any]] = {}
_before: dict[tuple[str, tuple[int, ...]], tuple[tuple[Any, ...], Any]] = {}


def kept(what: str, things: Iterable[Any], make: Callable[[], Result]) -> Result:
    """The result of `make()`, which rests on `things`, the language in use and on nothing else that may change; `what` names it.

    Things are the same when they are one object: whoever changes one in place asks wrongly.
    """
    things = (words.in_use(), *things)
    key = what, tuple(map(id, things))
    found = _held.get(key) or _before.get(key)
    if found is None:
        found = things, make()  # the things are held as well, so that no other can get their ids
    _held[key] = found
    return found[1]


class Piece(NamedTuple):
    """What `kept` is asked for: so that a piece of work can be handed on before it is done."""

    what: str
    things: tuple[Any, ...]
    make: Callable[[], Any]

    @property
    def _key(self) -> tuple[str, tuple[int, ...]]:
        return self.what, tuple(map(id, (words.in_use(), *self.things)))

    def is_missing(self) -> bool:
        """Whether it has not been done yet."""
        return self._key not in _held and self._key not in _before

    def put(self, result: Any) -> None:
        """Its result, made elsewhere."""
        _held[self._key] = (words.in_use(), *self.things), result


def next_round() -> None:
    """A new check begins: what the last one did not ask for is forgotten."""
    global _held, _before
    _before, _held = _held, {}
