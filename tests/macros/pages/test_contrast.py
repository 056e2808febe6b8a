"""Body text at 7:1 or better in both schemes, by the formula of WCAG 2.2 (relative luminance)."""

import re
from pathlib import Path

import pytest

SHEET = (Path(__file__).parents[3] / "site_overrides/look/tokens.css").read_text("utf-8")


def luminance(colour: str) -> float:
    """Relative luminance of #RRGGBB (WCAG 2.2)."""
    parts = [int(colour[i:i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def schemes() -> list[dict[str, str]]:
    """The colours of each block of the sheet that sets the paper: light, dark, dark by choice."""
    return [dict(re.findall(r"--([a-z-]+): (#[0-9A-F]{6})", block))
            for block in re.findall(r"\{[^{}]*--paper[^{}]*\}", SHEET)]


def test_the_formula_gives_black_on_white_21():
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.005)  # the grey that just passes AA, WCAG


@pytest.mark.parametrize("text, ground", [
    ("ink", "paper"), ("ink", "field"), ("ink", "tint"), ("ink", "accent-tint"), ("soft", "paper"), ("soft", "field"),
    ("soft", "tint"), ("accent", "paper"), ("accent", "field"), ("on-accent", "accent")])
def test_text_stands_out_by_seven_to_one(text, ground):
    found = schemes()
    assert len(found) == 3 and found[1] == found[2]
    for colours in found:
        assert contrast(colours[text], colours[ground]) >= 7, (text, ground, colours)
