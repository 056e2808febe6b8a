"""Drawings of the content: what may stand in one, where a refusal points, ids that stay apart."""

import shutil
from pathlib import Path

import pytest

from macros.check import load_and_check
from macros.console import ROOT
from macros.pages import drawings, signs
from macros.rules.signs import SIGNS
from tests.macros.pages.conftest import SMALL
from tests.macros.pages.dom import parse

OPEN = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 9 9">\n'

REFUSED = [
    (OPEN + "<script>alert(1)</script></svg>", 2, 1, "the element <script>"),
    (OPEN + "  <a href='#x'><path d='M0 0'/></a></svg>", 2, 3, "the element <a>"),
    (OPEN + "<image href='https://elsewhere.example/x.png'/></svg>", 2, 1, "the element <image>"),
    (OPEN + "<foreignObject/></svg>", 2, 1, "the element <foreignObject>"),
    (OPEN + "<animate/></svg>", 2, 1, "the element <animate>"),
    (OPEN + "<set/></svg>", 2, 1, "the element <set>"),
    (OPEN + "<g>\n<svg/></g></svg>", 3, 1, "the element <svg>"),
    (OPEN + "<path style='fill:red' d='M0 0'/></svg>", 2, 1, "the attribute style"),
    (OPEN + "<path onclick='x()' d='M0 0'/></svg>", 2, 1, "the attribute onclick"),
    (OPEN + "<path ONLOAD='x()' d='M0 0'/></svg>", 2, 1, "the attribute ONLOAD"),
    (OPEN + "<use href='other.svg#x'/></svg>", 2, 1, "a reference to other.svg#x"),
    (OPEN + "<use xlink:href='https://elsewhere.example/#x'/></svg>", 2, 1, "a reference to https://elsewhere.example/#x"),
    (OPEN + "<use href='javascript:alert(1)'/></svg>", 2, 1, "a reference to javascript:alert(1)"),
    (OPEN + "<path fill='url(https://elsewhere.example/#p)' d='M0 0'/></svg>", 2, 1, "a reference to url("),
    (OPEN + "<path fill='URL(#p) x' d='M0 0'/></svg>", 2, 1, "a reference to URL("),
    (OPEN + "<path fill='u\\72l(x)' d='M0 0'/></svg>", 2, 1, "a reference to u\\72l(x)"),
    (OPEN + "<path", 2, 1, "unclosed token"),
    (OPEN + "<g></svg>", 2, 6, "mismatched tag"),
    ("", 1, 1, "no element found"),
    ("<!DOCTYPE svg [<!ENTITY a 'aaaa'>]><svg>&a;</svg>", 1, 15, "a document type"),
    ("<?php x ?><svg/>", 1, 1, "a processing instruction"),
    ("<html/>", 1, 1, "the element <html>"),
    (OPEN + "<g>" * 40 + "</g>" * 40 + "</svg>", 2, 88, "elements 30 deep"),
    ("<svg>" + " " * 200_001 + "</svg>", 1, 1, "200012 bytes"),
]


@pytest.mark.parametrize(("text", "line", "column", "found"), REFUSED, ids=[found for *_rest, found in REFUSED])
def test_refused_with_its_place(text: str, line: int, column: int, found: str):
    with pytest.raises(drawings.Refused) as refused:
        drawings.read(text.encode())
    assert (refused.value.line, refused.value.column) == (line, column)
    assert refused.value.found.startswith(found)
    assert refused.value.expected


def test_the_problem_names_file_line_and_column(tmp_path: Path):
    shutil.copytree(SMALL, tmp_path / "content")
    (tmp_path / "content" / "drawings" / "plate.svg").write_text(OPEN + "<path\n style='fill:red'/></svg>", "utf-8")
    _handbook, problems = load_and_check(tmp_path / "content")
    [problem] = problems
    assert str(problem).startswith("content/drawings/plate.svg:2:1: Found the attribute style.")
    assert (problem.rule, problem.file, problem.line) == ("drawing", "content/drawings/plate.svg", 2)


def test_what_is_kept_and_what_is_left_out():
    made = drawings.read((SMALL / "drawings" / "plate.svg").read_bytes())
    assert made.title == "The gauge plate on the motor inlet"
    text = str(made.markup("dw-"))
    tree = parse(text)
    assert "style" not in text and "<!--" not in text and "xmlns" not in text
    [svg] = tree.tags("svg")
    assert svg.get("aria-labelledby") == "dw-plate-t dw-plate-d"
    assert svg.tags("title")[0].get("id") == "dw-plate-t"
    assert 'clip-path="url(#dw-plate-c)"' in text and 'id="dw-plate-c"' in text
    assert "closes it." in svg.tags("desc")[0].text and "&amp;" in text


def test_the_same_drawing_twice_on_a_page_has_other_ids():
    files = {"plate": SMALL / "drawings" / "plate.svg"}
    page = drawings.OnePage(drawings.Drawings(files))
    first, second = (str(page.drawing("plate")) for _time in range(2))
    ids = [{one.get("id") for one in parse(text).all() if one.get("id")} for text in (first, second)]
    assert len(ids[0]) == 3 and not ids[0] & ids[1]
    other_page = drawings.OnePage(drawings.Drawings(files))
    assert str(other_page.drawing("plate")) == first


def test_texts_in_a_drawing_stay_texts():
    named = OPEN.replace(">", ' aria-labelledby="t d"><title id="t">A</title><desc id="d">B</desc>')
    text = str(drawings.read((named + "<text>1 &lt; 2 &amp; 3</text></svg>").encode()).markup(""))
    assert "<text>1 &lt; 2 &amp; 3</text>" in text


@pytest.mark.parametrize("path", sorted((ROOT / "content" / "drawings").glob("*.svg")), ids=lambda path: path.stem)
def test_the_demos_drawings_are_320_wide_and_say_what_they_show(path: Path):
    [svg] = parse(str(drawings.read(path.read_bytes()).markup(""))).tags("svg")
    assert svg.get("viewbox").startswith("0 0 320 ") and "dw" in svg.classes
    assert svg.tags("title")[0].text and svg.tags("desc")[0].text
    assert all(one.get("id").startswith(path.stem) for one in svg.all() if one.get("id")), "ids start with the file's name"


def test_every_sign_that_content_may_name_is_drawn_with_its_meaning():
    for name in SIGNS:
        [svg] = parse(str(signs.sign(name))).tags("svg")
        assert signs.SIGNS[name][0] in svg.get("aria-label")
        assert len(list(svg.all())) >= 2, f"{name}: ground and pictogram"
        assert "style" not in str(signs.sign(name))
    kinds = {"M": "Mandatory", "P": "Prohibition", "W": "Warning", "f": "Warning"}
    for name in SIGNS:
        assert parse(str(signs.sign(name))).tags("svg")[0].get("aria-label").startswith(kinds[name[0]])
    with pytest.raises(KeyError):
        signs.sign("M999")


@pytest.mark.parametrize(("signal", "word", "triangle"), [
    ("danger", "DANGER", True), ("warning", "WARNING", True), ("caution", "CAUTION", True), ("notice", "NOTICE", False)])
def test_signal_words_and_the_triangle(signal: str, word: str, triangle: bool):
    # ANSI Z535.6: the alert symbol is not used with NOTICE.
    assert signs.word(signal) == word
    assert bool(str(signs.triangle(signal))) is triangle
