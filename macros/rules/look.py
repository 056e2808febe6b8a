"""The handbook's own colour can be read on every page, and its own mark can be shown."""

from collections.abc import Iterator

from macros import colour, own_mark
from macros.model import Handbook
from macros.problems import At, Problem
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems of ``accent`` and of ``mark.svg``."""
    return [*_accent(handbook), *_mark(handbook)]


def _accent(handbook: Handbook) -> Iterator[Problem]:
    accent = handbook.head.accent
    if accent is None:
        return
    pages = {"light": _("on light pages"), "dark": _("on dark pages")}
    for scheme in colour.SCHEMES:
        one = getattr(accent, scheme)
        lack = colour.lacks(one, scheme) if one else None
        if lack is not None:
            yield Problem(
                accent.place(scheme), "accent",
                _("the colour {colour} {where} stands out from {ground} by {found} to 1").format(
                    colour=one, where=pages[scheme], ground=lack.ground, found=f"{lack.found:.1f}"),
                _("at least {least} to 1").format(least=f"{lack.wanted:g}"),
                _("the nearest that can be read is {better}").format(better=lack.better))


def _mark(handbook: Handbook) -> Iterator[Problem]:
    name = f"{handbook.root.resolve().name}/{own_mark.FILE}"
    try:
        own_mark.read(handbook.root)
    except own_mark.Unfit as unfit:
        yield Problem(At(name, unfit.line, unfit.column), "own-mark", str(unfit), unfit.expected)
    except OSError as error:
        yield Problem(At(name), "own-mark", _("the file cannot be read: {why}").format(why=error.strerror or error),
                      _("a readable file"))
