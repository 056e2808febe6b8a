"""A built site put in place for a web server: whole, or not at all.

The folder that is published to holds::

    publish.json            what was published here; says that the folder is the handbook's
    editions/NUMBER-HASH/   each edition as it is served, never changed once it is whole
    site                    a link to the edition in use: what the server serves

An edition is written beside the others, files named by their content first, then pages, the offline list last,
and gets its name when everything is on the disk. Then the link is exchanged, which a file system does at once.
Killed at any point, a run leaves the edition in use whole; the next one keeps what was written and goes on.
The edition before stays for `back`; its files named by content are in the new one too, for pages that are open.
"""

import errno
import gzip
import hashlib
import json
import os
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from macros import naming, offline
from macros.console import Stop
from macros.words import _

SERVED, EDITIONS, NOTE, LOCK = "site", "editions", "publish.json", "publish.lock"
OURS = {SERVED, EDITIONS, NOTE, LOCK, f"{SERVED}.new", f"{NOTE}.new"}
"""All that is ever made in the folder; nothing else in it is touched."""

COMPRESSED = (".html", ".js", ".css", ".json", ".svg", ".wasm", ".webmanifest", ".txt")
"""Files that a .gz is laid beside, for servers that send it as it is; what is compressed already gains nothing."""

_NO_LINKS = (errno.EPERM, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL)
"""What systems say when a disk has no links, or when links are for administrators alone."""

_EDITION = re.compile(r"\d+-[0-9a-f]{12}(?:-\d+)?(?:\.part)?")


@dataclass(frozen=True)
class Placed:
    """What was done: the edition's folder, its number, its files, and whether anything had to be done."""

    folder: Path
    number: int
    files: int
    changed: bool


def put(site: Path, folder: Path, base: str = "/") -> Placed:
    """Put the built `site` in place in `folder`, to be served under the path `base`.

    To be called under the folder's lock, after `own`. Raises: Stop; OSError when the disk refuses.
    """
    number = json.loads((site / offline.LIST).read_text("utf-8"))["edition"]
    files = dict(_ordered(site, base))
    note, now = _note(folder), current(folder)
    name = _name(folder, number, files, {now, note["before"].get(now)})
    target = folder / EDITIONS / name
    if name == now and whole(target, files):
        _tidy(folder, note, now)
        return Placed(target, number, len(files), False)
    if not whole(target, files):
        _fill(target.with_name(f"{name}.part"), files, folder / EDITIONS / now if now else None)
        target.with_name(f"{name}.part").rename(target)
        _settle(target.parent)
    if now:
        note["before"][name] = now
    _write_note(folder, note)
    _switch(folder, name)
    _tidy(folder, note, name)
    return Placed(target, number, len(files), True)


def back(folder: Path) -> Placed:
    """Return to the edition before the one in use. Raises: Stop when there is none."""
    now = current(folder)
    before = _note(folder)["before"].get(now)
    if not before or not (folder / EDITIONS / before / offline.LIST).is_file():
        raise Stop(_("{folder} holds no edition before the one in use; nothing was changed.").format(folder=folder))
    _switch(folder, before)
    target = folder / EDITIONS / before
    number = json.loads((target / offline.LIST).read_text("utf-8"))["edition"]
    return Placed(target, number, sum(1 for path in target.rglob("*") if path.is_file()), True)


def current(folder: Path) -> str:
    """Name of the edition in use; empty when there is none yet."""
    try:
        return Path(os.readlink(folder / SERVED)).name
    except OSError:
        return ""


def own(folder: Path) -> None:
    """Make `folder` the handbook's where it is new or empty. Raises: Stop when it is somebody else's."""
    if not folder.exists() and not folder.parent.is_dir():
        raise Stop(_("{folder}: there is no folder {parent}. Make it first, or name another.").format(
            folder=folder, parent=folder.parent))
    if folder.exists() and not folder.is_dir():
        raise Stop(_("{folder} is a file; give a folder to publish to.").format(folder=folder))
    folder.mkdir(exist_ok=True)
    there = sorted(path.name for path in folder.iterdir())
    foreign = [name for name in there if name not in OURS]
    if NOTE not in there:
        if foreign or any(name in there for name in (SERVED, EDITIONS)):
            raise Stop(_("{folder} holds {name}, which the handbook did not put there; nothing was changed. Give an empty "
                         "folder, or a new one.").format(folder=folder, name=(foreign or there)[0]))
        _write_note(folder, {"before": {}})
    if (folder / SERVED).exists() and not (folder / SERVED).is_symlink():
        raise Stop(_("{place} is not the link that the handbook makes; nothing was changed. Move it away first.").format(
            place=folder / SERVED))
    _note(folder)


def _note(folder: Path) -> dict[str, Any]:
    """What was published in `folder`. `before`: edition -> the one that was in use before it."""
    try:
        note = json.loads((folder / NOTE).read_text("utf-8"))
        if isinstance(note, dict) and isinstance(note["before"], dict):
            return note
    except (FileNotFoundError, NotADirectoryError):
        raise Stop(_("Nothing was published in {folder}.").format(folder=folder)) from None
    except (ValueError, KeyError):
        pass
    raise Stop(_("{file} is not the handbook's; nothing was changed. Give an empty folder, or a new one.").format(
        file=folder / NOTE))


def _write_note(folder: Path, note: dict[str, Any]) -> None:
    _write(folder / f"{NOTE}.new", (json.dumps(note, indent=1, sort_keys=True) + "\n").encode())
    os.replace(folder / f"{NOTE}.new", folder / NOTE)


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


def _name(folder: Path, number: int, files: dict[str, bytes], used: set[str | None]) -> str:
    """Name of the edition's folder; another where one of this name is damaged and must stay as it is in use."""
    total = hashlib.sha256()
    for name in sorted(files):
        total.update(f"{name}\0{hashlib.sha256(files[name]).hexdigest()}\n".encode())
    first = name = f"{number}-{total.hexdigest()[:12]}"
    again = 1
    while name in used and not whole(folder / EDITIONS / name, files):
        again += 1
        name = f"{first}-{again}"
    if (folder / EDITIONS / name).exists() and not whole(folder / EDITIONS / name, files):
        shutil.rmtree(folder / EDITIONS / name)
    return name


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
        _settle(place)


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
        _write(path, data)


def _write(path: Path, data: bytes) -> None:
    """Write the file and wait until it is on the disk."""
    with open(path, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _settle(folder: Path) -> None:
    """Wait until a folder's new names are on the disk, where the system can."""
    if os.name != "nt":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _switch(folder: Path, name: str) -> None:
    """Point the link at the edition `name`. Raises: Stop where the disk has no links."""
    fresh = folder / f"{SERVED}.new"
    fresh.unlink(missing_ok=True)
    try:
        fresh.symlink_to(Path(EDITIONS, name), target_is_directory=True)
    except (NotImplementedError, OSError) as refusal:
        if isinstance(refusal, OSError) and refusal.errno not in _NO_LINKS:
            raise
        raise Stop(_("{folder}: links cannot be made on this disk, so an edition cannot be put in place at once; the edition in "
                     "use is as it was. Publish to a disk that has links.").format(folder=folder)) from None
    os.replace(fresh, folder / SERVED)
    _settle(folder)


def _tidy(folder: Path, note: dict[str, Any], name: str) -> None:
    """Remove the editions that nobody returns to; the one in use and the one before it stay."""
    kept = {name, note["before"].get(name)}
    for path in sorted((folder / EDITIONS).iterdir()):
        if path.name not in kept and _EDITION.fullmatch(path.name):
            # Its list goes first, so that what is left after a cut is not taken for an edition.
            (path / offline.LIST).unlink(missing_ok=True)
            shutil.rmtree(path)
    short = {one: before for one, before in note["before"].items() if one in kept}
    if short != note["before"]:
        note["before"] = short
        _write_note(folder, note)
