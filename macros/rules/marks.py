"""The marks of the rig can be read, and name machines and marks that the handbook knows."""

from macros import marks
from macros.model import Handbook
from macros.problems import At, Problem, meant, printable
from macros.words import _


def check(handbook: Handbook) -> list[Problem]:
    """Problems of marks.json; none where there is no such file."""
    from macros.pages.trust_words import titles

    at = At(printable(f"{handbook.root.resolve().name}/{marks.FILE}"))
    again = _("Make it again: {command}").format(command=marks.COMMAND)
    try:
        found = marks.read(handbook.root)
    except (marks.Unreadable, OSError) as error:
        return [Problem(at, "marks", getattr(error, "strerror", None) or str(error),
                        _("expected the file as the rig wrote it"), again)]
    if found is None:
        return []
    problems = [Problem(at, "unknown-machine", _('marks of "{name}", which is no machine of the handbook').format(name=name),
                        meant(name, list(handbook.machines)), again)
                for name in found.machines if name not in handbook.machines and not handbook.may_be("machine", name)]
    known = titles()
    problems += [Problem(at, "marks", _('"{name}" is no mark that this handbook can say in words').format(name=name),
                         _("expected the file as the rig wrote it"), again)
                 for name in sorted({mark.id for one in found.machines.values() for mark in one.marks} - set(known))]
    return problems
