"""A build parted over several jobs: the same bytes as one build, and shares that do not fit each other are refused."""

import hashlib
import shutil
from pathlib import Path

import pytest

from macros import building, cli, runtime, sharing
from macros.audience import FIELD
from macros.console import Stop
from macros.sharing import Share
from tests.bench.making import make
from tests.macros.pages.conftest import SMALL


@pytest.fixture(scope="module")
def content(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A handbook with many procedures in each section."""
    return make(tmp_path_factory.mktemp("many") / "content", 60)


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """What is built goes to a folder of the test's own; Python for the browser has tests of its own."""
    monkeypatch.setattr(runtime, "put", lambda _site: None)
    monkeypatch.setattr(building, "SITE", tmp_path / "site")
    monkeypatch.setattr(building, "STAMP", tmp_path / "site.json")
    monkeypatch.setattr(sharing, "CACHE", tmp_path / "cache")
    return tmp_path


def hashes(site: Path) -> dict[str, str]:
    return {path.relative_to(site).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in site.rglob("*") if path.is_file()}


def shares(content: Path, folder: Path, of: int) -> list[Path]:
    made = [folder / f"share-{number}" for number in range(1, of + 1)]
    for number, out in enumerate(made, 1):
        assert sharing.build(content, FIELD, Share(number, of), out) == 0
    return made


def test_three_jobs_give_the_bytes_of_one_build(content: Path, place: Path):
    building.with_mkdocs(content, place / "whole")
    made = shares(content, place, 3)
    pages = [{name for name in hashes(one) if name.endswith("index.html")} for one in made]
    assert sum(map(len, pages)) == len(set().union(*pages))
    assert all(len(one) > sum(map(len, pages)) / 5 for one in pages)
    groups = [{url for url in one if url.startswith("procedures/")} for one in pages]
    assert sum(any("renew-blades" in url or "renew-hose" in url for url in one) for one in groups) == 1, "a section is made by one job"
    assert sharing.join(list(reversed(made))) == 0
    assert hashes(place / "site") == hashes(place / "whole")
    assert not building.is_current(content)


def test_shares_that_do_not_fit_are_refused_and_the_site_stays(place: Path, tmp_path: Path):
    first, second = shares(SMALL, place, 2)
    sharing.join([first, second])
    before = hashes(place / "site")

    def refused(folders: list[Path]) -> str:
        with pytest.raises(Stop) as stop:
            sharing.join(folders)
        assert hashes(place / "site") == before
        return str(stop.value)

    assert "lacking: 2" in refused([first])
    assert "each once" in refused([first, second, second])
    assert "is not a share" in refused([first, tmp_path])
    (tmp_path / "other").mkdir()
    shutil.copytree(SMALL, tmp_path / "other" / "content")
    file = tmp_path / "other" / "content" / "tools.yml"
    file.write_text(f"# other\n{file.read_text('utf-8')}", "utf-8")
    sharing.build(tmp_path / "other" / "content", FIELD, Share(2, 2), tmp_path / "foreign")
    assert "do not belong together" in refused([first, tmp_path / "foreign"])
    stranger = second / "stranger.txt"
    stranger.write_text("x", "utf-8")
    assert "stranger.txt is no part of the share" in refused([first, second])
    stranger.unlink()
    page = next(second.rglob("index.html"))
    page.write_text("half", "utf-8")
    assert f"{page} is not as it was made" in refused([first, second])


def test_a_folder_with_something_else_is_left_alone(place: Path, tmp_path: Path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("x", "utf-8")
    with pytest.raises(Stop, match="holds something else"):
        sharing.build(SMALL, FIELD, Share(1, 2), tmp_path / "mine")
    assert (tmp_path / "mine" / "letter.txt").read_text("utf-8") == "x"


@pytest.mark.parametrize("text", ["0/3", "4/3", "1/101", "3", "1/", "/2", "a/b", "1/2/3", "\u0661/2"])
def test_what_is_no_share_is_refused(text: str):
    with pytest.raises(Stop, match="takes a share"):
        cli.parse(["build", "--share", text, "--out", "x"])


@pytest.mark.parametrize("line", [["--share", "1/2"], ["--out", "x"], ["--share", "1/2", "--out", "x", "--join", "y"]])
def test_options_that_do_not_go_together_are_refused(line: list[str]):
    with pytest.raises(Stop, match="belong together"):
        cli.parse(["build", *line])
