"""What makes up the price: one bar for each share, the largest in the accent. Never cost or margin."""

from decimal import Decimal

from ..figure import Drawing
from ..money import written
from ..words import _

LEFT, LONGEST = 6.0, 308.0


def picture(parts: Decimal, labour: Decimal, call_out: Decimal, tax: Decimal, gross: Decimal, currency: str) -> str:
    """Bars of parts, labour, call-out and tax (amounts in `currency`), and the total under them."""
    rows = [(title, amount) for title, amount in (
        (_("parts"), parts), (_("labour"), labour), (_("call-out"), call_out), (_("tax"), tax)) if amount]
    listed = "; ".join(f"{title} {written(amount)}" for title, amount in rows)
    drawing = Drawing("parts-cost", 46 * len(rows) + 50, _("What makes up the price"),
                      _("{listed}; together {gross} {currency}.").format(
                          listed=listed, gross=written(gross), currency=currency))
    most = max((amount for _title, amount in rows), default=Decimal(1))
    first = True
    for row, (title, amount) in enumerate(rows):
        y = 20 + 46 * row
        asked = first and amount == most
        first = first and not asked
        drawing.text(LEFT, y, title, "word" if asked else "")
        drawing.text(LEFT + LONGEST, y, written(amount), "end strong")
        drawing.rect("bold ask ask-tint" if asked else "thin tint", LEFT, y + 8,
                     max(2.0, LONGEST * float(amount / most)), 14)
    y = 46 * len(rows) + 14
    drawing.line("bold", LEFT, y, LEFT + LONGEST, y)
    drawing.text(LEFT, y + 24, _("to pay"), "strong")
    drawing.text(LEFT + LONGEST, y + 24, f"{written(gross)} {currency}", "end strong")
    return drawing.svg()
