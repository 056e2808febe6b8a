"""The causes left as bars of their probability, the likeliest in the accent."""

from .. import quantity as q
from ..figure import Drawing
from ..words import _


def picture(causes: list[tuple[str, float]]) -> str:
    """`causes`: (title, probability 0 to 1), the likeliest first."""
    height = 16 + 46 * len(causes)
    listed = "; ".join(f"{title} {q.write(p * 100, decimals=0)} %" for title, p in causes)
    drawing = Drawing("fault-order", height, _("Causes left, with their probability"), listed)
    for row, (title, p) in enumerate(causes):
        y = 20 + 46 * row
        first = row == 0
        words = title if len(title) <= 36 else title[:34] + "\u2026"
        drawing.text(6, y, words, "word" if first else "")
        drawing.text(314, y, f"{q.write(p * 100, decimals=0)} %", "end strong")
        drawing.rect("thin paper", 6, y + 8, 308, 14)
        drawing.rect("bold ask ask-tint" if first else "thin tint", 6, y + 8, max(2.0, 308 * p), 14)
    return drawing.svg()
