"""Drawings are made of shapes drawn once, numbered by their step, named in words, and colour keeps its meaning."""

import colorsys
import re
import shutil
from pathlib import Path
from xml.etree import ElementTree

import pytest

from macros.check import load_and_check
from macros.drawing import shapes
from macros.drawing.__main__ import sheet
from macros.pages import drawings, signs
from macros.pages.site import Site

from .contents import DEMO, SMALL

ROOT = Path(__file__).parents[2]
LOOK = ROOT / "site_overrides" / "look"
FILES = sorted((DEMO / "drawings").glob("*.svg"))

#: What each shape takes, filled with something that it can draw.
GIVEN = {"d": "M10 10H90", "n": "1", "r": "10", "start": "0", "end": "90", "width": "100", "height": "40"}


def drawn(body: str) -> str:
    """A drawing with `body` in it, as it is put into a page as the second step's."""
    text = (f'<svg xmlns="http://www.w3.org/2000/svg" class="dw" viewBox="0 0 320 100" aria-labelledby="a-t a-d">'
            f'<title id="a-t">A</title><desc id="a-d">B</desc>{body}</svg>')
    return str(drawings.read(text.encode()).markup("p-", (2, 5)))


@pytest.mark.parametrize("name", [name for name in shapes.names() if name != shapes.STEP])
def test_every_shape_is_drawn_and_used_or_kept_for_authors(name):
    given = {one: GIVEN.get(one, "20") for one in shapes.takes(name)}
    markup = shapes.shape(name, given)
    svg = ElementTree.fromstring(f"<svg>{markup}</svg>")
    assert len(list(svg.iter())) > 1 and "nan" not in markup
    for one in svg.iter():
        # One place for colours and weights: a shape has classes; only a hose's width is its own.
        assert not {"style", "fill", "stroke", "id"} & set(one.attrib)
        assert "stroke-width" not in one.attrib or one.attrib["class"] in ("hose", "bore")


@pytest.mark.parametrize("name", list(shapes.parts()))
def test_in_the_accent_a_part_is_told_from_the_rest_without_colour(name):
    plain, asked = shapes.shape(name, {}), shapes.shape(name, {"class": "ask"})
    if name in ("tick", "cross", "litter", "drop", "twist"):  # verdicts, what is on the floor, the way something turns
        return
    assert plain != asked and ("ask-tint" in asked or re.search(r'class="[^"]*bold[^"]* ask', asked)), asked


def test_a_hose_is_one_path_stroked_three_times():
    widths = [float(w) for w in re.findall(r'stroke-width="([\d.]+)"', shapes.shape("hose", {"d": "M0 0H9", "r": "10"}))]
    assert widths == [26, 23, 20]


@pytest.mark.parametrize("end, tip", [("90", (0, 40)), ("-90", (0, -40))])
def test_a_turn_ends_where_its_head_is(end, tip):
    markup = shapes.shape("turn", {"x": "0", "y": "0", "r": "40", "start": "0", "end": end})
    first = re.search(r'class="full" d="M(-?[\d.]+) (-?[\d.]+)', markup)
    assert (float(first[1]), float(first[2])) == pytest.approx(tip, abs=0.1)
    assert f" 0 0 {int(end == '90')} " in markup  # clockwise on the sheet when the angle grows


def test_the_step_s_own_numbers_stand_in_its_drawing():
    markup = drawn('<use href="shapes.svg#step" x="20" y="20"/>')
    assert re.findall(r">(\d)</text>", markup) == ["2", "5"]
    assert re.findall(r'cx="(\d+)"', markup) == ["20", "41"]
    assert re.findall(r'cx="(\d+)"', drawn('<use href="shapes.svg#step" x="300" y="20"/>')) == ["300", "279"]
    assert ">2<" not in str(drawings.read((DEMO / "drawings/hose-off.svg").read_bytes()).markup("p-"))


@pytest.mark.parametrize("body, words", [
    ('<use href="shapes.svg#plam"/>', "the shape plam"),
    ('<use href="shapes.svg#palm" x="ten"/>', 'palm x="ten"'),
    ('<use href="shapes.svg#number" x="1" y="1" n="&lt;b&gt;"/>', "a reference to"),
    ('<use href="shapes.svg#number" x="1" y="1" n="long"/>', 'number n="long"'),
    ('<use href="shapes.svg#step" x="1"/>', "step with x"),
    ('<use href="shapes.svg#floor" x="1" y="2"/>', "floor with x, y"),
    ('<use href="shapes.svg#palm" transform="url(x)"/>', "a reference to url(x)"),
    ('<use href="other.svg#palm"/>', "a reference to other.svg#palm"),
    ('<use href="shapes.svg#palm" transform="a&quot; onload=&quot;b"/>', "a reference to"),
])
def test_a_shape_that_cannot_be_drawn_says_why(body, words):
    with pytest.raises(drawings.Refused) as refused:
        drawn(body)
    assert words in refused.value.found and refused.value.expected


def test_a_drawing_that_no_page_shows_is_said(tmp_path):
    content = tmp_path / "content"
    shutil.copytree(SMALL, content)
    shutil.copy(content / "drawings/plate.svg", content / "drawings/spare.svg")
    (problem,) = load_and_check(content)[1]
    assert (problem.rule, problem.file) == ("unused-drawing", "content/drawings/spare.svg")
    (content / "guides").mkdir()
    (content / "guides/one.md").write_text("# One\n\n![a plate](../drawings/spare.svg)\n", "utf-8")
    assert load_and_check(content)[1] == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_demo_s_drawings_keep_the_style(path):
    svg = ElementTree.parse(path).getroot()
    width = float(svg.attrib["viewBox"].split()[2])
    assert width == 320 and "dw" in svg.attrib["class"]
    known = set(re.findall(r"\.dw \.([\w-]+)", (LOOK / "drawing.css").read_text("utf-8"))) | {"dw"}
    for one in svg.iter():
        assert set(one.attrib.get("class", "").split()) <= known, one.attrib
        assert not {"style", "fill", "stroke"} & set(one.attrib)
        assert "stroke-width" not in one.attrib or one.attrib["class"] in ("hose", "bore")
        for name, value in one.attrib.items():
            if name == "id":
                assert value.startswith(path.stem)
    text = path.read_text("utf-8")
    # What is drawn once stands nowhere else: the floor's ticks, a number's circle, a hose's ribs.
    assert not re.search(r"l-5 6M|class=\"num|stroke-dasharray=\"2 4\"", text)
    if path.stem.startswith("floor-"):
        assert "<text" not in text and svg.attrib["viewBox"] == "0 0 320 320" and "machine-above" in text


def test_every_step_about_a_part_is_drawn_and_numbered():
    handbook, problems = load_and_check(DEMO)
    assert problems == []
    steps = [step for one in handbook.procedures.values() for step in one.steps if step.hands or step.parts]
    assert len(steps) > 100 and all(step.figure for step in steps)
    site = Site(handbook)
    lower = site.render(site.pages["procedures/turn-blade/"])
    step = [step.id for step in handbook.procedures["turn-blade"].steps].index("down-again") + 1
    drawing = lower[lower.index("Lower the squeegee off its block"):]
    assert f'num on" x="20" y="56.3">{step}</text>' in drawing[:drawing.index("</svg>")]


# ---- colours ----

SAFETY = {signs.BLUE, signs.YELLOW, signs.RED, signs.ORANGE}


def colours(text: str) -> set[str]:
    """The colours written in a text as #RRGGBB, however they are written."""
    found = {f"#{c}".upper() for c in re.findall(r"#([0-9a-fA-F]{6})\b", text)}
    found |= {"#" + "".join(2 * one for one in c).upper() for c in re.findall(r"#([0-9a-fA-F]{3})\b", text)}
    return found | {f"#{int(r):02X}{int(g):02X}{int(b):02X}"
                    for r, g, b in re.findall(r"rgba?\((\d+)[ ,]+(\d+)[ ,]+(\d+)", text)}


def standard_hue(colour: str) -> bool:
    """Whether a colour would be called red, orange, yellow, green or blue."""
    r, g, b = (int(colour[i:i + 2], 16) / 255 for i in (1, 3, 5))
    hue, _light, saturation = colorsys.rgb_to_hls(r, g, b)
    return saturation > 0.25 and max(r, g, b) - min(r, g, b) > 0.15 and not 245 <= hue * 360 <= 300


def test_the_standards_colours_are_those_of_the_tones_quoted():
    assert SAFETY == {"#9B2423", "#D05D29", "#F9A800", "#005387"}
    assert all(standard_hue(colour) for colour in SAFETY)
    assert not any(standard_hue(colour) for colour in ("#5B3A8C", "#C9B3F0", "#FFFFFF", "#F7F5F0"))


def test_the_standards_colours_are_kept_for_safety_messages_alone():
    seen = {}
    for path in [*LOOK.glob("*.css"), *ROOT.glob("site_overrides/**/*.html"), *ROOT.glob("site_overrides/app/*.js"),
                 *ROOT.glob("macros/pages/**/*.html"), *ROOT.glob("calculators/**/*.py"), *ROOT.glob("macros/**/*.py"),
                 shapes.PARTS, *FILES]:
        if "node_modules" not in path.parts:
            seen[path.relative_to(ROOT).as_posix()] = {c for c in colours(path.read_text("utf-8")) if standard_hue(c)}
    assert {name for name, found in seen.items() if found} == {"site_overrides/look/safety.css", "macros/pages/signs.py"}
    assert seen["site_overrides/look/safety.css"] == seen["macros/pages/signs.py"] == SAFETY
    named = re.compile(r":\s*(red|orange|yellow|green|blue|gold|crimson|navy|teal|lime)\b")
    for path in LOOK.glob("*.css"):
        assert not named.search(path.read_text("utf-8")), path
        if path.name != "safety.css":
            assert ".safety" not in path.read_text("utf-8") or "background" not in "".join(
                re.findall(r"\.safety[^{}]*\{([^}]*)\}", path.read_text("utf-8"))), path


def test_a_sheet_shows_every_drawing_three_times(tmp_path):
    files = {path.stem: path for path in FILES[:3]}
    (tmp_path / "bad.svg").write_text("<svg/>")
    made = sheet({**files, "bad": tmp_path / "bad.svg"})
    assert made.count("<svg") == 9 and made.count("bad.svg:1:1: a drawing without") == 3
