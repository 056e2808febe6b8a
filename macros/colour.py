"""Contrast of colours (WCAG 2.2), and the handbook's own colour in every part of a page.

Colours are ``#RRGGBB``. What the accent stands on is read from the style sheet, the one place of the page's colours.
"""

import functools
import re
from dataclasses import dataclass

from macros.console import ROOT

SHEET = ROOT / "site_overrides" / "look" / "tokens.css"
SCHEMES = ("light", "dark")

WORDS = 7.0
"""Contrast of words with their ground (WCAG 2.2, 1.4.6)."""

LINES = 3.0
"""Contrast of lines, symbols and the focus ring with what is beside them (WCAG 2.2, 1.4.11)."""


@dataclass(frozen=True)
class Lack:
    """A ground from which a colour does not stand out enough: both contrasts, and the nearest colour that would."""

    ground: str
    found: float
    wanted: float
    better: str


def luminance(colour: str) -> float:
    """Relative luminance, 0 (black) to 1 (white)."""
    parts = [int(colour[at:at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def mixed(one: str, other: str, share: float) -> str:
    """`one` with a share (0 to 1) of `other` in it."""
    return "#" + "".join(f"{round(int(one[at:at + 2], 16) * (1 - share) + int(other[at:at + 2], 16) * share):02X}"
                         for at in (1, 3, 5))


@functools.cache
def grounds(scheme: str) -> dict[str, str]:
    """The style sheet's own colours of a scheme, by their names."""
    blocks = re.findall(r"\{[^{}]*--paper[^{}]*\}", SHEET.read_text("utf-8"))
    return dict(re.findall(r"--([a-z-]+): (#[0-9A-F]{6})", blocks[SCHEMES.index(scheme)]))


def lacks(accent: str, scheme: str) -> Lack | None:
    """The ground from which the accent stands out too little, the worst of them; None where it does everywhere."""
    known = grounds(scheme)
    wanted = {known["paper"]: WORDS, known["field"]: WORDS, known["tint"]: LINES, tint(accent, scheme): LINES}
    short, ground, least = min((contrast(accent, ground) / least, ground, least) for ground, least in wanted.items())
    return None if short >= 1 else Lack(ground, contrast(accent, ground), least, readable(accent, scheme))


def readable(accent: str, scheme: str) -> str:
    """The colour itself, or the nearest darker one (on light pages) or lighter one (on dark) that can be read."""
    towards = "#000000" if scheme == "light" else "#FFFFFF"
    for step in range(101):
        one = mixed(accent, towards, step / 100)
        if all(contrast(one, grounds(scheme)[name]) >= least
               for name, least in (("paper", WORDS), ("field", WORDS), ("tint", LINES))):
            return one
    return towards


def tint(accent: str, scheme: str) -> str:
    """The paper with some of the accent in it: as much as leaves words on it readable."""
    paper, ink = grounds(scheme)["paper"], grounds(scheme)["ink"]
    shares = (share / 100 for share in range(30 if scheme == "dark" else 20, 0, -1))
    return next((one for one in (mixed(paper, accent, share) for share in shares) if contrast(one, ink) >= WORDS), paper)


def on(accent: str, scheme: str) -> str:
    """The colour of words on the accent."""
    both = [grounds(scheme)["on-accent"], "#FFFFFF", "#000000"]
    return next((one for one in both if contrast(one, accent) >= WORDS), max(both, key=lambda one: contrast(one, accent)))


def sheet(light: str, dark: str) -> str:
    """The style sheet's lines that put the accent in place of the program's own."""
    def block(accent: str, scheme: str) -> str:
        return f"--accent: {accent}; --on-accent: {on(accent, scheme)}; --accent-tint: {tint(accent, scheme)};"

    return (f":root {{ {block(light, 'light')} }}\n"
            f'@media (prefers-color-scheme: dark) {{ :root:not([data-scheme="light"]) {{ {block(dark, "dark")} }} }}\n'
            f':root[data-scheme="dark"] {{ {block(dark, "dark")} }}\n')
