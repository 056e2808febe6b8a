"""Publishing: whole or not at all, whatever cuts it off; the edition before stays; nothing of others is touched."""

import errno
import gzip
import hashlib
import json
import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from macros import naming, offline, placing, pointing, publish
from macros.console import Stop


def site(folder: Path, number: int) -> Path:
    """A small site of edition `number`, its scripts and pages of its own."""
    for name, text in {
        "index.html": f'<html data-base="./"><link href="./look/look.css"><script '
                      f'src="./app/boot.js"></script>{number}',
        "procedures/x/index.html": f'<script src="../../app/boot.js"></script>{number}',
        "404.html": '<html data-base="/"><script src="/app/boot.js"></script><a href="/find/">',
        "app/boot.js": f"{number}", "look/look.css": "the same", "look/icon.svg": "<svg/>", "sw.js": "s",
        "runtime/0123456789abcdef/std.zip": "z", "find.json": f"[{number}]",
        **({"parts/only-in-the-first/index.html": "p"} if number == 1 else {}),
    }.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, "utf-8")
    naming.by_content(folder)
    offline.write(folder, number, "2026-11-25")
    return folder


def no_links(*_given, **_named) -> None:
    """Stands for a disk that has none: exFAT says just this."""
    raise OSError(errno.ENOSYS, os.strerror(errno.ENOSYS))


@pytest.fixture(params=["links", "marks"])
def sites(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> dict[int, Path]:
    """Three editions, on a disk with links and on one without. Nothing waits for the disk: what is tested is the order,
    and that takes the time of the tests."""
    monkeypatch.setattr(os, "fsync", lambda _handle: None)
    if request.param == "marks":
        monkeypatch.setattr(os, "symlink", no_links)
    return {number: site(tmp_path / f"built-{number}", number) for number in (1, 2, 3)}


def put(built: Path, folder: Path, base: str | None = "/") -> placing.Placed:
    placing.own(folder)
    return placing.put(built, folder, base)


def seen(folder: Path) -> int | None:
    """The edition that a reader gets, every file of its list asked for; None when there is none yet.

    Fails when one of them is missing or other than listed: half an edition is worse than none.
    """
    if not (folder / placing.NOTE).exists() or not placing.served(folder).exists():
        return None
    served = placing.served(folder)
    listed = json.loads((served / "edition.json").read_text("utf-8"))
    for file in listed["files"]:
        name = "index.html" if file["url"] == "./" else file["url"] + ("index.html" if file["url"].endswith("/")
                                                                       else "")
        found = hashlib.sha256((served / name).read_bytes()).hexdigest()
        assert found == file["sha256"], f"{name} is of another edition"
    assert (served / "sw.js").is_file() and (served / "404.html").is_file()
    return listed["edition"]


def everything(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_what_is_served_is_the_edition_with_its_files_compressed(sites: dict[int, Path], tmp_path: Path):
    folder = tmp_path / "web"
    placed = put(sites[1], folder)
    assert (placed.number, placed.changed, seen(folder)) == (1, True, 1)
    served = placing.served(folder)
    for path in served.rglob("*.gz"):
        assert gzip.decompress(path.read_bytes()) == path.with_suffix("").read_bytes()
    assert (served / "index.html.gz").is_file() and not list(served.rglob("*.zip.gz"))
    built = {name for name in everything(sites[1])}
    assert {name for name in everything(served) if not name.endswith(".gz")} == built


def test_files_named_by_content_come_first_and_the_list_last(sites: dict[int, Path]):
    names = [name for name, _data in placing._ordered(sites[1], "/")]
    plain = [not naming.is_named(name) for name in names]
    assert plain == sorted(plain) and any(plain) and not all(plain)
    assert names[-2:] == ["edition.json.gz", "edition.json"]


def test_published_again_nothing_is_written(sites: dict[int, Path], tmp_path: Path):
    folder = tmp_path / "web"
    put(sites[1], folder)
    before = {path: path.lstat().st_mtime_ns for path in folder.rglob("*")}
    assert not put(sites[1], folder).changed
    assert {path: path.lstat().st_mtime_ns for path in folder.rglob("*")} == before


def test_the_edition_before_stays_and_pages_that_are_open_get_their_files(sites: dict[int, Path], tmp_path: Path):
    folder = tmp_path / "web"
    put(sites[1], folder)
    put(sites[2], folder)
    put(sites[3], folder)
    assert seen(folder) == 3
    assert len(list((folder / placing.EDITIONS).iterdir())) == 2, "the one in use and the one before"
    scripts = sorted((path.read_text("utf-8") for path in placing.served(folder).glob("scripts/*/app/boot.js")))
    assert scripts == ["2", "3"], "scripts of the edition before, no older ones"
    assert not (placing.served(folder) / "parts").exists()


def test_back_returns_to_the_edition_before_and_no_further(sites: dict[int, Path], tmp_path: Path):
    folder = tmp_path / "web"
    put(sites[1], folder)
    with pytest.raises(Stop, match="no edition before"):
        placing.back(folder)
    put(sites[2], folder)
    assert placing.back(folder).number == seen(folder) == 1
    with pytest.raises(Stop, match="no edition before"):
        placing.back(folder)
    assert seen(folder) == 1
    assert put(sites[2], folder).changed and seen(folder) == 2
    assert placing.back(folder).number == 1


def test_a_damaged_edition_is_put_in_place_anew(sites: dict[int, Path], tmp_path: Path):
    folder = tmp_path / "web"
    put(sites[1], folder)
    (placing.served(folder) / "index.html").write_text("not ours", "utf-8")
    assert put(sites[1], folder).changed
    assert seen(folder) == 1


def test_the_page_for_a_missing_address_knows_the_base_path(sites: dict[int, Path], tmp_path: Path):
    folder = tmp_path / "web"
    put(sites[1], folder, "/books/scrubber/")
    page = (placing.served(folder) / "404.html").read_text("utf-8")
    assert 'data-base="/books/scrubber/"' in page and 'src="/books/scrubber/scripts/' in page
    assert 'href="/books/scrubber/find/"' in page


# ---- cut off ----

class Killed(BaseException):
    """Stands for the end of the process: nothing that catches errors catches it."""


_STRIKE = {"countdown": -1, "folder": "", "raises": Killed, "struck": False}
_CHANGES = {"open", "os.rename", "os.mkdir", "os.symlink", "os.remove", "os.rmdir", "os.chmod", "os.link",
            "os.truncate"}


def _strike(event: str, arguments: tuple) -> None:
    """An audit hook: sees every file operation before it is done, and stops the one whose turn it is."""
    if _STRIKE["countdown"] < 0 or event not in _CHANGES:
        return
    if event == "open" and not _writes(arguments):
        return
    if not any(isinstance(one, (str, os.PathLike)) and os.fspath(one).startswith(_STRIKE["folder"])
               for one in arguments):
        return
    _STRIKE["countdown"] -= 1
    if _STRIKE["countdown"] < 0:
        _STRIKE["struck"] = True
        raise _STRIKE["raises"]


def _writes(arguments: tuple) -> bool:
    _path, mode, flags = arguments
    return any(letter in mode for letter in "wax+") if isinstance(mode,
                                                                  str) else bool(flags & (os.O_WRONLY | os.O_RDWR))


sys.addaudithook(_strike)


@contextmanager
def struck(folder: Path, operation: int, raises: BaseException | type[BaseException] = Killed) -> Iterator[None]:
    """Let the `operation`-th change in `folder` not happen; whatever comes after it neither."""
    _STRIKE.update(countdown=operation, folder=str(folder), raises=raises, struck=False)
    try:
        yield
    finally:
        _STRIKE["countdown"] = -1


def cut_everywhere(folder: Path, act, raises=Killed, step: int = 1) -> Iterator[int]:
    """Do `act` in a folder as `folder` is, cut off before its first change, its second, and so on to the last.

    `step`: 2 leaves out every other one.
    """
    kept = folder.with_name("as-it-was")
    if folder.exists():
        shutil.copytree(folder, kept, symlinks=True)
    for operation in range(0, 10_000, step):
        shutil.rmtree(folder, ignore_errors=True)
        if kept.exists():
            shutil.copytree(kept, folder, symlinks=True)
        try:
            with struck(folder, operation, raises):
                act()
        except (Killed, Stop, OSError):
            pass
        else:
            if not _STRIKE["struck"]:
                assert operation > 3, "nothing was cut off"
                return
        yield operation
    raise AssertionError("it never ended")


@pytest.mark.parametrize("start", [(), (1, 2)])
def test_killed_at_any_point_the_old_edition_is_whole_and_the_next_run_goes_on(
        sites: dict[int, Path], tmp_path: Path, start: tuple[int, ...]):
    folder = tmp_path / "web"
    for number in start:
        put(sites[number], folder)
    old = start[-1] if start else None
    switched = []
    for operation in cut_everywhere(folder, lambda: put(sites[3], folder)):
        reader = seen(folder)
        assert reader in (old, 3), f"after operation {operation}"
        switched.append(reader == 3)
        if old and reader == old:
            assert not (placing.served(folder) / "index.html").read_text("utf-8").endswith("3")
        put(sites[3], folder)
        assert seen(folder) == 3
        if old and operation % 5 == 0:
            assert placing.back(folder).number == seen(folder) == old
    assert switched == sorted(switched) and not switched[0], "once it is there it stays"
    assert len(switched) > 20


def test_back_cut_off_at_any_point_is_one_or_the_other(sites: dict[int, Path], tmp_path: Path):
    folder = tmp_path / "web"
    put(sites[1], folder)
    put(sites[2], folder)
    cuts = 0
    for operation in range(10):
        try:
            with struck(folder, operation):
                placing.back(folder)
        except Killed:
            cuts += 1
            assert seen(folder) == 2
        else:
            break
    assert cuts >= (2 if placing.by_links(folder) else 1) and seen(folder) == 1


@pytest.mark.parametrize("start", pointing.PLACES)
@pytest.mark.parametrize("wanted", pointing.PLACES)
def test_from_any_place_to_any_other_the_last_change_of_marks_does_it(tmp_path: Path, start: str, wanted: str):
    names = {place: f"{place}-0123456789ab" for place in pointing.PLACES}
    for place in pointing.PLACES:
        (tmp_path / pointing.EDITIONS / place).mkdir(parents=True)
    for lower in [mark for place, mark in pointing.MARKS.items() if place < start]:  # may be left from before
        (tmp_path / lower).touch()
    marks = pointing.Marks(tmp_path, {"before": {}, "places": names})
    marks.switch(names[start])
    assert marks.now() == names[start]
    for operation in range(10):
        try:
            with struck(tmp_path, operation):
                marks.switch(names[wanted])
        except Killed:
            assert marks.now() == names[start]
        else:
            break
    assert marks.now() == names[wanted] and marks.served() == tmp_path / pointing.EDITIONS / wanted


def test_round_and_round_without_links(sites: dict[int, Path], tmp_path: Path):
    folder = tmp_path / "web"
    for number in (1, 2, 3, 2, 1, 3, 1, 1, 2):
        before = seen(folder)
        put(sites[number], folder)
        assert seen(folder) == number
        if before and before != number:
            assert placing.back(folder).number == seen(folder) == before
            put(sites[number], folder)
    assert len(list((folder / placing.EDITIONS).iterdir())) == 2


def test_a_folder_brought_to_a_disk_without_links_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    folder = tmp_path / "web"
    put(site(tmp_path / "1", 1), folder)
    monkeypatch.setattr(os, "symlink", no_links)
    with pytest.raises(Stop, match="this one has none; the edition in use is as it was. Publish to a new folder"):
        put(site(tmp_path / "2", 2), folder)
    assert seen(folder) == 1


@pytest.mark.parametrize(("number", "says"), [(errno.ENOSPC, "no room left"), (errno.EACCES, "may not be written")])
def test_no_room_or_no_rights_at_any_point_is_one_line_and_nothing_is_lost(
        sites: dict[int, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, says: str):
    folder = tmp_path / "web"
    put(sites[1], folder)
    monkeypatch.setattr(publish.building, "build", lambda content, audience, quietly: 0)
    monkeypatch.setattr(publish.building, "SITE", sites[2])
    refused = OSError(number, os.strerror(number), str(folder / "editions"))

    def act() -> None:
        try:
            publish.run(tmp_path, folder, None)
        except Stop as stop:
            assert says in str(stop) and "as it was" in str(stop) and "\n" not in str(stop)
            raise

    for operation in cut_everywhere(folder, act, refused, step=3):
        assert seen(folder) in (1, 2), operation
    assert seen(folder) == 2


def test_a_folder_of_others_is_not_touched(sites: dict[int, Path], tmp_path: Path):
    folder = tmp_path / "web"
    folder.mkdir()
    (folder / "accounts.xlsx").write_text("theirs", "utf-8")
    with pytest.raises(Stop, match="holds accounts.xlsx, which the handbook did not put there; nothing was changed"):
        put(sites[1], folder)
    assert everything(folder) == {"accounts.xlsx": b"theirs"}


def test_what_others_lay_beside_an_edition_stays(sites: dict[int, Path], tmp_path: Path):
    folder = tmp_path / "web"
    put(sites[1], folder)
    (folder / "notes.txt").write_text("theirs", "utf-8")
    (folder / "editions" / "theirs").mkdir()
    put(sites[2], folder)
    put(sites[3], folder)
    assert (folder / "notes.txt").is_file() and (folder / "editions" / "theirs").is_dir()


@pytest.mark.parametrize(("make", "says"), [
    (lambda web: web.write_text("x"), "is a file; give a folder"),
    (lambda web: (web.mkdir(), (web / "site").mkdir()), "holds site, which the handbook did not put there"),
    (lambda web: (web.mkdir(), (web / "publish.json").write_text("[]")), "publish.json is not the handbook's"),
    (lambda web: (web.mkdir(), (web / "publish.json").write_text('{"before": {}}'), (web / "site").mkdir()),
     "is not the link that the handbook makes"),
])
def test_what_stands_in_the_way_is_named(sites: dict[int, Path], tmp_path: Path, make, says: str):
    make(tmp_path / "web")
    with pytest.raises(Stop, match=says):
        put(sites[1], tmp_path / "web")


def test_no_folder_above_is_made(sites: dict[int, Path], tmp_path: Path):
    with pytest.raises(Stop, match="there is no folder"):
        put(sites[1], tmp_path / "a" / "b")
    assert not (tmp_path / "a").exists()


def test_back_where_nothing_was_published(tmp_path: Path):
    with pytest.raises(Stop, match="Nothing was published in"):
        publish.back(tmp_path / "web")
    assert not (tmp_path / "web").exists()


@pytest.mark.parametrize(("there", "new", "says"), [
    (("Ours", 1, "field"), ("Demo", 2, "field"),
     r'holds the handbook "Ours", and the content in .* is "Demo"; nothing'),
    (("Ours", 1, "field"), ("Ours", 2, "office"), "holds an edition for field, and this one is for office; nothing"),
    (("Ours", 1, "customer"), ("Ours", 2, "field"), "holds an edition for customer"),
    (("Ours", 3, "field"), ("Ours", 2, "field"), "holds edition 3, and the content in .* is edition 2; nothing"),
    (("Ours", 2, "field"), ("Ours", 2, "field"), ""),
    (("Ours", 1, "office"), ("Ours", 2, "office"), ""),
    (("", 1, ""), ("Ours", 2, "field"), ""),
])
def test_what_may_be_a_mistake_replaces_nothing_unless_it_is_asked_for(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch, there: tuple, new: tuple, says: str):
    monkeypatch.setattr(os, "fsync", lambda _handle: None)
    monkeypatch.setattr(publish.building, "build", lambda content, quietly, audience: 0)
    folder = tmp_path / "web"

    def published(place: str, name: str, number: int, audience: str, replace: bool = False) -> None:
        built = tmp_path / place
        site(built, number)
        (built / "edition.json").unlink()
        if name:
            (built / "manifest.webmanifest").write_text(json.dumps({"name": name}), "utf-8")
        offline.write(built, number, "2026-11-25", audience)
        monkeypatch.setattr(publish.building, "place", lambda _audience: (built, built / "stamp"))
        assert publish.run(tmp_path, folder, None, audience, replace) == 0

    published("first", *there)
    before = everything(folder)
    if says:
        with pytest.raises(Stop, match=says):
            published("second", *new)
        assert everything(folder) == before
    published("third", *new, replace=True)
    assert placing.in_use(folder) == placing.About(*new) and seen(folder) == new[1]


def test_the_address_of_the_last_time_holds(sites: dict[int, Path], tmp_path: Path):
    folder = tmp_path / "web"
    put(sites[1], folder, "/books/")
    put(sites[2], folder, None)
    assert 'data-base="/books/"' in (placing.served(folder) / "404.html").read_text("utf-8")
    assert not put(sites[2], folder, None).changed
    put(sites[2], folder, "/")
    assert 'data-base="/"' in (placing.served(folder) / "404.html").read_text("utf-8")


def test_others_may_read_what_is_published(sites: dict[int, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(publish.building, "build", lambda content, audience, quietly: 0)
    monkeypatch.setattr(publish.building, "SITE", sites[1])
    before = os.umask(0o077)
    try:
        assert publish.run(tmp_path, tmp_path / "web", None) == 0
    finally:
        os.umask(before)
    for path in placing.served(tmp_path / "web").resolve().rglob("*"):
        assert path.stat().st_mode & 0o044 == 0o044, path
