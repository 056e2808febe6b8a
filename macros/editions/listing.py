"""The verb `diff`: what changed since an edition, as text or JSON."""

import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from macros.editions import changes, history, summary
from macros.editions.changes import Change
from macros.editions.keeping import sound
from macros.words import _


def diff(content: Path, edition: int, as_json: bool) -> Iterator[str]:
    """The lines of what is new since an edition. Raises: Stop, OSError."""
    handbook = sound(content)
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
