"""MkDocs' build as a whole: what is published and what never is, the frame around every page, the same bytes twice."""

import hashlib
import json
import os
import re
import shutil
from pathlib import Path

import pytest

from macros import building, runtime
from macros.console import ROOT, Stop
from tests.macros.pages.dom import Element, parse

SMALL = Path(__file__).parent / "pages" / "content"


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small handbook built by MkDocs, but for Python for the browser, which has tests of its own."""
    return build(SMALL, tmp_path_factory.mktemp("built") / "site")


def build(content: Path, target: Path) -> Path:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(runtime, "put", lambda _site: None)
        building.with_mkdocs(content, target)
    return target


def named(site: Path, file: str) -> str:
    """Where the one `file` of this name is, which stands under a hash."""
    [found] = site.rglob(file)
    return found.relative_to(site).as_posix()


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A copy of the small handbook, to change."""
    shutil.copytree(SMALL, tmp_path / "own")
    return tmp_path / "own"


def names(site: Path) -> set[str]:
    return {path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file()}


def page(site: Path, url: str) -> Element:
    text = (site / url / "index.html").read_text("utf-8")
    assert text.startswith("<!doctype html>")
    return parse(text.removeprefix("<!doctype html>"))


def test_what_is_published_is_pages_scripts_look_and_lists(built: Path):
    from macros.check import load_and_check
    from macros.pages.site import Site

    handbook, _problems = load_and_check(SMALL)
    pages = {f"{url}index.html" for url in Site(handbook).pages}
    files = names(built)
    assert pages <= files
    rest = files - pages
    assert {"404.html", "sw.js", named(built, "look.css"), "manifest.webmanifest", "edition.json", "search/index.json",
            named(built, "boot.js"), named(built, "main.js"), named(built, "engine.js")} <= rest
    for name in rest:
        assert re.fullmatch(r"404\.html|sw\.js|(manifest\.webmanifest|edition\.json)|search/(index|HASH/(often|(terms|texts)-\d+))\.json|record/visit\.schema\.json|bom\.json|licences/[\w-]+\.txt|"
                            r"scripts/HASH/((app|record|search)/\w+\.js|search/\w+-license\.txt)|"
                            r"look/(HASH/look\.css|foot\.css|icon\.svg|icon-\d+\.png)|icon\.svg".replace("HASH", "[0-9a-f]{16}"),
                            name), f"{name}: why is it published?"


def test_nothing_of_the_content_itself_is_published(built: Path):
    for path in built.rglob("*"):
        assert path.suffix not in (".yml", ".yaml", ".md", ".map", ".po"), path
    everything = b"".join(path.read_bytes() for path in built.rglob("*") if path.is_file())
    for cost in (b"7771.93", b"8882.47"):  # the costs in tests/macros/pages/content/parts.yml
        assert cost not in everything


def test_the_frame_of_every_page(built: Path):
    pages = [path.parent.relative_to(built).as_posix() for path in built.rglob("index.html")]
    assert len(pages) > 15
    for url in pages:
        tree = page(built, url)
        [root] = tree.tags("html")
        base = "./" if url == "." else "../" * (url.count("/") + 1)
        assert (root.get("data-base"), root.get("data-edition"), root.get("lang")) == (base, "7", "en")
        [head] = tree.tags("head")
        assert [(link.get("href"), link.get("media")) for link in head.tags("link") if link.get("rel") == "stylesheet"] == [
            (base + named(built, "look.css"), ""), (base + "look/foot.css", "print")]
        assert [one.get("src") for one in tree.tags("script") if "src" in one.attributes] == [base + named(built, "boot.js")]
        assert tree.tags("title")[0].text.endswith("Small handbook <b>of tests</b>")
        [bar] = [one for one in tree.tags("nav") if "bar" in one.classes]
        places = [link.get("href") for link in bar.tags("a")]
        assert len(places) == 4 and places[0] == base
        assert tree.tags("header")[0].text.startswith("Small handbook <b>of tests</b>")
        [titles] = [json.loads(one.get("data-titles")) for one in tree.all() if "data-titles" in one.attributes]
        assert titles == {"large": "Ride-on, 90 cm squeegee", "small": "Walk-behind, 70 cm squeegee"}
        assert len(tree.tags("main")) == len(tree.tags("h1")) == 1


def test_nothing_inline_nothing_from_elsewhere_nothing_of_the_stock_look(built: Path):
    for path in built.rglob("*.html"):
        tree = parse(path.read_text("utf-8").removeprefix("<!doctype html>"))
        for element in tree.all():
            assert "style" not in element.attributes and element.tag != "style", path
            assert not [name for name in element.attributes if name.startswith("on")], path
            assert not any(name.startswith("md-") for name in element.classes), f"{path}: {element.classes}"
            if element.tag == "script":
                assert "src" in element.attributes or element.get("type") == "application/json", path
            for attribute in ("src", "href", "action"):
                assert "//" not in element.get(attribute), f"{path}: {element.get(attribute)}"
    css = (built / named(built, "look.css")).read_text("utf-8")
    assert "@import" not in css and "//" not in css.replace("/*", "").replace("*/", "")
    assert not re.findall(r"url\((?!#)", css), "a style sheet that fetches something"


def test_links_and_files_of_the_frame_are_there(built: Path):
    for path in built.rglob("index.html"):
        for element in parse(path.read_text("utf-8").removeprefix("<!doctype html>")).all():
            for attribute in ("href", "src"):
                target = element.get(attribute)
                if not target or target.startswith("#"):
                    continue
                # runtime.put, left out here, brings no file that a page names.
                where = (path.parent / target.split("#")[0].split("?")[0]).resolve()
                assert where.is_file() or (where / "index.html").is_file(), f"{path}: {target}"


def test_home_is_not_remembered_and_what_can_be_found_is(built: Path):
    def remembered(url: str) -> list[str]:
        return [one.get("data-remember") for one in page(built, url).all() if "data-remember" in one.attributes]

    assert remembered(".") == [] and remembered("find") == []
    assert remembered("procedures/survey") == ["Survey the suction <em>from motor</em> to floor"]


def test_the_list_of_files_is_whole_and_comes_last(built: Path):
    listed = json.loads((built / "edition.json").read_text("utf-8"))
    assert (listed["edition"], listed["date"]) == (7, "2026-11-25")
    for file in listed["files"]:
        where = built / (file["url"] + "index.html" if file["url"].endswith("/") else file["url"])
        data = where.read_bytes()
        assert hashlib.sha256(data).hexdigest() == file["sha256"] and len(data) == file["bytes"], file["url"]
    assert len(listed["files"]) >= len(names(built)) - 4  # itself, sw.js and 404.html are not listed


def test_the_same_content_gives_the_same_bytes(built: Path, tmp_path: Path):
    again = build(SMALL, tmp_path / "again")
    assert names(again) == names(built)
    for name in names(built):
        assert (again / name).read_bytes() == (built / name).read_bytes(), name


def test_the_foot_of_printed_pages_names_handbook_and_edition(built: Path):
    foot = re.search(r"@bottom-left \{ content: \"(.*?)\";", (built / "look" / "foot.css").read_text("utf-8"))
    assert foot is not None
    # CSS Syntax 3, 4.3.7: a backslash, hexadecimal digits and one space are one character.
    said = re.sub(r"\\([0-9a-f]+) ", lambda found: chr(int(found[1], 16)), foot[1])
    assert said == "Small handbook <b>of tests</b>, edition 7"
    assert "<" not in foot[1] and '"' not in foot[1]


def test_the_app_card_has_the_handbooks_name(built: Path):
    card = json.loads((built / "manifest.webmanifest").read_text("utf-8"))
    assert (card["name"], card["display"], card["start_url"]) == ("Small handbook <b>of tests</b>", "standalone", "./")
    for icon in card["icons"]:
        assert (built / icon["src"]).is_file()


def test_every_style_sheet_is_in_the_one_that_is_published():
    from macros.pages.files import SHEETS

    assert sorted(path.stem for path in (ROOT / "site_overrides" / "look").glob("*.css")) == sorted(SHEETS)


def test_what_authors_write_in_markdown_gets_the_same_frame(content: Path, tmp_path: Path):
    (content / "workshop").mkdir()
    (content / "workshop" / "floors.md").write_text("# Kinds of floor\n\nRough ones wear the blade.\n", "utf-8")
    site = build(content, tmp_path / "site")
    tree = page(site, "workshop/floors")
    assert tree.tags("html")[0].get("data-base") == "../../"
    assert tree.tags("h1")[0].text == "Kinds of floor"
    [main] = [one for one in tree.all() if one.get("id") == "main"]
    assert "prose" in main.classes and main.get("data-remember") == "Kinds of floor"
    assert len(tree.tags("nav")) == 1


def test_a_link_that_leads_nowhere_stops_the_build(content: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    (content / "workshop.md").write_text("# Guide\n\n[gone](nothing.md)\n", "utf-8")
    with pytest.raises(Stop):
        build(content, tmp_path / "site")
    assert "nothing.md" in capsys.readouterr().err


def test_a_file_in_the_place_of_a_page_made_from_the_content_is_named(
        content: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    (content / "tools.md").write_text("# Mine\n", "utf-8")
    with pytest.raises(Stop):
        build(content, tmp_path / "site")
    assert "tools.md: the handbook makes the page tools/ by itself; rename this file." in capsys.readouterr().err


def test_problems_are_listed_with_their_places_and_no_traceback(
        content: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    parts = content / "parts.yml"
    parts.write_text(parts.read_text("utf-8").replace("drawing: plate", "drawing: plait"), "utf-8")
    with pytest.raises(Stop):
        build(content, tmp_path / "site")
    said = capsys.readouterr().err
    assert re.search(r"own/parts\.yml:2:\d+: ", said) and "plait" in said and "plate" in said
    assert "Traceback" not in said


def test_a_link_out_of_the_content_is_not_followed(content: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    (tmp_path / "secret.png").write_text("not yours", "utf-8")
    (content / "guides").mkdir()
    os.symlink(tmp_path / "secret.png", content / "guides" / "plan.png")
    with pytest.raises(Stop):
        build(content, tmp_path / "site")
    assert "own/guides/plan.png:1:1: This is a link that leads out of the content" in capsys.readouterr().err
    assert not list((tmp_path / "site").rglob("plan.png"))


def test_a_picture_of_the_authors_is_published(content: Path, tmp_path: Path):
    (content / "workshop").mkdir()
    (content / "workshop" / "own.png").write_text("ours", "utf-8")
    assert (build(content, tmp_path / "site") / "workshop" / "own.png").is_file()


def test_other_files_beside_the_content_stay_at_home(content: Path, tmp_path: Path):
    for name in ("prices.csv", "costs.xlsx", "notes.txt", "old.html", "run.js", "look.css", "drawings/more.png"):
        (content / name).write_text("ours alone", "utf-8")
    files = names(build(content, tmp_path / "site"))
    assert not {name for name in files if Path(name).name in
                ("prices.csv", "costs.xlsx", "notes.txt", "old.html", "run.js", "more.png")}
    assert "look.css" not in files


def test_the_themes_files_that_ours_stand_on_have_not_changed():
    """After an upgrade of the theme, look at each file named here, then write its new hash into UPSTREAM.json."""
    import material

    upstream = json.loads((ROOT / "site_overrides" / "partials" / "UPSTREAM.json").read_text("utf-8"))
    theme = Path(material.__file__).parent / "templates"
    for name, digest in upstream["sha256"].items():
        assert hashlib.sha256((theme / name).read_bytes()).hexdigest() == digest, name
    replaced = {path.relative_to(ROOT / "site_overrides").as_posix()
                for path in (ROOT / "site_overrides").rglob("*.html")} - {"main.html"}
    assert replaced | {"base.html"} == set(upstream["sha256"]), "every file that is replaced, and the base that is extended"
