"""A built site put in place for a web server: whole, or not at all.

The folder that is published to holds::

    publish.json            what was published here; says that the folder is the handbook's
    editions/NUMBER-HASH/   each edition as it is served, never changed once it is whole
    site                    a link to the edition in use: what the server serves

(on a disk without links: ``editions/1``, ``2`` and ``3``, and marks that say which is in use, see `pointing`).

An edition is written beside the others, files named by their content first, then pages, the offline list last,
and gets its place when everything is on the disk. Then it is let be in use, which is one change that a file system
does at once. Killed at any point, a run leaves the edition in use whole; the next one keeps what was written and goes
on. The edition before stays for `back`; its files named by content are in the new one too, for pages that are open.
"""

import gzip
import hashlib
import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from macros import naming, offline, pointing
from macros.console import Stop
from macros.pointing import EDITIONS, NOTE, SERVED, settle, write
from macros.words import _

LOCK = "publish.lock"

COMPRESSED = (".html", ".js", ".css", ".json", ".svg", ".wasm", ".webmanifest", ".txt")
"""Files that a .gz is laid beside, for servers that send it as it is; what is compressed already gains nothing."""


@dataclass(frozen=True)
class Placed:
    """What was done: the edition's folder, its number, its files, and whether anything had to be done."""

    folder: Path
    number: int
    files: int
    changed: bool


@dataclass(frozen=True)
class About:
    """Which handbook a site is: its name, its edition's number, and for whom it is; empty where it does not say."""

    name: str
    number: int
    audience: str


def about(site: Path | None) -> About | None:
    """Which handbook the files in `site` are; None where there are none that say so."""
    if site is None:
        return None
    try:
        listed = json.loads((site / offline.LIST).read_text("utf-8"))
        manifest = site / "manifest.webmanifest"
        name = json.loads(manifest.read_text("utf-8"))["name"] if manifest.is_file() else ""
        return About(str(name), int(listed["edition"]), str(listed.get("for", "")))
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def in_use(folder: Path) -> About | None:
    """Which handbook is in use in `folder`; None when none is, or it is damaged."""
    pointer = pointing.of(folder, pointing.read_note(folder))
    return about(pointer.place(pointer.now()))


def put(site: Path, folder: Path, base: str | None = None) -> Placed:
    """Put the built `site` in place in `folder`, to be served under the path `base` (None: as the last time, else "/").

    To be called under the folder's lock, after `own`. Raises: Stop; OSError when the disk refuses.
    """
    number = json.loads((site / offline.LIST).read_text("utf-8"))["edition"]
    note = pointing.read_note(folder)
    base = note["base"] = base or str(note.get("base", "/"))
    files = dict(_ordered(site, base))
    pointer = pointing.of(folder, note)
    now = pointer.now()
    kept = (now, note["before"].get(now))
    name = _name(pointer, number, files, kept)
    target = pointer.place(name)
    if target is not None and name == now:
        _tidy(folder, note, pointer, now)
        return Placed(target, number, len(files), False)
    if target is None:
        part = folder / EDITIONS / f"{name}.part"
        _fill(part, files, pointer.place(now))
        target = pointer.take(part, name, kept)
    if now:
        note["before"][name] = now
    pointing.write_note(folder, note)
    pointer.switch(name)
    _tidy(folder, note, pointer, name)
    return Placed(target, number, len(files), True)


def back(folder: Path) -> Placed:
    """Return to the edition before the one in use. Raises: Stop when there is none."""
    note = pointing.read_note(folder)
    pointer = pointing.of(folder, note)
    before = note["before"].get(pointer.now())
    target = pointer.place(before)
    if target is None or not (target / offline.LIST).is_file():
        raise Stop(_("{folder} holds no edition before the one in use; nothing was changed.").format(folder=folder))
    pointer.switch(before)
    number = json.loads((target / offline.LIST).read_text("utf-8"))["edition"]
    return Placed(target, number, sum(1 for path in target.rglob("*") if path.is_file()), True)


def served(folder: Path) -> Path:
    """What a server serves, now, of what was published in `folder`."""
    return pointing.of(folder, pointing.read_note(folder)).served()


def by_links(folder: Path) -> bool:
    """Whether a link leads to the edition in use."""
    return isinstance(pointing.of(folder, pointing.read_note(folder)), pointing.Links)


def own(folder: Path) -> None:
    """Make `folder` the handbook's where it is new or empty. Raises: Stop when it is somebody else's."""
    if not folder.exists() and not folder.parent.is_dir():
        raise Stop(_("{folder}: there is no folder {parent}. Make it first, or name another.").format(
            folder=folder, parent=folder.parent))
    if folder.exists() and not folder.is_dir():
        raise Stop(_("{folder} is a file; give a folder to publish to.").format(folder=folder))
    folder.mkdir(exist_ok=True)
    there = sorted(path.name for path in folder.iterdir())
    foreign = [name for name in there if name not in (*pointing.OURS, LOCK)]
    if NOTE not in there:
        if foreign or any(name in there for name in (SERVED, EDITIONS)):
            raise Stop(_("{folder} holds {name}, which the handbook did not put there; nothing was changed. Give an "
                         "empty folder, or a new one.").format(folder=folder, name=(foreign or there)[0]))
        pointing.write_note(folder, pointing.begin(folder))
    if (folder / SERVED).exists() and not (folder / SERVED).is_symlink():
        raise Stop(_("{place} is not the link that the handbook makes; nothing was changed. Move it away "
                     "first.").format(
            place=folder / SERVED))
    pointing.read_note(folder)


# ---- what an edition holds ----

def _ordered(site: Path, base: str) -> Iterator[tuple[str, bytes]]:
    """Name and bytes of every file, in the order in which they are written: by content, others, the list last."""
    names = sorted(path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file())
    names.sort(key=lambda name: (name == offline.LIST, not naming.is_named(name)))
    for name in names:
        data = (site / name).read_bytes()
        if name == "404.html":
            data = _missing_page(data, base)
        if name.endswith(COMPRESSED):
            yield f"{name}.gz", gzip.compress(data, 9, mtime=0)
        yield name, data


def _missing_page(page: bytes, base: str) -> bytes:
    """The page for a missing address, which may be asked for at any depth, with the way to home from the root."""
    return re.sub(rb'(\s(?:href|src|data-base)=")/', rb"\g<1>" + base.encode(), page)


def _name(pointer: pointing.Links | pointing.Marks, number: int, files: dict[str, bytes],
          used: tuple[str | None, ...]) -> str:
    """Name of the edition: of one that is there whole, or of none. What is damaged goes, unless it is in use: then the
    new one has another name."""
    total = hashlib.sha256()
    for name in sorted(files):
        total.update(f"{name}\0{hashlib.sha256(files[name]).hexdigest()}\n".encode())
    first = name = f"{number}-{total.hexdigest()[:12]}"
    again = 1
    while (there := pointer.place(name)) is not None and not whole(there, files):
        if name not in used:
            remove(there)
            break
        again += 1
        name = f"{first}-{again}"
    return name


def remove(edition: Path) -> None:
    """Remove an edition; its list goes first, so that what is left after a cut is not taken for one."""
    (edition / offline.LIST).unlink(missing_ok=True)
    shutil.rmtree(edition)


def whole(target: Path, files: dict[str, bytes]) -> bool:
    """Whether `target` has every file as it is to be."""
    return all(_same(target / name, data) for name, data in files.items())


def _same(path: Path, data: bytes) -> bool:
    try:
        return path.stat().st_size == len(data) and path.read_bytes() == data
    except OSError:
        return False


# ---- writing ----

def _fill(target: Path, files: dict[str, bytes], earlier: Path | None) -> None:
    """Write what is missing of `files` into `target`, and what open pages of the edition `earlier` still ask for."""
    if target.exists():
        wanted = {*files, *_carried(earlier)}
        for path in sorted(target.rglob("*")):
            if path.is_file() and path.relative_to(target).as_posix() not in wanted:
                path.unlink()  # of a run for another content, or from another edition
    named = [name for name in files if naming.is_named(name)]
    for name in named:
        _lay(target / name, files[name])
    for name in _carried(earlier):
        if earlier is not None and name not in files:
            _lay(target / name, (earlier / name).read_bytes())
    for name in files:
        if not naming.is_named(name):
            _lay(target / name, files[name])
    for place in sorted({path.parent for path in target.rglob("*")}):
        settle(place)


def _carried(earlier: Path | None) -> list[str]:
    """Files named by content that the edition `earlier` itself brought (not those that it carried on)."""
    if earlier is None:
        return []
    try:
        listed = json.loads((earlier / offline.LIST).read_text("utf-8"))["files"]
    except (OSError, ValueError, KeyError):
        return []
    names = [file["url"] for file in listed if naming.is_named(file["url"])]
    return [one for name in names for one in (f"{name}.gz", name) if (earlier / one).is_file()]


def _lay(path: Path, data: bytes) -> None:
    """Write one file unless a run before did."""
    if not _same(path, data):
        path.parent.mkdir(parents=True, exist_ok=True)
        write(path, data)


def _tidy(folder: Path, note: dict[str, Any], pointer: pointing.Links | pointing.Marks, name: str) -> None:
    """Remove the editions that nobody returns to; the one in use and the one before it stay."""
    kept = {name, note["before"].get(name)}
    for path in pointer.others(kept):
        remove(path)
    written = json.dumps(note)
    note["before"] = {one: before for one, before in note["before"].items() if one in kept}
    pointer.forget(kept)
    if json.dumps(note) != written:
        pointing.write_note(folder, note)
