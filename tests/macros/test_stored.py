"""What is kept from one check to the next changes no answer: over broken content, damaged stores, other programs."""

import json
import os
import pickle
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from macros import cores, english, kept, stored
from macros.check import load_and_check
from macros.console import ROOT

from tests.bench.making import make

from .broken import BROKEN, FILES
from .contents import DEMO, SMALL, put, with_files


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file of the one store of a test, whose program is called P."""
    monkeypatch.setattr(stored, "FOLDER", tmp_path / "stores")
    monkeypatch.setattr(stored, "program", lambda: "P")
    return tmp_path / "stores" / "one"


def fresh(content: Path):
    """Handbook and problems as a first start finds them."""
    for _round in range(2):
        kept.next_round()
    return load_and_check(content)


def again(content: Path, file: Path, program: str = "P"):
    """The same with the store in `file`; how many results it had, and how many of them were taken."""
    for _round in range(2):
        kept.next_round()
    one = stored.Store(file, program)
    had = set(one._had)
    with kept.lasting_in(one):
        found = load_and_check(content)
    taken = len(had & set(one._now))
    one.save()
    return found, len(had), taken


def same(content: Path, file: Path) -> int:
    """Check with the store and without: the same. How many results were taken from the store."""
    found, _had, taken = again(content, file)
    wanted = fresh(content)
    assert found == wanted
    assert [repr(problem) for problem in found[1]] == [repr(problem) for problem in wanted[1]]
    return taken


def test_broken_content_is_refused_the_same_whatever_was_kept_before(tmp_path: Path, store: Path):
    content = tmp_path / "content"
    shutil.copytree(SMALL, content)
    same(content, store)
    whole = same(content, store)
    for file, old, new, _problems in BROKEN:
        before = (content / file).read_text("utf-8")
        (content / file).write_text(before.replace(old, new, 1), "utf-8")
        assert 0 < same(content, store) <= whole - file.endswith(".yml"), (file, new)
        (content / file).write_text(before, "utf-8")
        same(content, store)
    assert same(content, store) == whole


@pytest.mark.parametrize("files", [one[2] for one in FILES], ids=[f"{one[0]}:{one[1]}" for one in FILES])
def test_broken_files_are_refused_the_same(tmp_path: Path, store: Path, files: dict[str, bytes | None]):
    content = with_files(tmp_path, {})
    same(content, store)
    for name, data in files.items():
        if data is None:
            (content / name).unlink()
        else:
            (content / name).parent.mkdir(parents=True, exist_ok=True)
            (content / name).write_bytes(data)
    for _turn in range(2):
        same(content, store)


def test_safety_taken_from_the_demo_is_refused_the_same(tmp_path: Path, store: Path):
    """Every tenth message and every tenth line of what steps set, of all procedures; what each of them rests on stays kept."""
    content = tmp_path / "content"
    shutil.copytree(DEMO, content)
    same(content, store)
    places = [(path, found) for path in sorted((content / "procedures").glob("*.yml"))
              for found in re.finditer(r"^  - message: .*\n|^ +sets: .*\n", path.read_text("utf-8"), re.MULTILINE)]
    assert len(places) > 150
    for path, found in places[::10]:
        before = path.read_text("utf-8")
        path.write_text(before[:found.start()] + before[found.end():], "utf-8")
        (_handbook, problems), _had, taken = again(content, store)
        assert problems and problems == fresh(content)[1] and taken > 100, (path.name, found[0])
        path.write_text(before, "utf-8")


def test_what_others_rest_on_is_looked_at_again(tmp_path: Path, store: Path):
    """A procedure that others run, the hazards, the author's own words, the name of the folder."""
    content = tmp_path / "content"
    shutil.copytree(DEMO, content)
    same(content, store)
    put(content, "procedures/make-safe.yml", "key: out", "key: in")
    assert len(again(content, store)[0][1]) > 5
    same(content, store)
    shutil.copy(DEMO / "procedures/make-safe.yml", content / "procedures")
    put(content, "hazards.yml", "message: ", "message: x-")
    same(content, store)
    shutil.copy(DEMO / "hazards.yml", content)
    (content / "words.yml").write_text("instead: [{word: blade, say: edge}]\n", "utf-8")
    assert len(again(content, store)[0][1]) > 20
    same(content, store)
    content.rename(tmp_path / "other")
    assert {problem.file.split("/")[0] for problem in again(tmp_path / "other", store)[0][1]} == {"other"}


@pytest.mark.parametrize("number", [1, 2])
def test_what_several_cores_found_is_kept_whole(tmp_path: Path, store: Path, monkeypatch, number: int):
    monkeypatch.setattr(cores, "number", lambda: number)
    content = make(tmp_path / "content", 2 * cores.LEAST)
    put(content, "procedures/set-wheels-0003.yml", "- message: blade-edge\n", "")
    assert same(content, store) == 0
    one = stored.Store(store, "P")
    assert same(content, store) == len(one._had) > 2 * 2 * cores.LEAST
    put(content, "procedures/set-wheels-0005.yml", "- message: blade-edge\n", "")
    # Found anew: what each rule asks of this procedure, references among it, and the walks that go through it.
    assert len(one._had) - 11 < same(content, store) < len(one._had)


@pytest.mark.parametrize(("ends", "here"), [("well", False), ("killed", True), ("before something else was found", True)])
def test_what_another_core_writes_is_whole_or_is_written_here(tmp_path: Path, store: Path, monkeypatch, ends: str, here: bool):
    monkeypatch.setattr(cores, "number", lambda: 2)
    content, own, write = make(tmp_path / "content", 2 * cores.LEAST), os.getpid(), stored.Store._write
    wrote_here = []

    def written(one: stored.Store) -> bool:
        if os.getpid() == own:
            wrote_here.append(one)
        elif ends == "killed":
            os._exit(9)
        return write(one)

    monkeypatch.setattr(stored.Store, "_write", written)
    one = stored.Store(store, "P")
    for _round in range(2):
        kept.next_round()
    with kept.lasting_in(one):
        load_and_check(content)
        if ends == "before something else was found":
            one.put("a name", ["found"])
        names = one._names() | {name() for name, _result, _packed in one._unnamed}
        one.save()
    assert bool(wrote_here) == here
    after = stored.Store(store, "P")
    assert set(after._had) == names and len(names) > 2 * 2 * cores.LEAST
    assert all(after.get(name) is not None for name in names)


def test_another_language_is_another_answer(tmp_path: Path, store: Path):
    from macros.words import use

    content = with_files(tmp_path, {})
    put(content, "tools.yml", "title:", "titel:")
    before = again(content, store)[0][1]
    use({"expected a key that is read here": "anders"})
    try:
        same(content, store)
        assert before != again(content, store)[0][1]
    finally:
        use({})
    assert before == again(content, store)[0][1]


def test_only_the_same_program_is_answered_from_the_store(tmp_path: Path, store: Path, monkeypatch):
    content = with_files(tmp_path, {})
    assert again(content, store)[0][1] == []
    monkeypatch.setattr(english, "MOST_INSTRUCTING", 3)
    assert again(content, store)[0][1] == [], "the store is in use"
    monkeypatch.setattr(stored, "program", lambda: "Q")
    (_handbook, problems), had, _taken = again(content, store, "Q")
    assert had == 0 and "sentence-length" in {problem.rule for problem in problems}
    monkeypatch.setattr(stored, "program", lambda: "R")
    before = store.read_bytes()
    again(content, store, "Q")
    put(content, "tools.yml", "title:", "titel:")
    again(content, store, "Q")
    assert store.read_bytes() == before, "a program that was changed while it checked keeps nothing"


def test_every_source_and_the_python_are_part_of_the_program(tmp_path: Path, monkeypatch):
    monkeypatch.undo()
    root = tmp_path / "root"
    for name in stored.SOURCES:
        (shutil.copytree if (ROOT / name).is_dir() else shutil.copy)(ROOT / name, root / name)
    files = [file for name in stored.SOURCES for file in stored.files_of(root / name)]
    assert {"wording.py", "state_steps.py", "load.py", "blade.py", "requirements.lock"} <= {file.name for file in files}
    for file in files:
        os.utime(file, (1, 1))
    seen = {stored.program(root)}
    for file in [*files[::40], root / "macros/rules/safety.py", root / "requirements.lock"]:
        file.write_bytes(file.read_bytes() + b"\n")
        os.utime(file, (1, 1))
        seen.add(stored.program(root))
    (root / "macros/rules/more.py").write_text("")
    os.utime(root / "macros/rules/more.py", (1, 1))
    seen.add(stored.program(root))
    monkeypatch.setattr(sys, "version", "4")
    seen.add(stored.program(root))
    assert len(seen) == len(files[::40]) + 5 and "" not in seen
    (root / "macros/rules/more.py").write_text("# now")
    assert stored.program(root) == "", "what was imported may be what stood there before"


def test_a_damaged_store_changes_nothing_and_is_made_again(tmp_path: Path, store: Path):
    content = with_files(tmp_path, {})
    put(content, "tools.yml", "title:", "titel:")
    wanted = again(content, store)[0]
    whole = store.read_bytes()
    places = [*range(0, 200, 20), *range(200, len(whole), len(whole) // 40)]
    for damaged in (b"", b"\n", b"x" * 100, whole[:-1], whole + b"x", whole[:100], whole.replace(b"P", b"Q", 1),
                    *(whole[:at] + bytes([whole[at] ^ 0xFF]) + whole[at + 1:] for at in places)):
        store.write_bytes(damaged)
        found, had, _taken = again(content, store)
        assert found == wanted and had == 0
        assert again(content, store)[2] > 0 and len(store.read_bytes()) == len(whole), "it was made again"
    store.unlink()
    store.mkdir()
    assert again(content, store)[0] == wanted


def test_nothing_is_called_that_a_foreign_store_names(tmp_path: Path, store: Path):
    class Foreign:
        def __reduce__(self):
            return (Path.write_text, (tmp_path / "called", "x"))

    content = with_files(tmp_path, {})
    wanted = again(content, store)[0]
    one = stored.Store(store, "P")
    for packed in (pickle.dumps(Foreign()), pickle.dumps(os.getcwd), b"", b"\x80\x05", pickle.dumps([])[:-1]):
        one._had = dict.fromkeys(one._had, packed)
        with kept.lasting_in(one):
            for _round in range(2):
                kept.next_round()
            assert load_and_check(content) == wanted
        assert not (tmp_path / "called").exists()
        with pytest.raises((pickle.UnpicklingError, EOFError)):
            stored.unpacked(packed)
        one = stored.Store(store, "P")


def test_a_store_holds_what_the_last_check_asked_for_and_there_are_few(tmp_path: Path, store: Path):
    content = with_files(tmp_path, {})
    again(content, store)
    size = store.stat().st_size
    for turn in range(12):
        put(content, "tools.yml", "title: ", f"title: {turn} ")
        again(content, store)
        assert store.stat().st_size < 1.2 * size
        again(content, store.with_name(f"other-{turn}"))
    assert len(list(store.parent.iterdir())) == stored.MOST_STORES


def test_where_nothing_can_be_written_the_check_is_the_same(tmp_path: Path, store: Path):
    content = with_files(tmp_path, {})
    store.parent.write_text("a file where the folder would be")
    assert again(content, store) == again(content, store) == (fresh(content), 0, 0)


def test_the_verb_says_the_same_at_each_start(tmp_path: Path):
    content = with_files(tmp_path, {})

    def said() -> list[dict]:
        ran = subprocess.run([sys.executable, "handbook.py", "check", "--json", "--content", str(content)], cwd=ROOT,
                             capture_output=True, text=True, check=False)
        return json.loads(ran.stdout)

    assert said() == said() == []
    put(content, "procedures/survey.yml", "minutes: 2", "minuets: 2")
    first = said()
    assert first and first == said() == [problem.record() for problem in fresh(content)[1]]
