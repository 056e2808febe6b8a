"""One build parted over several jobs of a CI, and joined: the same bytes as one build.

``build --share 2/3 --out DIR`` makes the second of three shares: every job checks the whole content, and makes the pages of some
sections; the first makes everything else too. ``build --join DIR DIR DIR`` puts them together into site/.
"""

import hashlib
import json
import re
import shutil
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from macros.console import CACHE, Stop, say
from macros.words import _

if TYPE_CHECKING:  # the command line is judged before anything is installed
    from macros.pages.site import Page

LIST = "share.json"
MOST = 100


@dataclass(frozen=True)
class Share:
    """The `number`th (from 1) of so many shares."""

    number: int
    of: int

    @property
    def first(self) -> bool:
        """Whether it is the one that holds what is no page, too."""
        return self.number == 1

    def pages(self, pages: "Iterable[Page]") -> "list[Page]":
        """Its pages: whole sections (pages of one kind with one way back), so that all shares have about as many."""
        sections: dict[tuple[str, str], list[Page]] = {}
        for page in pages:
            sections.setdefault((page.kind, page.back.url), []).append(page)
        held: list[list[Page]] = [[] for _share in range(self.of)]
        for section in sorted(sections.values(), key=len, reverse=True):
            min(held, key=len).extend(section)
        return held[self.number - 1]


def understood(text: str) -> Share:
    """The share named "2/3". Raises: ValueError."""
    found = re.fullmatch("([0-9]{1,3})/([0-9]{1,3})", text)
    if found is None or not 1 <= int(found[1]) <= int(found[2]) <= MOST:
        raise ValueError(text)
    return Share(int(found[1]), int(found[2]))


def build(content: Path, audience: str, share: Share, out: Path) -> int:
    """Build one share into the folder `out`, which it replaces. Returns 0, or 1 when the content has problems.

    Raises: Stop when `out` holds something else.
    """
    from macros import building, cli
    from macros.check import load_and_check
    from macros.locking import only_one

    if out.exists() and not (out / LIST).is_file() and (not out.is_dir() or any(out.iterdir())):
        raise Stop(_("{folder} holds something else than a share; give a new folder.").format(folder=out), cli.WRONG_USE)
    made_from = building.inputs_hash(content, placed=False)
    handbook, problems = load_and_check(content)
    if cli.report(content, handbook, problems):
        return 1
    fresh = CACHE / "share.new"
    with only_one(CACHE / "share.lock", lambda: say(_("Another start is building; waiting for it to finish."))):
        shutil.rmtree(fresh, ignore_errors=True)
        building.with_mkdocs(content, fresh, audience, handbook=handbook, share=share)
        listed = {"share": share.number, "of": share.of, "audience": audience, "made_from": made_from,
                  "edition": handbook.edition, "date": str(handbook.date), "files": {name: _hash(file) for name, file in _files(fresh)}}
        (fresh / LIST).write_text(json.dumps(listed, indent=1) + "\n", "utf-8")
        shutil.rmtree(out, ignore_errors=True)
        out.parent.mkdir(parents=True, exist_ok=True)
        shutil.move(fresh, out)
    say(_("Made share {number} of {of} in {folder}: {files} files.").format(
        number=share.number, of=share.of, folder=out, files=len(listed["files"])))
    return 0


def join(folders: Sequence[Path]) -> int:
    """Put the shares in `folders` together into the site. Raises: Stop, and nothing is changed, when they do not fit."""
    from macros import building, offline

    lists = [_listed(folder) for folder in folders]
    first = lists[0]
    for folder, one in zip(folders, lists, strict=True):
        for key in ("of", "audience", "made_from", "edition", "date"):
            if one[key] != first[key]:
                raise Stop(_("{folder} and {other} do not belong together: each was made from something else ({key}). "
                             "Build all shares from one state of content and program.").format(
                                 folder=folder, other=folders[0], key=key))
        strange = sorted({name for name, _file in _files(folder)} - {LIST, *one["files"]})
        if strange:
            raise Stop(_("{file} is no part of the share; take it out, or build the share again.").format(
                file=folder / strange[0]))
        for name, sha256 in one["files"].items():
            if not (folder / name).is_file() or _hash(folder / name) != sha256:
                raise Stop(_("{file} is not as it was made; build this share again.").format(file=folder / name))
    lacking = set(range(1, first["of"] + 1)) - {one["share"] for one in lists}
    if lacking or len(lists) > first["of"]:
        raise Stop(_("There are to be {of} shares, each once; lacking: {lacking}.").format(
            of=first["of"], lacking=", ".join(map(str, sorted(lacking))) or _("none")))
    fresh = CACHE / "site.new"
    shutil.rmtree(fresh, ignore_errors=True)
    for folder in folders:
        shutil.copytree(folder, fresh, dirs_exist_ok=True, ignore=shutil.ignore_patterns(LIST))
    edition = offline.write(fresh, first["edition"], first["date"], first["audience"])
    site, stamp = building.place(first["audience"])
    building.swap(fresh, site)
    stamp.unlink(missing_ok=True)  # whether it is current is known of what was built here alone
    say(_("Joined into {folder}: {files} files, edition {id}.").format(folder=site, files=len(edition.files), id=edition.id))
    return 0


def _listed(folder: Path) -> dict:
    try:
        found = json.loads((folder / LIST).read_text("utf-8"))
        if found["files"].keys() and found["of"] and found["share"]:
            return found
    except (OSError, ValueError, KeyError, AttributeError):
        pass
    raise Stop(_("{folder} is not a share: it has no {file} that can be read.").format(folder=folder, file=LIST))


def _files(folder: Path) -> list[tuple[str, Path]]:
    return [(path.relative_to(folder).as_posix(), path) for path in sorted(folder.rglob("*")) if path.is_file()]


def _hash(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()
