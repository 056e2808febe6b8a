"""`renew`: an older content folder is brought up to date, shown first, comments and spacing kept, and undone."""

import shutil

import pytest

from macros import cli, renew
from macros.check import load_and_check
from macros.console import Stop

from .contents import SMALL

#: A handbook.yml of version 1 with comments and odd spacing, as people leave them.
ODD = """\
# Our own book.   \r
\r
model :   "1"     # the form\r
name:    Floor-scrubber handbook\r
company: Northquay Floor Care (invented)\r
demo: true\r
\r
edition:   1\r
date: 2026-11-25   # a Wednesday\r
currency: EUR\r
labour_rate: "58.00"\r
tax_rate: 20\r
'first'  :  >-\r
   Local codes   # this is no comment\r
   first: always.\r
groups: {find: {title: Find, says: "first: floor"}}   # first\r
# the end, without a line break"""


@pytest.fixture
def content(tmp_path):
    shutil.copytree(SMALL, tmp_path / "content")
    (tmp_path / "content/handbook.yml").write_bytes(b"\xef\xbb\xbf" + ODD.encode())
    return tmp_path / "content"


def files(content):
    return {str(path.relative_to(content)): path.read_bytes() for path in content.rglob("*") if path.is_file()}


def run(content, *given):
    return cli.run(cli.parse(["renew", *given, "--content", str(content)]))


def test_it_shows_what_it_will_change_and_asks(content, capsys, monkeypatch):
    before = files(content)
    (problem,) = load_and_check(content)[1]
    assert problem.rule == "model-version" and problem.line == 3
    assert run(content) == 1  # nobody is there to be asked
    said = capsys.readouterr()
    for line in ("-'first'  :  >-\n", "+'above_all'  :  >-\n", '+model :   "2"     # the form'):
        assert line in said.out
    assert "handbook.yml: first is now above_all" in said.out and "Nothing was changed" in said.err
    assert files(content) == before
    asked = []
    assert renew.run(content, False, False, lambda question: asked.append(question) or True)[0] == 0
    assert asked == ["From version 1 to 2 of the content model: change 1 files?"]
    assert load_and_check(content)[1] == []


def test_only_the_two_words_change_and_all_of_it_can_be_undone(content):
    before = files(content)
    assert run(content, "--yes") == 0
    after = files(content)
    assert after["handbook.yml"] == b"\xef\xbb\xbf" + ODD.replace('"1"', '"2"').replace("'first'",
                                                                                        "'above_all'").encode()
    handbook, problems = load_and_check(content)
    assert problems == [] and handbook.above_all == "Local codes   # this is no comment first: always."
    assert run(content, "--yes") == 0 and files(content) == after  # again: nothing to do
    assert run(content, "--undo") == 0
    assert files(content) == before
    with pytest.raises(Stop, match="nothing to undo"):
        run(content, "--undo")


def test_what_was_written_since_is_not_lost(content):
    run(content, "--yes")
    path = content / "handbook.yml"
    path.write_bytes(path.read_bytes().replace(b"edition:   1", b"edition:   2"))
    mine = files(content)
    with pytest.raises(Stop, match="was changed after the renewal"):
        run(content, "--undo")
    assert files(content) == mine


def test_a_renewal_that_was_cut_off_is_begun_again(content, monkeypatch):
    before, replace = files(content), renew._replace

    def cut(path, raw):
        if path == content / "handbook.yml":
            raise OSError(28, "no space left", str(path))
        replace(path, raw)

    monkeypatch.setattr(renew, "_replace", cut)
    with pytest.raises(Stop, match="no space left"):
        run(content, "--yes")
    assert {name: raw for name, raw in files(content).items() if name in before} == before
    monkeypatch.setattr(renew, "_replace", replace)
    assert run(content, "--yes") == 0 and load_and_check(content)[1] == []
    assert run(content, "--undo") == 0 and files(content) == before


def test_a_second_renewal_keeps_the_files_of_its_own_day(content):
    run(content, "--yes")
    other = ODD.replace("a Wednesday", "a fine day").encode()
    (content / "handbook.yml").write_bytes(other)  # brought back from elsewhere, and written on
    run(content, "--yes")
    run(content, "--undo")
    assert (content / "handbook.yml").read_bytes() == other


def test_schemas_beside_the_content_follow_it(content):
    shutil.copytree(SMALL.parents[2] / "content/schema", content / "schema")
    (content / "schema/handbook.json").write_text("{}\n")
    run(content, "--yes")
    assert '"above_all"' in (content / "schema/handbook.json").read_text()
    run(content, "--undo")
    assert (content / "schema/handbook.json").read_text() == "{}\n"


@pytest.mark.parametrize("old, new, says", [
    ('model :   "1"     # the form', "model: 9", "get a newer program"),
    ('model :   "1"     # the form', "model: 0", "which there never was; there are 1, 2"),
    ('model :   "1"     # the form', "", "does not say for which version"),
    ('model :   "1"     # the form', "model: one", "does not say for which version"),
    ("demo: true", "above_all: Ours.", "both first and above_all are there"),
    ("'first'", '"\\u0066irst"', "write first plainly first"),
    ("demo: true", "demo: [", "cannot be read; see"),
])
def test_what_cannot_be_renewed_is_left_as_it_is(content, old, new, says):
    (content / "handbook.yml").write_text(ODD.replace(old, new))
    before = files(content)
    with pytest.raises(Stop, match=says):
        run(content, "--yes")
    assert files(content) == before


def test_every_version_leads_to_the_next():
    assert sorted(renew.CHANGES) == list(range(1, renew.MODEL))
