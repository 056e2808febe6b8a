"""Money: decimal arithmetic at a currency's own number of digits.

Amounts and percentages are `decimal.Decimal`; percentages are percent numbers (20 for 20 %). Products are
exact; rounding is half away from zero (``decimal.ROUND_HALF_UP``), as on paper. Digits are the minor units
of ISO 4217, list one as published 2026-01-01: two for every currency that is not named here.
"""

from decimal import ROUND_HALF_UP, Context, Decimal

#: Wide enough that no product of quantity, price and two discounts (25 digits each at most) is rounded
#: before it is meant to be.
CONTEXT = Context(prec=120, rounding=ROUND_HALF_UP)

#: ISO 4217 currencies whose minor unit does not have two digits.
DIGITS = {
    "BIF": 0, "CLP": 0, "DJF": 0, "GNF": 0, "ISK": 0, "JPY": 0, "KMF": 0, "KRW": 0, "PYG": 0, "RWF": 0, "UGX": 0,
    "UYI": 0, "VND": 0, "VUV": 0, "XAF": 0, "XOF": 0, "XPF": 0,
    "BHD": 3, "IQD": 3, "JOD": 3, "KWD": 3, "LYD": 3, "OMR": 3, "TND": 3, "CLF": 4, "UYW": 4,
}


def digits(currency: str) -> int:
    """Digits after the point of a currency."""
    return DIGITS.get(currency, 2)


def rounded(amount: Decimal, currency: str) -> Decimal:
    """`amount` at the currency's digits, half away from zero."""
    return amount.quantize(Decimal(1).scaleb(-digits(currency)), context=CONTEXT)


def times(*factors: Decimal) -> Decimal:
    """The product, without losing a digit."""
    product = Decimal(1)
    for factor in factors:
        product = CONTEXT.multiply(product, factor)
    return product


def less(amount: Decimal, percent: Decimal) -> Decimal:
    """`amount` less a discount in percent."""
    return times(amount, CONTEXT.divide(CONTEXT.subtract(Decimal(100), percent), Decimal(100)))


def share(amount: Decimal, percent: Decimal) -> Decimal:
    """`percent` of an amount."""
    return CONTEXT.divide(times(amount, percent), Decimal(100))


def price_for_margin(cost: Decimal, margin: Decimal) -> Decimal:
    """The price at which `margin` percent of it is kept: cost / (1 - margin). Margin is not markup."""
    return CONTEXT.divide(times(cost, Decimal(100)), CONTEXT.subtract(Decimal(100), margin))


def tax_within(gross: Decimal, percent: Decimal) -> Decimal:
    """The tax held in a price that includes it: gross * r / (100 + r)."""
    return CONTEXT.divide(times(gross, percent), CONTEXT.add(Decimal(100), percent))


def written(amount: Decimal) -> str:
    """An amount for a person: thin spaces between thousands, a minus sign, a decimal point."""
    text = f"{amount.copy_abs():,f}".replace(",", "\u202f")
    return ("\u2212" if amount < 0 else "") + text
