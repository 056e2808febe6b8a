"""The verbs `diff` and `edition`: what changed since an edition, as text or JSON; and an edition kept for the next ones."""

import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from macros.check import load_and_check
from macros.console import Stop
from macros.editions import changes, history, summary
from macros.editions.changes import Change
from macros.model import Handbook
from macros.words import _


def _handbook(content: Path) -> Handbook:
    """The content, which has no problems. Raises: Stop."""
    handbook, problems = load_and_check(content)
    if handbook is None or problems:
        raise Stop(_("The content in {folder} has problems; see: python3 handbook.py check").format(folder=content))
    return handbook


def diff(content: Path, edition: int, as_json: bool) -> Iterator[str]:
    """The lines of what is new since an edition. Raises: Stop, OSError."""
    handbook = _handbook(content)
    old, where = history.find(content, edition)
    found = changes.between(old, summary.of(handbook))
    if as_json:
        yield json.dumps([{**asdict(one), "safety": one.safety} for one in found], ensure_ascii=False, indent=1)
        return
    yield _("New since edition {edition} of {day} ({where}):").format(edition=edition, day=old["date"], where=where)
    for title, held in changes.groups(found):
        yield ""
        yield title
        for one in held:
            yield from _lines(one, "  ")
    if not found:
        yield _("nothing that a reader sees")


def _lines(change: Change, margin: str) -> Iterator[str]:
    yield f"{margin}{change.title} ({change.became})"
    for row in change.rows:
        yield f"{margin}  {row.what}"
        if row.was:
            yield f"{margin}    - {' '.join(row.was.split())}"
        if row.now:
            yield f"{margin}    + {' '.join(row.now.split())}"
    for one in change.inside:
        yield from _lines(one, margin + "  ")


def keep(content: Path, edition: int | None) -> tuple[Path, bool]:
    """Keep what an edition says: the one that the content has, or an older one of the folder's history. The file, and whether
    it changed. Raises: Stop, OSError."""
    handbook = _handbook(content)
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
    file.parent.mkdir(exist_ok=True)
    fresh = file.with_name(file.name + ".new")
    fresh.write_text(text, "utf-8", newline="\n")
    fresh.replace(file)
    return file, True
