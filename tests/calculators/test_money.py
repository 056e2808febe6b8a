"""Money: digits of ISO 4217, rounding and percentages against whole numbers and fractions."""

import csv
from decimal import ROUND_HALF_UP, Decimal, localcontext
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import calculator, money, quantity

REFERENCE = Path(__file__).parents[1] / "reference"
CURRENCIES = {row["currency"]: int(row["digits"])
              for row in csv.DictReader((REFERENCE / "currency_digits.csv").open(encoding="utf-8"))}

AMOUNT = st.decimals(-10**9, 10**9, allow_nan=False, allow_infinity=False, places=6)
COST = st.decimals(0, 10**9, allow_nan=False, allow_infinity=False, places=4)
PERCENT = st.decimals(0, 100, allow_nan=False, allow_infinity=False, places=4)


def nearest(value: Fraction, digits: int) -> Fraction:
    """Half away from zero by whole numbers alone."""
    units = abs(value) * 10**digits
    whole = (2 * units.numerator + units.denominator) // (2 * units.denominator)
    return Fraction(whole if value >= 0 else -whole, 10**digits)


def exact(number: Decimal) -> Fraction:
    return Fraction(number)


@pytest.mark.parametrize("currency", CURRENCIES)
def test_digits_of_every_currency(currency):
    # ISO 4217 list one, by way of iso4217 1.16.20260101 (reference/currency_digits.csv).
    assert money.digits(currency) == CURRENCIES[currency]


def test_the_table_of_digits_names_currencies_that_are_there_and_those_that_differ_from_two():
    assert set(money.DIGITS) == {currency for currency, digits in CURRENCIES.items() if digits != 2}


def test_every_currency_offered_is_one():
    (field,) = (f for f in calculator("parts-cost").fields if f.name == "currency")
    offered = [code for code, _title in field.choices]
    assert set(offered) <= set(CURRENCIES) and len(set(offered)) == len(offered) > 40


@pytest.mark.parametrize("amount, currency, text", [
    # By hand: a tie goes away from zero, and every amount has the currency's own digits.
    ("2.665", "EUR", "2.67"), ("-2.665", "EUR", "-2.67"), ("1.005", "EUR", "1.01"), ("2.6649999", "EUR", "2.66"),
    ("0.5", "JPY", "1"), ("1.5", "JPY", "2"), ("2.5", "JPY", "3"), ("-0.5", "JPY", "-1"), ("0.4999", "JPY", "0"),
    ("0.0005", "BHD", "0.001"), ("1", "KWD", "1.000"), ("1", "CLF", "1.0000"), ("7", "EUR", "7.00"), ("1E+3", "EUR", "1000.00"),
])
def test_rounding_by_hand(amount, currency, text):
    assert str(money.rounded(Decimal(amount), currency)) == text


@settings(derandomize=True, max_examples=400)
@given(AMOUNT, st.sampled_from(sorted(CURRENCIES)))
def test_rounding_against_whole_numbers(amount, currency):
    found = money.rounded(amount, currency)
    assert exact(found) == nearest(exact(amount), CURRENCIES[currency])
    assert -found.as_tuple().exponent == CURRENCIES[currency]
    assert money.rounded(found, currency) == found
    # Another formulation by the decimal module itself: a whole number of the smallest coin.
    coins = amount.scaleb(CURRENCIES[currency]).to_integral_value(ROUND_HALF_UP)
    assert found == coins.scaleb(-CURRENCIES[currency])


@settings(derandomize=True, max_examples=300)
@given(AMOUNT, PERCENT)
def test_percentages_are_exact(amount, percent):
    assert exact(money.share(amount, percent)) == exact(amount) * exact(percent) / 100
    assert exact(money.less(amount, percent)) == exact(amount) * (100 - exact(percent)) / 100


@settings(derandomize=True, max_examples=200)
@given(st.lists(st.decimals(0, 10**9, allow_nan=False, allow_infinity=False, places=12), min_size=1, max_size=4))
def test_products_lose_no_digit(factors):
    expected = Fraction(1)
    for factor in factors:
        expected *= exact(factor)
    assert exact(money.times(*factors)) == expected


@settings(derandomize=True, max_examples=300)
@given(COST, PERCENT, st.sampled_from(("EUR", "JPY", "BHD")))
def test_the_tax_within_a_gross_price(gross, percent, currency):
    digits = CURRENCIES[currency]
    tax = money.rounded(money.tax_within(gross, percent), currency)
    assert exact(tax) == nearest(exact(gross) * exact(percent) / (100 + exact(percent)), digits)
    # The net left with its tax added is the gross again, to a coin.
    net = exact(gross) - exact(tax)
    assert abs(net * (1 + exact(percent) / 100) - exact(gross)) <= Fraction(1, 10**digits)


@settings(derandomize=True, max_examples=300)
@given(COST, st.decimals(0, 99, allow_nan=False, allow_infinity=False, places=4))
def test_the_margin_of_a_price_is_the_one_wanted(cost, margin):
    price = money.rounded(money.price_for_margin(cost, margin), "EUR")
    assert exact(price) == nearest(exact(cost) / (1 - exact(margin) / 100), 2)
    # (price - cost)/price is the margin, to what rounding to half a cent can move it.
    if price:
        assert abs((exact(price) - exact(cost)) / exact(price) - exact(margin) / 100) <= Fraction(1, 200) / exact(price)


def test_margin_is_not_markup():
    # Cost 100: a margin of 25 % is a price of 133.33; a markup of 25 % would be 125.
    assert money.rounded(money.price_for_margin(Decimal(100), Decimal(25)), "EUR") == Decimal("133.33")


def test_the_host_s_own_precision_changes_nothing():
    figures = [Decimal("123456.789"), Decimal("17.5")]
    plain = [f(*figures) for f in (money.share, money.less, money.tax_within, money.price_for_margin, money.times)]
    with localcontext() as host:
        host.prec = 2
        assert [f(*figures) for f in (money.share, money.less, money.tax_within, money.price_for_margin,
                                      money.times)] == plain


@pytest.mark.parametrize("amount, text", [
    ("0.00", "0.00"), ("999.5", "999.5"), ("1234.50", "1\u202f234.50"), ("-1234567.891", "\u22121\u202f234\u202f567.891"),
    ("1E+3", "1\u202f000"), ("-0.01", "\u22120.01"), ("-0", "0"), ("-0.00", "0.00"),
])
def test_amounts_for_a_person(amount, text):
    assert money.written(Decimal(amount)) == text


@settings(derandomize=True, max_examples=200)
@given(AMOUNT)
def test_amounts_read_back(amount):
    assert quantity.parse_number(money.written(amount)) == float(amount)
