"""Units against pint and NIST SP 811; numbers as people write them."""

import csv
import math
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import quantity as q

ureg = pint.UnitRegistry()
#: Units whose name in pint differs from ours.
PINT = {"inH2O": "inch_H2O", "mmH2O": "0.001 * meter * 1000 * kilogram/meter**3 * standard_gravity",
        "mmHg": "mmHg", "inHg": "inch_Hg", "um": "micrometer", "in": "inch", "ft": "foot", "m2": "meter**2",
        "mm2": "millimeter**2", "cm2": "centimeter**2", "ft2": "foot**2", "in2": "inch**2", "L": "liter",
        "mL": "milliliter", "m3": "meter**3", "gal": "gallon", "ft3": "foot**3", "m3/h": "meter**3/hour",
        "L/s": "liter/second", "L/min": "liter/minute", "m3/s": "meter**3/second", "cfm": "foot**3/minute",
        "km/h": "kilometer/hour", "m/min": "meter/minute", "mph": "mile/hour", "ft/min": "foot/minute", "h": "hour",
        "d": "day", "min": "minute", "s": "second", "h/week": "hour/week", "h/d": "hour/day", "deg": "degree",
        "rad": "radian", "1": "dimensionless", "%": "percent", "Ah": "ampere*hour", "C": "coulomb",
        "g/m2": "gram/meter**2", "kg/m2": "kilogram/meter**2", "1/h": "1/hour", "1/s": "1/second",
        "gal/min": "gallon/minute", "K": "kelvin", "Pa.s2/m6": "pascal*second**2/meter**6"}
CASES = [(name, unit.symbol) for name, kind in q.QUANTITIES.items() for unit in kind.units]


@pytest.mark.parametrize("name, symbol", CASES)
def test_every_unit_is_what_pint_says(name, symbol):
    # Oracle: pint 0.25. Temperatures have an offset and are tried apart; water weighed is a definition of ours.
    if name == "temperature" or name == "water" and symbol in ("kg", "g", "lb"):
        for number in (-40.0, 0.0, 80.0, 212.0):
            if name == "temperature":
                expected = ureg.Quantity(number, PINT.get(symbol, symbol)).to("kelvin").magnitude
            else:
                expected = (ureg.Quantity(number, symbol) / ureg.Quantity(998.2, "kg/m**3")).to("m**3").magnitude
            assert q.to_si(number, name, symbol) == pytest.approx(expected, rel=1e-12, abs=1e-9)
        return
    si = q.QUANTITIES[name].si
    bound = 1e-6 if symbol == "inHg" else 1e-8  # pint's inch of mercury has other last digits
    for number in (1.0, -3.7, 1234.5):
        expected = ureg.Quantity(number, PINT.get(symbol, symbol)).to(PINT.get(si, si)).magnitude
        assert q.to_si(number, name, symbol) == pytest.approx(expected, rel=bound)
        # ... and back: how many of the unit pint finds in this many of the SI unit.
        back = (ureg.Quantity(number, PINT.get(si, si)) / ureg.Quantity(PINT.get(symbol, symbol))).to("").magnitude
        assert q.from_si(number, name, symbol) == pytest.approx(back, rel=bound)


@pytest.mark.parametrize("name, symbol", CASES)
def test_every_unit_is_understood_as_it_is_shown(name, symbol):
    """What `pretty` writes can be typed again, and no unit of a quantity is taken for another."""
    unit = q.QUANTITIES[name].units[0].symbol
    expected = q.to_si(2, name, symbol)
    assert q.parse(f"2 {symbol}" if symbol != "1" else "2", name, symbol) == expected
    if symbol != "1":
        assert q.parse(f"2 {symbol}", name, unit) == expected
        assert q.parse(f"2 {q.pretty(symbol)}", name, unit) == expected
        if not symbol[0].isdigit():
            assert q.parse(f"2{q.pretty(symbol)}", name, unit) == expected


@pytest.mark.parametrize("row", list(csv.DictReader(
    (Path(__file__).parents[1] / "reference/pressure_units.csv").open())), ids=lambda row: row["unit"])
def test_published_pressure_units(row):
    # NIST SP 811 appendix B. The inch of water in use is the conventional one; the other two are named apart.
    ours = {"inH2O conventional (1000 kg/m3)": "inH2O", "mmHg conventional": "mmHg", "inHg conventional": "inHg",
            "mbar": "mbar", "psi": "psi"}.get(row["unit"])
    value = float(row["pascal"])
    if ours is None:
        assert q.to_si(1, "pressure", "inH2O") != pytest.approx(value, rel=1e-6)
    else:
        assert q.to_si(1, "pressure", ours) == pytest.approx(value, rel=2e-7)


@settings(derandomize=True, max_examples=400)
@given(st.sampled_from(CASES), st.floats(-1e9, 1e9))
def test_there_and_back_changes_nothing(case, number):
    name, symbol = case
    unit = q.QUANTITIES[name].unit(symbol) if symbol != "C" else None
    back = q.from_si(q.to_si(number, name, symbol), name, symbol)
    assert back == pytest.approx(number, rel=1e-12, abs=1e-9 * (1 + abs(unit.offset / unit.factor) if unit else 1))


@pytest.mark.parametrize("text, value", [
    ("1.5", 1.5), ("1,5", 1.5), (" 7 ", 7), ("-4", -4), ("\u22124", -4), ("3/8", 0.375), ("1 1/2", 1.5), ("1-1/2", 1.5),
    ("1e3", 1000), ("1,284.5", 1284.5), ("1.284,5", 1284.5), ("1,284,000", 1284000), ("0,125", 0.125), (".5", 0.5),
    ("+2", 2), ("5.", 5), ("1.284", 1.284), ("12,3456", 12.3456),
    ("12\u202f346", 12346), ("1\u00a0284,5", 1284.5),
])
def test_numbers_as_people_write_them(text, value):
    assert q.parse_number(text) == value


@pytest.mark.parametrize("text, why", [
    ("1,284", "may be read as 1284 or as 1.284; write one of these"), ("", "not a number"), ("abc", "not a number"),
    ("1.2.3", "not a number"), ("1,2,3", "not a number"), ("3/0", "a fraction cannot have 0 under its line"),
    ("1e999", "too large a number"), ("nan", "not a number"), ("inf", "not a number"), ("0x10", "not a number"),
    ("1_000", "not a number"), ("\u0663", "write the number with the digits 0 to 9"), ("9" * 81, "longer than 80 characters"),
    ("1,28.4", "not a number"), ("12.34.567,8", "not a number"),
])
def test_numbers_that_are_refused(text, why):
    with pytest.raises(ValueError) as refused:
        q.parse_number(text)
    assert str(refused.value) == why


@pytest.mark.parametrize("text, name, unit, value", [
    ("40 inH2O", "pressure", "kPa", 40 * 249.08891), ("40inH₂O", "pressure", "kPa", 40 * 249.08891),
    ("19.4", "pressure", "kPa", 19400), ("3/8 in", "length", "mm", 0.009525), ('1 1/2"', "length", "mm", 0.0381),
    ("1,5 mm", "length", "m", 0.0015), ("80 °F", "temperature", "degC", 299.8166666667), ("50 %", "ratio", "1", 0.5),
    ("90 m³/h", "flow", "cfm", 0.025), ("1e2 Pa", "pressure", "kPa", 100), ("20 KPA", "pressure", "Pa", 20000),
])
def test_quantities_as_people_write_them(text, name, unit, value):
    assert q.parse(text, name, unit) == pytest.approx(value, rel=1e-10)


def test_a_unit_of_another_quantity_is_refused():
    with pytest.raises(ValueError, match="unknown unit 'mm'; known are kPa, mbar, inH2O"):
        q.parse("4 mm", "pressure", "kPa")


@settings(derandomize=True, max_examples=600)
@given(st.text(max_size=100), st.sampled_from(sorted(q.QUANTITIES)))
def test_any_text_is_a_value_or_a_value_error(text, name):
    try:
        value = q.parse(text, name, q.QUANTITIES[name].units[0].symbol)
    except ValueError as error:
        assert str(error)
    else:
        assert math.isfinite(value)


@settings(derandomize=True, max_examples=400)
@given(st.floats(-1e15, 1e15), st.integers(0, 6))
def test_written_numbers_read_back(number, decimals):
    text = q.write(number, decimals=decimals)
    assert abs(Decimal(q.parse_number(text)) - Decimal(number)) <= Decimal(10) ** -decimals * Decimal("0.5001") + abs(
        Decimal(number)) * Decimal("1e-11")


@settings(derandomize=True, max_examples=1500)
@given(st.one_of(st.floats(-1e17, 1e17), st.integers(-10**7, 10**7).map(lambda n: n / 16),
                 st.integers(-10**6, 10**6).map(lambda n: n / 1000)),
       st.integers(1, 6), st.one_of(st.none(), st.integers(0, 6)))
def test_half_is_rounded_away_from_zero_on_the_decimal_text(number, digits, decimals):
    # Oracle: the decimal module, on the number's text of twelve digits.
    exact = Decimal(repr(q.rounded(number, 12)))
    places = max(0, digits - 1 - exact.adjusted() if exact else 0) if decimals is None else decimals
    told = format(exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP), "f")
    if decimals is None and "." in told:
        told = told.rstrip("0").rstrip(".")
    sign = "\u2212" if told.startswith("-") and Decimal(told) else ""
    assert q.write(number, digits, decimals).replace("\u202f", "") == sign + told.lstrip("-")


@pytest.mark.parametrize("number, digits, decimals, text", [
    (12345.678, 3, None, "12\u202f346"), (2.949, 3, 1, "2.9"), (-0.001, 3, 1, "0.0"), (0.0331, 3, None, "0.0331"),
    (2.5, 3, 0, "3"), (-2.5, 3, 0, "\u22123"), (0, 3, None, "0"), (1234, 3, None, "1234"), (19.40, 3, None, "19.4"),
])
def test_written_numbers(number, digits, decimals, text):
    assert q.write(number, digits, decimals) == text


def test_rounded_has_ten_digits_and_no_minus_zero():
    assert q.rounded(1 / 3) == 0.3333333333 and math.copysign(1, q.rounded(-0.0)) == 1
    assert q.rounded(123456789012345.0) == 123456789000000.0


@pytest.mark.parametrize(("number", "text"), [
    (123e15, "123\u202f000\u202f000\u202f000\u202f000\u202f000"), (1e18, "1·10¹⁸"), (-2.345e29, "\u22122.35·10²⁹"), (1.7e308, "1.7·10³⁰⁸")])
def test_numbers_too_long_for_a_line_are_powers_of_ten(number, text):
    assert q.write(number, decimals=0) == text
