"""Publishing keeps what the edition says, so that the next one can say what is new; the site neither changes nor grows
stale."""

import json
import shutil
from pathlib import Path

import pytest

from macros import building, placing, publish
from macros.check import load_and_check
from macros.editions import changes, keeping, summary
from macros.pages.site import Site

from .contents import SMALL, put

SURVEY = "procedures/survey.yml"


@pytest.fixture
def content(tmp_path: Path) -> Path:
    shutil.copytree(SMALL, tmp_path / "content")
    return tmp_path / "content"


@pytest.fixture
def published(content: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    """Publish the content to a folder, or as a zip where none is given, with a built site of one page; what was
    said."""
    site = tmp_path / "site"
    site.mkdir()
    (site / "index.html").write_text("home", "utf-8")
    boot = site / "scripts" / "0123456789abcdef" / "app" / "boot.js"
    boot.parent.mkdir(parents=True)
    boot.write_text("begin();", "utf-8")
    monkeypatch.setattr(building, "build", lambda _content, audience, quietly: 0)
    monkeypatch.setattr(building, "SITE", site)

    def publish_(folder: Path | None) -> str:
        number = load_and_check(content)[0].edition
        (site / "edition.json").write_text(json.dumps({"edition": number, "files": []}), "utf-8")
        capsys.readouterr()
        assert (publish.run(content, folder, None) if folder
                else publish.to_zip(content, tmp_path / "handbook.zip", "field")) == 0
        return capsys.readouterr().err

    return publish_


@pytest.mark.parametrize("folder", ["web", ""])
def test_what_is_published_is_kept_once_and_said_in_a_line(content: Path, published, tmp_path: Path, folder: str):
    web = tmp_path / folder if folder else None
    said = published(web)
    kept = content / "editions" / "1.json"
    assert f"Kept what edition 1 says in {kept}" in said
    assert summary.read(kept) == json.loads(json.dumps(summary.of(load_and_check(content)[0])))
    before = kept.stat().st_mtime_ns
    assert "editions" not in published(web).replace(f"{web}/editions", "") and kept.stat().st_mtime_ns == before
    put(content, "handbook.yml", "edition: 1", "edition: 2")
    put(content, SURVEY, "minutes: 2", "minutes: 3")
    assert "Kept what edition 2 says" in published(web)
    [change] = changes.between(summary.before(load_and_check(content)[0]), summary.of(load_and_check(content)[0]))
    assert change.id == "survey"


def test_what_says_something_else_under_the_same_number_is_named_and_nothing_is_lost(content: Path, published,
                                                                                     tmp_path: Path):
    published(tmp_path / "web")
    first = (content / "editions" / "1.json").read_text("utf-8")
    put(content, SURVEY, "minutes: 2", "minutes: 3")
    said = published(tmp_path / "web")
    assert "Edition 1 was published before and says something else now: Survey (changed). Readers cannot tell" in said
    assert f"python3 handbook.py edition --content {content}" in said
    assert (content / "editions" / "1.json").read_text("utf-8") == first, "the next edition tells of both changes"
    keeping.keep(content, None)
    assert "something else" not in published(tmp_path / "web")


@pytest.mark.parametrize("spoil, reason", [
    (lambda kept: (kept.parent.mkdir(), kept.write_text("[]")), "has problems; see: python3 handbook.py check"),
    (lambda kept: (kept.parent.mkdir(), kept.mkdir()), "Is a directory"),
    (lambda kept: kept.parent.write_text("x"), "File exists"),
])
def test_what_cannot_be_kept_is_a_line_and_published_all_the_same(content: Path, published, tmp_path: Path, spoil,
                                                                  reason: str):
    spoil(content / "editions" / "1.json")
    said = published(tmp_path / "web")
    assert "Published edition 1" in said and "was not kept" in said and reason in said and "handbook.py edition" in said
    assert (tmp_path / "web" / placing.SERVED / "index.html").is_file()
    assert not list((content / "editions").glob("*.new"))


def test_what_is_kept_makes_no_site_stale_and_changes_none(content: Path):
    def made() -> tuple[str, dict[str, str]]:
        site = Site(load_and_check(content)[0])
        return building.inputs_hash(content), {url: site.render(page) for url, page in site.pages.items()}

    before = made()
    keeping.published(content)
    assert made() == before
    put(content, "handbook.yml", "edition: 1", "edition: 2")
    second = made()
    assert second[0] != before[0] and "new/" in second[1]
    put(content, "editions/1.json", "Read", "See")
    assert building.inputs_hash(content) != second[0], "an edition that a page is made from counts"
    kept = building.inputs_hash(content)
    for broken in ("edition: [", "edition: two", ""):
        (content / "handbook.yml").write_text(broken, "utf-8")
        assert building.inputs_hash(content) != kept
