"""Building: what counts as a change, the swap of whole folders, and what is left after a failure."""

import json
import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest

from macros import building, check, cli
from macros.console import Stop


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A handbook's folder with one small file for each input."""
    folder = tmp_path / "handbook"
    for name in building.INPUTS:
        place = folder / name
        file = place if "." in name else place / "a.txt"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text("1", "utf-8")
    (folder / "content").mkdir()
    (folder / "content" / "handbook.yml").write_text("1", "utf-8")
    (folder / ".cache").mkdir()
    monkeypatch.setattr(building, "ROOT", folder)
    monkeypatch.setattr(building, "CACHE", folder / ".cache")
    monkeypatch.setattr(building, "SITE", folder / "site")
    monkeypatch.setattr(building, "STAMP", folder / ".cache" / "site.json")
    return folder


def make_site(content: Path, target: Path, audience: str = "field", handbook: None = None) -> None:
    """Stands in for MkDocs: writes a site that tells its input."""
    target.mkdir(parents=True)
    (target / "index.html").write_text((content / "handbook.yml").read_text("utf-8"), "utf-8")
    (target / "edition.json").write_text(
        json.dumps({"id": (content / "handbook.yml").read_text("utf-8"), "files": [{"url": "./", "bytes": 1}]}), "utf-8"
    )


def built(
    root: Path,
    monkeypatch: pytest.MonkeyPatch,
    problems: int = 0,
    with_mkdocs: Callable[[Path, Path], None] = make_site,
) -> int:
    """Build with the check and MkDocs stood in for."""
    monkeypatch.setattr(check, "load_and_check", lambda content: (None, []))
    monkeypatch.setattr(cli, "report", lambda content, handbook, found: problems)
    monkeypatch.setattr(building, "with_mkdocs", with_mkdocs)
    return building.build(root / "content")


def current(root: Path) -> bool:
    """Whether serve would serve without building."""
    return building.is_current(root / "content", root)


def test_built_once_until_something_changes(
    root: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert not current(root)
    assert built(root, monkeypatch) == 0
    assert current(root)
    assert (root / "site" / "index.html").read_text("utf-8") == "1"
    before = (root / "site" / "index.html").stat().st_mtime_ns
    capsys.readouterr()
    assert building.build(root / "content", quietly=True) == 0
    assert capsys.readouterr().err == ""
    assert building.build(root / "content") == 0
    assert "site is up to date" in capsys.readouterr().err
    assert (root / "site" / "index.html").stat().st_mtime_ns == before


@pytest.mark.parametrize("name", [*building.INPUTS, "content/handbook.yml"])
def test_every_input_counts(root: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    built(root, monkeypatch)
    file = root / name if (root / name).is_file() else root / name / "a.txt"
    file.write_text("2", "utf-8")
    assert not current(root)
    file.write_text("1", "utf-8")  # back as it was, at another time
    assert current(root)


@pytest.mark.parametrize(
    "change",
    [
        lambda root: (root / "content" / "new.yml").write_text(""),
        lambda root: (root / "content" / "handbook.yml").rename(root / "content" / "other.yml"),
        lambda root: (root / "site" / "edition.json").write_text("{}"),
        lambda root: (root / "site" / "index.html").write_text(""),
        lambda root: (root / "site" / "index.html").unlink(),
        lambda root: (root / "site").rename(root / "gone"),
        lambda root: building.STAMP.write_text("{"),
        lambda root: building.STAMP.unlink(),
    ],
)
def test_added_renamed_removed_or_damaged(
    root: Path, monkeypatch: pytest.MonkeyPatch, change: Callable[[Path], object]
) -> None:
    built(root, monkeypatch)
    change(root)
    assert not current(root)


def test_what_programs_leave_about_does_not_count(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    built(root, monkeypatch)
    for name in (
        "macros/__pycache__/a.pyc",
        "site_overrides/app/node_modules/x/index.js",
        "content/.a.yml.swp",
    ):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text("x", "utf-8")
    assert current(root)


def test_another_content_folder_is_another_site(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    built(root, monkeypatch)
    (root / "own").mkdir()
    (root / "own" / "handbook.yml").write_text("1", "utf-8")
    assert not building.is_current(root / "own", root)


def test_problems_leave_the_old_site(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    built(root, monkeypatch)
    (root / "content" / "handbook.yml").write_text("2", "utf-8")
    assert built(root, monkeypatch, problems=1) == 1
    assert (root / "site" / "index.html").read_text("utf-8") == "1"
    assert not current(root)


@pytest.mark.parametrize("failure", [OSError(28, "No space left on device"), KeyboardInterrupt(), Stop("no")])
def test_failure_half_way_leaves_the_old_site_and_no_rest(
    root: Path, monkeypatch: pytest.MonkeyPatch, failure: BaseException
) -> None:
    built(root, monkeypatch)
    (root / "content" / "handbook.yml").write_text("2", "utf-8")

    def half(content: Path, target: Path, audience: str, handbook: None) -> None:
        make_site(content, target)
        raise failure

    with pytest.raises(type(failure)):
        built(root, monkeypatch, with_mkdocs=half)
    assert (root / "site" / "index.html").read_text("utf-8") == "1"
    assert sorted(file.name for file in (root / ".cache").iterdir()) == ["build.lock", "site.json"]
    assert not current(root)
    assert built(root, monkeypatch) == 0
    assert (root / "site" / "index.html").read_text("utf-8") == "2"


def test_swap_takes_old_files_away(root: Path) -> None:
    fresh, site = root / ".cache" / "site.new", root / "site"
    fresh.mkdir()
    site.mkdir()
    (fresh / "new").write_text("", "utf-8")
    (site / "old").write_text("", "utf-8")
    building.swap(fresh, site)
    assert [file.name for file in site.iterdir()] == ["new"]
    with pytest.raises(FileNotFoundError):
        building.swap(root / "none", site)
    assert [file.name for file in site.iterdir()] == ["new"]


class Found(SimpleNamespace):
    """A problem as the content's check gives it."""

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: wrong"

    def with_source(self, root: Path) -> str:
        return f"{self} in {root.name}"


PROBLEM = Found(file=Path("a.yml"), line=3, column=5, rule="r", found="x", expected="y", hint="z")


def with_problems(monkeypatch: pytest.MonkeyPatch, problems: list[Found], handbook: object = None) -> None:
    """Let the content's check find `problems`."""
    monkeypatch.setitem(
        sys.modules, "macros.check", SimpleNamespace(load_and_check=lambda _dir: (handbook, problems))
    )


def test_check_lists_problems_as_text_and_as_json(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with_problems(monkeypatch, [PROBLEM, PROBLEM])
    assert cli.check(Path("parent/content"), as_json=False) == 1
    out, err = capsys.readouterr()
    assert (out, err) == ("a.yml:3:5: wrong in parent\n" * 2,
                          "2 problems.\nMore of a kind: python3 handbook.py check --explain KIND; here: r\n")
    assert cli.check(Path("content"), as_json=True) == 1
    out, err = capsys.readouterr()
    assert err == ""
    assert (
        json.loads(out)
        == [
            {"file": "a.yml", "line": 3, "column": 5, "rule": "r", "found": "x", "expected": "y", "hint": "z"}
        ]
        * 2
    )


def test_check_of_content_in_order(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with_problems(monkeypatch, [], SimpleNamespace(allowed=(), procedures={"a": 1}, machines={"b": 1}))
    assert cli.check(Path("content"), as_json=False) == 0
    assert cli.check(Path("content"), as_json=True) == 0
    assert json.loads(capsys.readouterr().out) == []


@pytest.fixture
def plain(root: Path) -> Path:
    """A handbook of one Markdown page, for MkDocs itself."""
    (root / "mkdocs.yml").write_text("site_name: Sample\ndocs_dir: content\nplugins: []\n", "utf-8")
    (root / "content" / "index.md").write_text("# Home\n", "utf-8")
    return root


def test_mkdocs_builds_into_the_folder_it_is_given(plain: Path) -> None:
    building.with_mkdocs(plain / "content", plain / "out")
    assert "Home" in (plain / "out" / "index.html").read_text("utf-8")
    assert not (plain / "site").exists()


@pytest.mark.parametrize(
    ("file", "text", "says"),
    [
        ("content/index.md", "[away](nowhere.md)\n", "nowhere.md"),
        ("mkdocs.yml", "site_name: Sample\nno_such_setting: 1\ndocs_dir: content\n", "no_such_setting"),
        ("mkdocs.yml", "site_name: [\n", "mkdocs.yml"),
        ("mkdocs.yml", "docs_dir: content\n", "site_name"),
        ("mkdocs.yml", "site_name: S\ndocs_dir: content\nplugins: [no-such-plugin]\n", "no-such-plugin"),
    ],
)
def test_what_mkdocs_refuses_is_said_in_lines_and_stops(
    plain: Path, capsys: pytest.CaptureFixture[str], file: str, text: str, says: str
) -> None:
    (plain / file).write_text(text, "utf-8")
    with pytest.raises(Stop, match="Not built") as refused:
        building.with_mkdocs(plain / "content", plain / "out")
    assert "\n" not in str(refused.value)
    assert says in capsys.readouterr().err + str(refused.value)
