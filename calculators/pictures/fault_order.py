"""The causes left as bars of their probability, the likeliest in the accent: filled once it is found, dashed until then."""

from .. import quantity as q
from ..figure import Drawing, points
from ..words import _

DASH = "6 5"
"""Not certain yet, as a forecast is drawn."""


def picture(causes: list[tuple[str, float]], found: bool = False) -> str:
    """`causes`: (title, probability 0 to 1), the likeliest first; `found`: whether that one is certain."""
    height = 16 + 46 * len(causes)
    listed = "; ".join(f"{title} {q.write(p * 100, decimals=0)} %" for title, p in causes)
    if found:
        listed = _("Found: {causes}").format(causes=listed)
    drawing = Drawing("fault-order", height, _("Causes left, with their probability"), listed)
    for row, (title, p) in enumerate(causes):
        y = 20 + 46 * row
        first = row == 0
        words = title if len(title) <= 36 else title[:34] + "\u2026"
        drawing.text(6, y, words, "word" if first else "")
        drawing.text(314, y, f"{q.write(p * 100, decimals=0)} %", "end strong")
        drawing.rect("thin paper", 6, y + 8, 308, 14)
        end = 6 + max(2.0, 308 * p)
        if first and not found:
            drawing.path("bold ask", points([(6, y + 8), (end, y + 8), (end, y + 22), (6, y + 22)], close=True), DASH)
        else:
            drawing.rect("bold ask ask-tint" if first else "thin tint", 6, y + 8, end - 6, 14)
    return drawing.svg()
