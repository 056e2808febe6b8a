"""Guides in prose: title and drawings held by rules, pages with their drawings drawn."""

import shutil

import pytest

from macros import guides
from macros.check import load_and_check
from macros.pages import guide
from macros.pages.site import Site
from tests.macros.contents import DEMO, SMALL
from tests.macros.pages.dom import parse


@pytest.fixture
def content(tmp_path):
    shutil.copytree(SMALL, tmp_path / "content")
    (tmp_path / "content/guides").mkdir()
    return tmp_path / "content"


@pytest.mark.parametrize("text, line, rule, words", [
    ("Just text.\n", 1, "no-title", "The guide has no title"),
    ("", 1, "no-title", "such as: # How the machine lifts water"),
    ("# A\n\n![x](../drawings/plat.svg)\n", 3, "unknown-drawing", 'Did you mean "plate"?'),
    ("# A\n\n[x](../../secret.yml)\n", 3, "outside", "leads out of the content"),
    ("# A\n\n![x](https://example.org/a.png)\n", 3, "outside", "a picture from elsewhere"),
])
def test_broken_guides(content, text, line, rule, words):
    (content / "guides/one.md").write_text(text)
    problems = [p for p in load_and_check(content)[1] if p.rule == rule]
    assert [(p.file, p.line) for p in problems] == [("content/guides/one.md", line)]
    assert words.lower() in str(problems[0]).lower()


def test_bytes_that_are_not_utf8_and_a_wrong_name(content):
    (content / "guides/one.md").write_bytes(b"# \xff\n")
    (content / "guides/Two Words.md").write_text("# Two\n")
    assert {p.rule for p in load_and_check(content)[1]} == {"encoding", "file-name"}


def test_a_guide_becomes_a_page_with_its_drawing(content):
    (content / "guides/one.md").write_text("# On <plates>\n\nFirst words.\n\n![A plate](../drawings/plate.svg)\n\n## More\n\n| a |\n| - |\n| b |\n")
    handbook, problems = load_and_check(content)
    assert problems == []
    site = Site(handbook)
    page = site.pages["guides/one/"]
    html = site.render(page)
    assert page.title == "On <plates>" and [(place.head, place.text, place.anchor) for place in page.places] == [
        ("", "First words. A plate.", ""), ("More", "a b", "more")]
    assert "<h1>On &lt;plates&gt;</h1>" in html and "<figure><svg" in html and "<figcaption>A plate</figcaption>" in html
    assert '<h2 id="more">More</h2>' in html and "<td>b</td>" in html


def test_every_guide_of_the_demo_has_a_drawing_and_is_found():
    handbook, _problems = load_and_check(DEMO)
    found, problems = guides.read(handbook)
    assert problems == [] and len(found) >= 5
    for guide in found.values():
        assert any(kind == "drawing" for kind, _text, _words in guides.parts(guide)), guide.id
        assert guide.says


@pytest.mark.parametrize(("written", "stands"), [
    ("../procedures/survey/", "../../procedures/survey/"), ("../procedures/survey/#step-port", "../../procedures/survey/#step-port"),
    ("../", "../../"), ("two/", "../../guides/two/"), ("#more", "#more"), ("mailto:a@b.example", "mailto:a@b.example")])
def test_links_are_written_as_from_the_guides_file(written, stands):
    assert guide.moved(written) == stands


def test_html_in_a_guide_is_shown_as_text(content):
    (content / "guides/one.md").write_text(
        "# One\n\nWords with <b onclick='x()'>markup</b>.\n\n<script>alert(1)</script>\n\n<div style='color:red'>x</div>\n")
    handbook, problems = load_and_check(content)
    assert problems == []
    site = Site(handbook)
    tree = parse(site.render(site.pages["guides/one/"]))
    assert not tree.tags("script", "div", "b")
    for text in ("<b onclick='x()'>markup</b>", "<script>alert(1)</script>", "<div style='color:red'>x</div>"):
        assert text in tree.text
