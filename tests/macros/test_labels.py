"""The verb labels: what it refuses, what it writes, and that nothing of the reader's is written over."""

import re
from html import unescape
from pathlib import Path

import pytest

from macros import cli, labels
from macros.check import load_and_check
from macros.console import ROOT, Stop

WHERE = "https://handbook.example/scrubbers/"


@pytest.mark.parametrize("given", [WHERE, WHERE[:-1], "http://127.0.0.1:8765/", "https://handbook.example:8443"])
def test_an_address_gets_its_last_slash(given: str):
    assert labels.address(given) == given.rstrip("/") + "/"


@pytest.mark.parametrize("given", [
    None, "", "handbook.example", "ftp://handbook.example/", "https://", "https:///scrubbers/", "https://a b/", "https://h.example:99999/",
    "https://h.example/?q=1", "https://h.example/#x", "https://me@h.example/", "https://h.example/index.html", "https://bücher.example/",
    'https://h.example/"><b>', "javascript:alert(1)", "https://[::1", "https://h.example/" + "x" * labels.LONGEST])
def test_a_wrong_address_is_refused_in_a_line_that_says_what_to_give(given: str | None):
    with pytest.raises(Stop) as refused:
        labels.address(given)
    said = str(refused.value)
    assert refused.value.status == 2 and "\n" not in said
    assert "--address" in said and (not given or given in said or len(given) > labels.LONGEST)


@pytest.mark.parametrize("arguments", [[], ["--address"], ["--address", "x"], ["--address", WHERE, "--out", "labels.pdf"],
                                       ["--address", WHERE, "--out", "no-such-folder/labels.html"]])
def test_the_command_line_is_judged_before_anything_is_set_up(arguments: list[str]):
    with pytest.raises(Stop) as refused:
        cli.parse(["labels", *arguments])
    assert refused.value.status == 2


def test_what_holds_something_else_is_not_written_over(tmp_path: Path):
    mine = tmp_path / "mine.html"
    mine.write_text("<p>My own page</p>", "utf-8")
    with pytest.raises(Stop, match="nothing was changed"):
        labels.target(mine)
    (tmp_path / "folder.html").mkdir()
    with pytest.raises(Stop, match="nothing was changed"):
        labels.target(tmp_path / "folder.html")
    assert mine.read_text("utf-8") == "<p>My own page</p>"


def test_a_label_for_each_machine_and_each_part(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    out = tmp_path / "labels.html"
    assert labels.run(ROOT / "content", WHERE, out) == 0
    book, _problems = load_and_check(ROOT / "content")
    assert book is not None
    page = out.read_text("utf-8")
    addresses = re.findall(r'<p class="address">(.*?)</p>', page)
    assert sorted(addresses) == sorted([*(f"{WHERE}machines/{id}/?chosen" for id in book.machines),
                                        *(f"{WHERE}parts/{id}/" for id in book.parts)])
    assert page.count("<svg") == len(addresses)
    titles = {unescape(one) for one in re.findall(r'<p class="title">(.*?)</p>', page)}
    assert titles == {one.title for one in [*book.machines.values(), *book.parts.values()]}
    shelves = re.findall(r'<p class="shelf">(.*?)</p>', page)
    assert shelves == sorted(one.shelf for one in book.parts.values() if one.shelf)
    assert f"Labels for machines: {len(book.machines)}; for shelves: {len(book.parts)}. " in capsys.readouterr().err
    assert [file.name for file in tmp_path.iterdir()] == ["labels.html"]
    assert labels.target(out) == out, "labels are written over by newer ones"


def test_costs_stay_in_the_office(tmp_path: Path):
    out = tmp_path / "labels.html"
    labels.run(ROOT / "content", WHERE, out)
    book, _problems = load_and_check(ROOT / "content")
    page = out.read_text("utf-8")
    assert not [id for id, one in book.parts.items() if one.cost is not None and str(one.cost) in page]


def test_content_with_problems_gives_no_labels(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    out = tmp_path / "labels.html"
    assert labels.run(tmp_path, WHERE, out) == 1
    assert not out.exists() and capsys.readouterr().out


def test_an_address_without_encryption_is_remarked_on(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    labels.run(ROOT / "content", "http://handbook.example/", tmp_path / "labels.html")
    assert "only from https" in capsys.readouterr().err
