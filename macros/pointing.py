"""Which of the published editions in a folder is in use, so that it can be changed at once.

Where the disk has links, ``site`` is a link to the edition in use. Where it has none (exFAT, many shares of other
machines, Windows), or where a link cannot be exchanged, editions stand in one of three places, and marks say which:
files without content that are there or not. The last place that is marked is in use, the first one without any mark. A
file is made or removed at once on any disk, and the settings for web servers look for the marks at each request.
"""

import errno
import json
import os
import re
from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Any

from macros.console import Stop
from macros.words import _

SERVED, EDITIONS, NOTE = "site", "editions", "publish.json"
PLACES = ("1", "2", "3")
"""Of an edition where there are no links: the one in use, the one before, and the one that is being written."""

MARKS = {place: f"use-{place}" for place in PLACES[1:]}
OURS = {SERVED, EDITIONS, NOTE, *MARKS.values(), f"{SERVED}.new", f"{NOTE}.new"}
"""All that is ever made in the folder; nothing else in it is touched."""

_NO_LINKS = (errno.EPERM, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL)
"""What systems say when a disk has no links, or when links are for administrators alone."""

_NAME = re.compile(r"\d+-[0-9a-f]{12}(?:-\d+)?(?:\.part)?")


class Links:
    """A link leads to the edition in use; each edition stands under its own name."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def now(self) -> str:
        """Name of the edition in use; empty when there is none yet."""
        try:
            return Path(os.readlink(self.folder / SERVED)).name
        except OSError:
            return ""

    def served(self) -> Path:
        """What a server serves."""
        return self.folder / SERVED

    def place(self, name: str | None) -> Path | None:
        """Where an edition stands; None when it is not there."""
        there = self.folder / EDITIONS / name if name else None
        return there if there is not None and there.is_dir() else None

    def take(self, part: Path, name: str, _kept: Collection[str | None]) -> Path:
        """Give a whole edition written at `part` its place."""
        there = self.folder / EDITIONS / name
        part.rename(there)
        settle(there.parent)
        return there

    def switch(self, name: str) -> None:
        """Let the edition be in use, at once. Raises: Stop where the disk has no links any more."""
        fresh = self.folder / f"{SERVED}.new"
        fresh.unlink(missing_ok=True)
        if not _linked(fresh, Path(EDITIONS, name)):
            raise Stop(_("{folder} was published to on a disk that has links, and this one has none; the edition in "
                         "use is as it was. Publish to a new folder, and print the server's settings "
                         "again.").format(folder=self.folder))
        os.replace(fresh, self.folder / SERVED)
        settle(self.folder)

    def others(self, kept: Collection[str | None]) -> list[Path]:
        """What stands there besides the editions that are to be kept."""
        return [path for path in _there(self.folder) if path.name not in kept and _NAME.fullmatch(path.name)]

    def forget(self, _kept: Collection[str | None]) -> None:
        """Nothing: an edition's name is its folder's."""


class Marks:
    """Editions stand in places; marks say which one is in use. `places` of the note says which edition stands where."""

    def __init__(self, folder: Path, note: dict[str, Any]) -> None:
        self.folder, self.note = folder, note
        self.places: dict[str, str] = note["places"]

    def _keeps(self, place: str, kept: Collection[str | None]) -> bool:
        """Whether one of the editions `kept` stands at `place`."""
        return place in self.places and self.places[place] in kept

    def _in_use(self) -> str:
        return max((place for place, mark in MARKS.items() if (self.folder / mark).exists()), default=PLACES[0])

    def now(self) -> str:
        """Name of the edition in use; empty when there is none yet."""
        name = self.places.get(self._in_use(), "")
        return name if self.place(name) else ""

    def served(self) -> Path:
        """What a server serves now."""
        return self.folder / EDITIONS / self._in_use()

    def place(self, name: str | None) -> Path | None:
        """Where an edition stands; None when it is not there."""
        return next((self.folder / EDITIONS / place for place, held in self.places.items()
                     if name and held == name and (self.folder / EDITIONS / place).is_dir()), None)

    def take(self, part: Path, name: str, kept: Collection[str | None]) -> Path:
        """Give a whole edition written at `part` its place: one that holds none of the editions `kept`."""
        from macros.placing import remove

        used = self._in_use() if self.now() else ""
        place = next(one for one in PLACES if one != used and not self._keeps(one, kept))
        there = self.folder / EDITIONS / place
        if self.places.pop(place, None) is not None:
            write_note(self.folder, self.note)
        if there.exists():
            remove(there)
        # Named before it is there: what has a name is looked for, what is there without one would be in the way.
        self.places[place] = name
        write_note(self.folder, self.note)
        part.rename(there)
        settle(there.parent)
        return there

    def switch(self, name: str) -> None:
        """Let the edition be in use: the last mark that is made or removed does it, those before change nothing."""
        wanted = next(place for place, held in self.places.items() if held == name)
        used = self._in_use()
        if wanted in MARKS:
            (self.folder / MARKS[wanted]).touch()
        for place in PLACES:
            if wanted < place < used:
                (self.folder / MARKS[place]).unlink(missing_ok=True)
        if wanted < used:
            (self.folder / MARKS[used]).unlink()
        settle(self.folder)

    def others(self, kept: Collection[str | None]) -> list[Path]:
        """What stands there besides the editions that are to be kept."""
        return [path for path in _there(self.folder)
                if _NAME.fullmatch(path.name) or path.name in PLACES and not self._keeps(path.name, kept)]

    def forget(self, kept: Collection[str | None]) -> None:
        """Say in the note that only these editions are there."""
        for place in [place for place, held in self.places.items() if held not in kept]:
            del self.places[place]


def of(folder: Path, note: dict[str, Any]) -> Links | Marks:
    """How the folder of this note says which edition is in use."""
    return Marks(folder, note) if "places" in note else Links(folder)


def marks(folder: Path) -> list[tuple[str, str]]:
    """Each mark, and the place that it stands for, in the order in which the later one holds; none where there are
    links, and where nothing was published yet."""
    if not (folder / NOTE).is_file() or isinstance(of(folder, read_note(folder)), Links):
        return []
    return [((folder / mark).as_posix(), (folder / EDITIONS / place).as_posix()) for place, mark in MARKS.items()]


def begin(folder: Path) -> dict[str, Any]:
    """The note of a folder that nothing was published to yet: by links, where they can be made and exchanged."""
    fresh = folder / f"{SERVED}.new"
    fresh.unlink(missing_ok=True)
    # Windows does not put one link to a folder in the place of another.
    linked = os.name != "nt" and _linked(fresh, Path(EDITIONS))
    fresh.unlink(missing_ok=True)
    return {"before": {}} if linked else {"before": {}, "places": {}}


def read_note(folder: Path) -> dict[str, Any]:
    """What was published in `folder`. `before`: edition -> the one that was in use before it. Raises: Stop."""
    try:
        note = json.loads((folder / NOTE).read_text("utf-8"))
        if isinstance(note, dict) and isinstance(note["before"], dict) and isinstance(note.get("places", {}), dict):
            return note
    except (FileNotFoundError, NotADirectoryError):
        raise Stop(_("Nothing was published in {folder}.").format(folder=folder)) from None
    except (ValueError, KeyError):
        pass
    raise Stop(_("{file} is not the handbook's; nothing was changed. Give an empty folder, or a new one.").format(
        file=folder / NOTE))


def write_note(folder: Path, note: dict[str, Any]) -> None:
    """Write the note, at once."""
    write(folder / f"{NOTE}.new", (json.dumps(note, indent=1, sort_keys=True) + "\n").encode())
    os.replace(folder / f"{NOTE}.new", folder / NOTE)


def write(path: Path, data: bytes) -> None:
    """Write the file and wait until it is on the disk."""
    with open(path, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def settle(folder: Path) -> None:
    """Wait until a folder's new names are on the disk, where the system can."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as refusal:
        if refusal.errno not in _NO_LINKS:  # some shares do not wait for folders
            raise
    finally:
        os.close(handle)


def _there(folder: Path) -> Iterator[Path]:
    yield from sorted((folder / EDITIONS).iterdir())


def _linked(fresh: Path, to: Path) -> bool:
    """Make a link; False where the disk has none."""
    try:
        fresh.symlink_to(to, target_is_directory=True)
    except NotImplementedError:
        return False
    except OSError as refusal:
        if refusal.errno not in _NO_LINKS:
            raise
        return False
    return True
