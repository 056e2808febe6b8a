"""A content folder -> the handbook, and every problem of every file at once.

``python -m macros.check DIR`` prints the problems; ``handbook.py check`` is the same with more choices.
"""

import gc
import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import chain
from pathlib import Path

from macros import cores, folder, kept, model, stored
from macros.problems import Problem
from macros.words import _


def load_and_check(content: Path, parser: str = "fast") -> tuple[model.Handbook | None, list[Problem]]:
    """The handbook in the folder `content`, and its problems in file order.

    The handbook is None when a file that everything rests on cannot be read. `parser` is "fast" or
    "plain" (see `macros.load`). Raises nothing for any content.
    """
    from macros.allowing import allow

    kept.next_round()
    with _without_collector():
        found = folder.read(Path(content), parser, _rules_imported)
        problems = found.problems
        other = [problem for problem in problems if problem.rule == "model-version"]
        if other:  # what else could be said of files of another version would mislead
            return None, other
        if found.handbook is not None:
            problems = allow(found.handbook, problems + _by_rules(found.handbook))
    ordered = sorted(dict.fromkeys(problems), key=lambda p: (_file_order(p.file), p.line, p.column))
    return found.handbook if found.whole else None, ordered


def _rules_imported() -> None:
    """Import what the rules work with: it takes a twentieth of a second."""
    from calculators import calculators
    from macros.rules import every_rule

    every_rule()
    for _one in calculators():
        pass


def _by_rules(handbook: model.Handbook) -> list[Problem]:
    from macros.rules import every_rule

    if len(handbook.procedures) >= cores.LEAST and cores.number() > 1:
        _ahead(handbook)
        kept.begin_saving()
    return [problem for rule in every_rule() for problem in rule(handbook)]


def _ahead(handbook: model.Handbook) -> None:
    """What the rules will ask of single procedures and the like, done on all cores."""
    from macros.rules import pieces

    # What is asked of one thing is done in one place: its texts are gathered once.
    of: dict[int | str, list[kept.Piece]] = {}
    for piece in {(piece.what, *map(id, piece.things)): piece for piece in pieces(handbook)}.values():
        if kept.is_missing(piece.what, piece.things):
            of.setdefault(id(piece.things[0]) if piece.things else piece.what, []).append(piece)
    if len(of) < cores.LEAST:
        return
    done = stored.begin([[piece.make for piece in some] for some in of.values()])
    for piece, (result, packed) in zip(chain.from_iterable(of.values()), done(), strict=True):
        kept.put(piece.what, piece.things, result, packed)


@contextmanager
def _without_collector() -> Iterator[None]:
    """Nothing that is read forms rings: looking for them over and over takes half of the time."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _file_order(name: str) -> tuple[int, str]:
    order = list(folder.FILES)
    return (order.index(Path(name).name) if Path(name).name in order else len(order), name)


def main(arguments: list[str]) -> int:
    """Print the problems of a content folder; 0 when there are none."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")  # content may hold what this terminal cannot show
    content = Path(arguments[0] if arguments else "content")
    _handbook, problems = load_and_check(content)
    try:
        for problem in problems:
            print(problem.with_source(content.resolve().parent))
        print(_("{number} problems").format(number=len(problems)), flush=True)
    except BrokenPipeError:  # the reader has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
