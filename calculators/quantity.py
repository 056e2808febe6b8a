"""Quantities: parse what a person types, convert, and write it out again.

Every quantity is SI inside (pascal, metre, second, kelvin ...). A unit is a pair (factor, offset):
``si = number * factor + offset``. Factors are exact by definition unless a source is named:

* inch of water, "conventional": 1000 kg/m3 and standard gravity, 249.08891 Pa (NIST SP 811, app. B).
* millimetre and inch of mercury, conventional: 133.322387415 Pa and 3386.388640341 Pa (NIST SP 811).
* inch 25.4 mm, pound 0.45359237 kg (international yard and pound, 1959); US gallon 231 in3.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from .words import _, mark

#: The longest text taken for one quantity; longer input is refused before it is looked at.
LONGEST = 80


@dataclass(frozen=True)
class Unit:
    """One unit of a quantity: ``si = number * factor + offset``."""

    symbol: str
    factor: float
    offset: float = 0.0


@dataclass(frozen=True)
class Quantity:
    """A kind of quantity: its name, its SI unit, and the units in which it may be typed."""

    name: str
    title: str
    si: str
    units: tuple[Unit, ...]

    def unit(self, symbol: str) -> Unit:
        """The unit written `symbol` (aliases understood). Raises `ValueError` for another."""
        wanted = _ALIASES.get(symbol.strip(), symbol.strip())
        for unit in self.units:
            if unit.symbol == wanted or unit.symbol.lower() == wanted.lower():
                return unit
        raise ValueError(_("unknown unit {unit!r}; known are {known}").format(
            unit=symbol[:20], known=", ".join(u.symbol for u in self.units)))


def _q(name: str, title: str, si: str, *units: tuple) -> Quantity:
    return Quantity(name, title, si, tuple(Unit(*unit) for unit in units))


#: Water at 20 degC in kg/m3 (CRC Handbook, from memory): joins water measured and water weighed.
WATER_DENSITY = 998.2

_INCH = 0.0254
_FOOT = 0.3048
_GALLON = 231 * _INCH**3

QUANTITIES: dict[str, Quantity] = {q.name: q for q in (
    _q("pressure", mark("pressure"), "Pa",
       ("kPa", 1e3), ("mbar", 1e2), ("inH2O", 249.08891), ("mmH2O", 9.80665), ("hPa", 1e2),
       ("Pa", 1.0), ("bar", 1e5), ("psi", 0.45359237 * 9.80665 / _INCH**2),
       ("mmHg", 133.322387415), ("inHg", 3386.388640341)),
    _q("length", mark("length"), "m",
       ("mm", 1e-3), ("cm", 1e-2), ("m", 1.0), ("um", 1e-6), ("in", _INCH), ("ft", _FOOT)),
    _q("area", mark("area"), "m2",
       ("m2", 1.0), ("mm2", 1e-6), ("cm2", 1e-4), ("ft2", _FOOT**2), ("in2", _INCH**2)),
    _q("volume", mark("volume"), "m3",
       ("L", 1e-3), ("mL", 1e-6), ("m3", 1.0), ("gal", _GALLON), ("ft3", _FOOT**3)),
    _q("mass", mark("mass"), "kg", ("kg", 1.0), ("g", 1e-3), ("lb", 0.45359237)),
    _q("water", mark("amount of water"), "m3",
       ("L", 1e-3), ("mL", 1e-6), ("gal", _GALLON), ("kg", 1 / WATER_DENSITY), ("g", 1e-3 / WATER_DENSITY),
       ("lb", 0.45359237 / WATER_DENSITY)),
    _q("flow", mark("air flow"), "m3/s",
       ("m3/h", 1 / 3600), ("L/s", 1e-3), ("L/min", 1e-3 / 60), ("m3/s", 1.0), ("cfm", _FOOT**3 / 60)),
    _q("speed", mark("speed"), "m/s",
       ("m/s", 1.0), ("km/h", 1 / 3.6), ("m/min", 1 / 60), ("mph", 1609.344 / 3600), ("ft/min", _FOOT / 60)),
    _q("temperature", mark("temperature"), "K",
       ("degC", 1.0, 273.15), ("degF", 5 / 9, 273.15 - 32 * 5 / 9), ("K", 1.0)),
    _q("time", mark("time"), "s", ("h", 3600.0), ("min", 60.0), ("s", 1.0), ("d", 86400.0)),
    _q("duty", mark("running time a week"), "1",
       ("h/week", 1 / 168), ("h/d", 1 / 24)),
    _q("angle", mark("angle"), "rad",
       ("deg", math.pi / 180), ("rad", 1.0), ("turn", 2 * math.pi)),
    _q("ratio", mark("share"), "1", ("1", 1.0), ("%", 0.01)),
    _q("frequency", mark("times an hour"), "1/s", ("1/h", 1 / 3600), ("1/s", 1.0)),
    _q("water_flow", mark("flow of water"), "m3/s", ("L/min", 1e-3 / 60), ("gal/min", _GALLON / 60), ("m3/s", 1.0)),
    _q("current", mark("current"), "A", ("A", 1.0), ("mA", 1e-3)),
    _q("charge", mark("capacity"), "C", ("Ah", 3600.0), ("C", 1.0)),
    _q("area_density", mark("mass on an area"), "kg/m2", ("g/m2", 1e-3), ("kg/m2", 1.0)),
    _q("resistance", mark("resistance to air"), "Pa.s2/m6", ("Pa.s2/m6", 1.0)),
)}

_ALIASES = {
    "inH₂O": "inH2O", "in H2O": "inH2O", "inWC": "inH2O", "inwc": "inH2O", "in wc": "inH2O",
    "mmH₂O": "mmH2O", "°C": "degC", "C": "degC", "°F": "degF", "F": "degF", "µm": "um", "μm": "um",
    '"': "in", "″": "in", "inch": "in", "inches": "in", "'": "ft", "′": "ft", "°": "deg",
    "l": "L", "ml": "mL", "l/s": "L/s", "l/min": "L/min", "CFM": "cfm", "m³/h": "m3/h", "m³/s": "m3/s",
    "m³": "m3", "m²": "m2", "mm²": "mm2", "cm²": "cm2", "hour": "h", "hours": "h", "hr": "h", "hrs": "h",
    "day": "d", "days": "d", "minutes": "min", "h/wk": "h/week", "g/m²": "g/m2", "turns": "turn",
}
# "C" is coulomb for a charge and degrees Celsius for a temperature: the exact symbol wins first.

_PRETTY = {"degC": "°C", "degF": "°F", "inH2O": "inH₂O", "mmH2O": "mmH₂O", "um": "µm", "m2": "m²",
           "mm2": "mm²", "cm2": "cm²", "m3": "m³", "m3/h": "m³/h", "m3/s": "m³/s", "deg": "°", "1": "",
           "g/m2": "g/m²", "kg/m2": "kg/m²", "h/week": "h/week", "Pa.s2/m6": "Pa·s²/m⁶"}

_ALIASES |= {shown: symbol for symbol, shown in _PRETTY.items() if shown}  # what is shown may be typed

_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)*|[.,]\d+)(?:[eE][+-]?\d+)?")
_SPACED = re.compile(r"(?<=[0-9])[\u00a0\u202f\u2009](?=[0-9]{3}(?![0-9]))")
_COMMAS = re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d*)?")
_POINTS = re.compile(r"[+-]?\d{1,3}(?:\.\d{3})+(?:,\d*)?")
_DOUBTFUL = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_LEADING = re.compile(r"[+-]?(?:\d+[ -]+\d+\s*/\s*\d+|\d+\s*/\s*\d+|"
                      r"(?:\d+(?:[.,]\d*)*|[.,]\d+)(?:[eE][+-]?\d+(?![a-zA-Z]))?)")
_MIXED = re.compile(r"([+-]?)(?:(\d+)[ -]+)?(\d+)\s*/\s*(\d+)")


def pretty(symbol: str) -> str:
    """How a unit is written for a person: ``inH2O`` -> ``inH₂O``, ``degC`` -> ``°C``."""
    return _PRETTY.get(symbol, symbol)


def spellings(quantity: str) -> list[str]:
    """Every way in which a unit of a quantity may be written, small and capital letters alike."""
    symbols = [unit.symbol for unit in QUANTITIES[quantity].units]
    return symbols + [alias for alias, symbol in _ALIASES.items() if symbol in symbols]


def parse_number(text: str) -> float:
    """The number that a person wrote, a decimal comma and a fraction understood.

    ``"1.5"``, ``"1,5"``, ``"3/8"``, ``"1 1/2"``, ``"1e3"``, ``"1,284.5"``. A comma before exactly
    three digits (``"1,284"``) may mean either thing, so it is refused and both readings are named.
    Raises `ValueError` whose text says what to write instead.
    """
    clean = _clean(text)
    mixed = _MIXED.fullmatch(clean)
    if mixed:
        sign, whole, top, bottom = mixed.groups()
        if int(bottom) == 0:
            raise ValueError(_("a fraction cannot have 0 under its line"))
        value = float(Fraction(int(whole or 0)) + Fraction(int(top), int(bottom)))
        return -value if sign == "-" else value
    if not _NUMBER.fullmatch(clean):
        raise ValueError(_("not a number"))
    return _finite(one_point(clean))


def _clean(text: str) -> str:
    if len(text) > LONGEST:
        raise ValueError(_("longer than {most} characters").format(most=LONGEST))
    # Spaces that cannot break part thousands, as `write` does; an ordinary space parts a fraction.
    text = _SPACED.sub("", text)
    for other, plain in (("\u2212", "-"), ("\u00a0", " "), ("\u202f", " "), ("\u2009", " ")):
        text = text.replace(other, plain)
    text = text.strip()
    if not text.isascii() and any(ch.isdecimal() and not ch.isascii() for ch in text):
        raise ValueError(_("write the number with the digits 0 to 9"))
    return text


def one_point(text: str) -> str:
    """Commas and points of a number brought to one decimal point."""
    commas, points = text.count(","), text.count(".")
    if commas > 1 and points <= 1 or commas == 1 and points == 1 and text.index(",") < text.index("."):
        groups = _COMMAS.fullmatch(text)
        if not groups:
            raise ValueError(_("not a number"))
        return text.replace(",", "")
    if points > 1 and commas <= 1 or commas == 1 and points == 1:
        groups = _POINTS.fullmatch(text)
        if not groups:
            raise ValueError(_("not a number"))
        return text.replace(".", "").replace(",", ".")
    if commas > 1 or points > 1:
        raise ValueError(_("not a number"))
    if _DOUBTFUL.fullmatch(text):
        raise ValueError(_("may be read as {thousand} or as {decimal}; write one of these").format(
            thousand=text.replace(",", ""), decimal=text.replace(",", ".")))
    return text.replace(",", ".")


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(_("too large a number"))
    return value


def split(text: str) -> tuple[str, str]:
    """A typed quantity parted into its number and its unit, both as written (either may be empty)."""
    clean = _clean(text)
    match = _LEADING.match(clean)
    if not match:
        return "", clean
    return match.group(0), clean[match.end():].strip()


def parse(text: str, quantity: str, default_unit: str) -> float:
    """The SI value of a typed quantity such as ``"40 inH2O"``, ``"3/8 in"`` or ``"1,5 mm"``.

    `quantity` names a member of `QUANTITIES`; a bare number is in `default_unit`. Raises `ValueError`
    whose text says what is the matter.
    """
    number, symbol = split(text)
    if not number:
        raise ValueError(_("no number in it"))
    unit = _UNITS.get((quantity, symbol)) or QUANTITIES[quantity].unit(symbol or default_unit)
    value = parse_number(number) * unit.factor + unit.offset
    if not math.isfinite(value):
        raise ValueError(_("too large a number"))
    return value


_UNITS = {(quantity.name, unit.symbol): unit for quantity in QUANTITIES.values() for unit in quantity.units}


def _unit(quantity: str, symbol: str) -> Unit:
    return _UNITS.get((quantity, symbol)) or QUANTITIES[quantity].unit(symbol)


def to_si(number: float, quantity: str, symbol: str) -> float:
    """`number` in the unit `symbol` -> SI."""
    unit = _unit(quantity, symbol)
    return number * unit.factor + unit.offset


def from_si(value: float, quantity: str, symbol: str) -> float:
    """An SI value -> the number in the unit `symbol`."""
    unit = _unit(quantity, symbol)
    return (value - unit.offset) / unit.factor


def rounded(value: float, digits: int = 10) -> float:
    """`value` at `digits` significant digits, never minus zero.

    Ten digits hide the last-bit differences between one platform's mathematics and another's, so
    the same input gives the same JSON everywhere.
    """
    if value == 0 or not math.isfinite(value):
        return 0.0 if value == 0 else value
    return float(f"{value:.{digits - 1}e}") + 0.0


_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")


def write(number: float, digits: int = 3, decimals: int | None = None) -> str:
    """A number for a person: `decimals` places, or `digits` significant ones; thin-spaced thousands.

    Half is rounded away from zero on the decimal text of the number, as on paper. From 10^18 on as a power of ten.
    """
    if not math.isfinite(number):
        raise ValueError(f"{number!r} cannot be written")
    mantissa, exponent = f"{abs(number):.11e}".split("e")
    figures, power = int(mantissa.replace(".", "")), int(exponent)  # |number| = figures·10^(power − 11)
    if figures and power >= 18:
        sign = "\u2212" if number < 0 else ""
        return f"{sign}{write(figures / 10**11, digits)}·10{str(power).translate(_RAISED)}"
    strip = decimals is None
    if decimals is None:
        decimals = max(0, digits - 1 - power) if figures else 0
    off = 11 - power - decimals  # digits that are not written
    if off > 0:
        figures = (figures + 5 * 10 ** (off - 1)) // 10**off
    else:
        figures *= 10**-off
    text = str(figures).rjust(decimals + 1, "0")
    whole, rest = (text[:-decimals], text[-decimals:]) if decimals else (text, "")
    if strip:
        rest = rest.rstrip("0")
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", "\u202f")
    return ("\u2212" if number < 0 and figures else "") + whole + ("." + rest if rest else "")
