"""Drawings can be put into a page, every step about a part has one, and none is drawn in vain."""

import hashlib
from collections.abc import Iterator
from pathlib import Path

from macros import guides
from macros.kept import Piece, listed
from macros.model import Handbook
from macros.problems import At, Problem
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems of the drawings' files, of steps that lack one, and of drawings that no page shows."""
    unfit = [problem for piece in pieces(handbook) for problem in piece.found()]
    return [*unfit, *_steps_without(handbook), *_shown_nowhere(handbook)]


@listed
def pieces(handbook: Handbook) -> Iterator[Piece]:
    """What keeps each drawing from being shown."""
    from macros.pages.drawings import problems

    for path in handbook.drawings.values():
        name, data = _name(handbook, path), path.read_bytes()
        yield Piece(f"drawing {name} {hashlib.sha256(data).hexdigest()}", (), lambda name=name, data=data: problems(name, data))


def _name(handbook: Handbook, path: Path) -> str:
    """The name of a drawing's file in problems."""
    return f"{handbook.root.resolve().name}/drawings/{path.name}"


def _steps_without(handbook: Handbook) -> Iterator[Problem]:
    """A step that names parts, or zones where hands go, is seen before it is done."""
    for procedure in handbook.procedures.values():
        for step in procedure.steps:
            about = "hands" if step.hands else "parts" if step.parts else ""
            # A figure that is there and cannot be read has its own problem.
            if about and not step.figure and "figure" not in step.places:
                yield Problem(
                    step.place(about),
                    "step-without-drawing",
                    _('the step "{id}" is about {names} and has no drawing').format(
                        id=step.id, names=", ".join(getattr(step, about))
                    ),
                    _("figure: with the name of a drawing in drawings/"),
                    _("draw it from the shapes of macros/drawing/, with what the hand touches in the accent; or say under allow "
                      "why it needs none"),
                    about=step.id,
                )


def _shown_nowhere(handbook: Handbook) -> Iterator[Problem]:
    """Of files that cannot be read nothing is known: what they may show is not called unused."""
    if handbook.unread:
        return
    shown = {part for guide in guides.read(handbook)[0].values() for kind, part, _words in guides.parts(guide)
             if kind == "drawing"}
    for group in (handbook.symptoms, handbook.parts, handbook.machines):
        shown |= {one.drawing for one in group.values()}
    for procedure in handbook.procedures.values():
        shown |= {procedure.figure, *(step.figure for step in procedure.steps)}
    for name, path in handbook.drawings.items():
        if name not in shown:
            yield Problem(
                At(_name(handbook, path)),
                "unused-drawing",
                _('no page shows the drawing "{name}"').format(name=name),
                _("a step, part, symptom, machine or guide that names it"),
                _("name it where it helps, or take the file out"),
            )
