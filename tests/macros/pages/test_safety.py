"""Safety messages after ANSI Z535.6 and ISO 3864-2: what each panel says, in which order, in which colours."""

import re
from pathlib import Path

import pytest

from macros.check import load_and_check
from macros.pages import signs
from macros.pages.site import Site, environment, sentence

from .test_contrast import contrast

ROOT = Path(__file__).parents[3]
SHEET = (ROOT / "site_overrides/look/safety.css").read_text("utf-8")

#: Ground and words of each signal word's panel (ISO 3864-2, ANSI Z535.4), and whether the alert triangle stands in it.
PANELS = {
    "danger": (signs.RED, "#FFFFFF", True),
    "warning": (signs.ORANGE, "#000000", True),
    "caution": (signs.YELLOW, "#000000", True),
    "notice": (signs.BLUE, "#FFFFFF", False),
}


def declared(selector: str) -> dict[str, str]:
    """What the style sheet declares for exactly `selector`."""
    found: dict[str, str] = {}
    for block in re.findall(rf"^{re.escape(selector)} \{{([^}}]*)\}}", SHEET, re.MULTILINE):
        found |= dict(re.findall(r"([\w-]+): ([^;]+);", block))
    return found


def full(colour: str) -> str:
    return "#" + "".join(2 * c for c in colour[1:]) if len(colour) == 4 else colour


@pytest.mark.parametrize("signal", PANELS)
def test_the_panel_has_the_standards_colours_in_both_schemes(signal):
    ground, words, _triangle = PANELS[signal]
    own = declared(f".safety.{signal} .word")
    assert own["background"] == ground
    assert full(own.get("color", declared(".safety")["color"])) == words
    assert contrast(ground, words) >= 4.5  # large and bold; WCAG asks 3
    # Written out: no property of the scheme that could change in the dark or in print.
    assert declared(".safety")["background"] == "#FFF" and "var(" not in own["background"]


@pytest.mark.parametrize("signal", PANELS)
def test_signal_word_and_triangle(signal):
    assert signs.word(signal) == signal.upper()
    assert bool(signs.triangle(signal)) == PANELS[signal][2]


def test_every_message_says_hazard_consequence_and_avoidance_in_this_order():
    handbook, problems = load_and_check(ROOT / "content")
    assert problems == [] and {message.signal for message in handbook.messages.values()} <= set(PANELS)
    safety = environment(Site(handbook)).get_template("safety.html").module.safety
    for message in handbook.messages.values():
        text = re.sub(r"<svg.*?</svg>", "", str(safety(message)), flags=re.DOTALL)
        said = " ".join(re.sub(r"<[^>]*>", " ", text).split())
        parts = [signs.word(message.signal), sentence(message.hazard), sentence(message.harm), sentence(message.avoid)]
        assert said == " ".join(" ".join(part.split()) for part in parts)
        assert all(parts)
        # An injury stands behind every word but NOTICE (ANSI Z535.6), so each message here tells of one.
        assert message.signal == "notice" or message.harm


def test_a_sign_s_ground_tells_its_kind_without_its_picture():
    for name in signs.SIGNS:
        made = str(signs.sign(name))
        ground = {"M": f'<circle cx="48" cy="48" r="46" fill="{signs.BLUE}"/>', "P": f'stroke="{signs.RED}"'}.get(
            name[0], f'fill="{signs.YELLOW}" stroke="#000"')
        assert ground in made and "aria-label" in made
