"""The verb `edition`, and what `publish` does with it: an edition's summary kept beside the content, for the next
ones."""

import os
from pathlib import Path

from macros.check import load_and_check
from macros.console import Stop, command
from macros.editions import changes, history, summary
from macros.model import Handbook
from macros.words import _


def sound(content: Path) -> Handbook:
    """The content, which has no problems. Raises: Stop."""
    handbook, problems = load_and_check(content)
    if handbook is None or problems:
        raise Stop(_("The content in {folder} has problems; see: {command}").format(
            folder=content, command=command("check", content)))
    return handbook


def keep(content: Path, edition: int | None) -> tuple[Path, bool]:
    """Keep what an edition says: the one that the content has, or an older one of the folder's history. The file, and
    whether it changed. Raises: Stop, OSError."""
    handbook = sound(content)
    if edition is None or edition == handbook.edition:
        kept = summary.of(handbook)
    elif edition > handbook.edition:
        raise Stop(_("The content is edition {edition}; edition {asked} is still to come.").format(
            edition=handbook.edition, asked=edition), 2)
    else:
        kept, _where = history.find(content, edition)
    file, text = summary.path(content, kept["edition"]), summary.text(kept)
    if file.is_file() and file.read_text("utf-8") == text:
        return file, False
    _write(file, text)
    return file, True


def published(content: Path) -> str:
    """Keep what was just published, for the next edition's page of what is new; the line to be said of it, "" for none.

    What was kept of the same number before stays, so that the next edition tells readers of all that changed since. It
    is published already: nothing that goes wrong here is more than a line.
    """
    try:
        now = summary.of(sound(content))
        file = summary.path(content, now["edition"])
        if not file.exists():
            _write(file, summary.text(now))
            return _("Kept what edition {number} says in {file}, so that the next one can say what is new. Keep the "
                     "file with the content.").format(number=now["edition"], file=file)
        found = changes.between(summary.read(file), now)
    except (summary.Unreadable, OSError, Stop) as why:
        reason = why.strerror if isinstance(why, OSError) and why.strerror else why
        return _("What this edition says was not kept in {folder} ({reason}), so the next one cannot say what is new. "
                 "Mend that, then: {command}").format(folder=content / summary.FOLDER, reason=reason,
                                                      command=command("edition", content))
    if not found:
        return ""
    what = "; ".join(f"{one.title} ({one.became})" for one in found[:3])
    if len(found) > 3:
        what = _("{first}; and {number} more").format(first=what, number=len(found) - 3)
    return _("Edition {number} was published before and says something else now: {what}. Readers cannot tell the two "
             "apart: raise edition and date in handbook.yml and publish again. What changed since {file} is told in "
             "the next edition. If nobody holds the one before: {command}").format(
                 number=now["edition"], what=what, file=file, command=command("edition", content))


def _write(file: Path, text: str) -> None:
    file.parent.mkdir(exist_ok=True)
    fresh = file.with_name(f"{file.name}.{os.getpid()}.new")
    try:
        fresh.write_text(text, "utf-8", newline="\n")
        fresh.replace(file)
    finally:
        fresh.unlink(missing_ok=True)
