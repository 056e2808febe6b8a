"""Screw threads: from what is stamped on a stem or written in a list to diameter and pitch.

Metric threads are those of ISO 261 that a published table also lists; inch threads the same of the series
UNC, UNF and UNEF of ASME B1.1, with 1-14 UNS: each one known is held against that table in the tests. A
pitch outside them is refused, since on a stem it is nearly always a slip of the pen; the pitch itself can
be given instead.
"""

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from .quantity import write
from .words import _

_INCH = 0.0254


@dataclass(frozen=True)
class Thread:
    """A thread: its designation, nominal diameter and pitch, both in metres."""

    designation: str
    diameter: float
    pitch: float


#: Nominal diameter in mm -> pitches in mm, the coarse one first; empty where there is none.
#: ISO 261:1998, the rows that bd_warehouse 0.4.0 lists too (see tests/reference/threads_library.csv).
_METRIC: dict[str, tuple[str, ...]] = {
    "1.4": ("0.3",), "1.6": ("0.35",), "1.8": ("0.35",), "2": ("0.4",), "2.2": ("0.45",), "2.5": ("0.45",),
    "3": ("0.5",), "3.5": ("0.6",), "4": ("0.7",), "4.5": ("0.75",), "5": ("0.8",), "6": ("1", "0.75"),
    "7": ("1", "0.75"), "8": ("1.25", "1"), "9": ("1.25", "1"), "10": ("1.5", "1.25", "1"), "11": ("1.5",),
    "12": ("1.75", "1.5", "1.25"), "14": ("2", "1.5", "1.25"), "15": ("", "1.5"), "16": ("2", "1.5"),
    "17": ("", "1.5"), "18": ("2.5", "2", "1.5"), "20": ("2.5",), "22": ("2.5",), "24": ("3",),
    "27": ("3",), "30": ("3.5",), "33": ("3.5",), "36": ("4",), "39": ("4",), "42": ("4.5",),
    "45": ("4.5",), "48": ("5",), "52": ("5",), "56": ("5.5",), "60": ("5.5",), "64": ("6",),
}

#: Size in inches or number -> threads to the inch by series. ASME B1.1, the rows of the same table.
_UNIFIED: dict[str, dict[str, str]] = {
    "#0": {"UNF": "80"}, "#1": {"UNC": "64", "UNF": "72"}, "#2": {"UNC": "56", "UNF": "64"},
    "#3": {"UNC": "48", "UNF": "56"}, "#4": {"UNC": "40", "UNF": "48"}, "#5": {"UNC": "40", "UNF": "44"},
    "#6": {"UNC": "32", "UNF": "40"}, "#8": {"UNC": "32", "UNF": "36"}, "#10": {"UNC": "24", "UNF": "32"},
    "#12": {"UNC": "24", "UNF": "28", "UNEF": "32"}, "1/4": {"UNC": "20", "UNF": "28", "UNEF": "32"},
    "5/16": {"UNC": "18", "UNF": "24", "UNEF": "32"}, "3/8": {"UNC": "16", "UNF": "24", "UNEF": "32"},
    "7/16": {"UNC": "14", "UNF": "20", "UNEF": "28"}, "1/2": {"UNC": "13", "UNF": "20", "UNEF": "28"},
    "9/16": {"UNC": "12", "UNF": "18", "UNEF": "24"}, "5/8": {"UNC": "11", "UNF": "18", "UNEF": "24"},
    "11/16": {"UNEF": "24"}, "3/4": {"UNC": "10", "UNF": "16", "UNEF": "20"}, "13/16": {"UNEF": "20"},
    "7/8": {"UNC": "9", "UNF": "14", "UNEF": "20"}, "15/16": {"UNEF": "20"},
    "1": {"UNC": "8", "UNF": "12", "UNEF": "20", "UNS": "14"},
}

_METRIC_FORM = re.compile(r"M ?(\d{1,2}(?:\.\d{1,2})?)(?: ?[X/ -] ?(\d(?:\.\d{1,3})?))?(?: ?MM)?"
                          r"(?: ?[- ] ?\d[EFGH](?: ?\d[EFGH])?)?", re.ASCII)
_SIZE = r"(# ?\d{1,2}|\d{1,2}(?:[ -]\d{1,2}/\d{1,2}|/\d{1,2})?|\d?\.\d{1,5})"
_UNIFIED_FORM = re.compile(rf"(?:(UNC|UNF|UNEF|UNS) ?)?{_SIZE} ?(?:IN\.?|INCH)?"
                           r"(?: ?[X -] ?(\d{1,2}(?:\.\d)?) ?(?:TPI)?)?"
                           r"(?: ?-? ?(UNC|UNF|UNEF|UNS)(?:-?[123][AB])?)?", re.ASCII)
_LEFT = re.compile(r"\bLH\b|LEFT")
_NUMBERED = re.compile(r"\b(?:NO|NR)[. ]+(?=\d)")
_SIGNS = re.compile(r" ?([-/#]) ?")
#: What is written for the same thing: multiplication signs, dashes, inch marks, Cyrillic letters.
_SAME = str.maketrans({"×": "x", "✕": "x", "✖": "x", "*": "x", "·": "x", "х": "x", "Х": "x", "м": "m", "М": "m",
                       "⌀": "", "–": "-", "—": "-", "‐": "-", "‑": "-", "−": "-", "⁄": "/", "∕": "/",
                       '"': " in ", "″": " in ", "”": " in ", "“": " in ", ",": ".", "№": "#"})


def parse(text: str) -> Thread:
    """The thread that a person wrote: ``M10``, ``m10 x 1,25``, ``M10×1.25``, ``3/8"-16``, ``#10-24 UNC``.

    Case, spaces, multiplication signs and a decimal comma do not matter. Without a pitch a metric
    thread is the coarse one; an inch thread needs its threads to the inch or its series. Raises
    `ValueError` whose text says what the size does take.
    """
    clean = _clean(text)
    if _LEFT.search(clean):
        raise ValueError(
            _("for a left-hand thread leave LH out and say which way the stem turns to go into the body"))
    metric = _METRIC_FORM.fullmatch(clean)
    if metric:
        return _metric(*metric.groups())
    unified = _UNIFIED_FORM.fullmatch(clean)
    if unified:
        return _unified(*unified.groups())
    raise ValueError(_("not a thread that is known here"))


def _clean(text: str) -> str:
    # "1½" would become "11/2": part a fraction character from the digit before it first.
    text = "".join(" " + ch if unicodedata.normalize("NFKD", ch).find("\u2044") > 0 else ch for ch in text[:80])
    text = unicodedata.normalize("NFKC", text.translate(_SAME)).translate(_SAME).upper()
    text = _NUMBERED.sub("#", text)
    text = _SIGNS.sub(r"\1", " ".join(text.split()))
    return text


def _plain(number: str) -> str:
    """A decimal number without its needless zeros: ``10.0`` -> ``10``, ``1.50`` -> ``1.5``."""
    return number.rstrip("0").rstrip(".") if "." in number else number


def _metric(size: str, pitch: str | None) -> Thread:
    size = _plain(size)
    pitches = _METRIC.get(size)
    if pitches is None:
        raise ValueError(_("M{size} is not a size known here; give the pitch by itself").format(size=size))
    known = ", ".join(write(float(p), 3) for p in pitches if p)
    if pitch is None:
        pitch = pitches[0]
        if not pitch:
            says = _("M{size} has no coarse pitch here; say {pitches} mm, or give another pitch by itself")
            raise ValueError(says.format(size=size, pitches=known))
    pitch = _plain(pitch)
    if pitch not in pitches:
        says = _("M{size} is known here with a pitch of {pitches} mm; give another pitch by itself")
        raise ValueError(says.format(size=size, pitches=known))
    name = f"M{size}" if pitch == pitches[0] else f"M{size}x{pitch}"
    return Thread(name, float(Fraction(size) / 1000), float(Fraction(pitch) / 1000))


def _unified(before: str | None, size: str, per_inch: str | None, after: str | None) -> Thread:
    if before and after and before != after:
        raise ValueError(_("names two series, {one} and {other}").format(one=before, other=after))
    series = before or after
    per_inch = per_inch and _plain(per_inch)
    sizes = _sizes(size)
    if not sizes:
        raise ValueError(_("{size} is not a size of ASME B1.1 known here").format(size=size))
    for name in sizes:
        for its_series, its_number in _UNIFIED[name].items():
            if (series or per_inch) and series in (None, its_series) and per_inch in (None, its_number):
                pitch = Fraction(127, 5000) / Fraction(its_number)
                return Thread(f"{name}-{its_number} {its_series}", _diameter(name), float(pitch))
    known = ", ".join(f"{name}-{number} {its}" for name in sizes for its, number in _UNIFIED[name].items())
    raise ValueError(_("this size is known here as {threads}; give another pitch by itself").format(threads=known))


def _sizes(size: str) -> list[str]:
    """The sizes in the table that a text may mean: ``1`` is one inch or number 1."""
    size = size.replace(" ", "") if size.startswith("#") else size.replace("-", " ")
    if "." in size:
        return [name for name in _UNIFIED if abs(_diameter(name) / _INCH - float(size)) < 6e-5]
    if "/" in size:
        whole, _space, part = size.rpartition(" ")
        top, bottom = part.split("/")
        if int(bottom) == 0:
            return []
        value = Fraction(int(whole or 0)) + Fraction(int(top), int(bottom))
        return [name for name in _UNIFIED if not name.startswith("#") and _inches(name) == value]
    return [name for name in (size, f"#{size}") if name in _UNIFIED]


def _inches(name: str) -> Fraction:
    return sum((Fraction(part) for part in name.split()), Fraction(0))


def _diameter(name: str) -> float:
    """Nominal diameter in metres; number n is 0.060 in + n times 0.013 in (ASME B1.1)."""
    inches = Fraction(60 + 13 * int(name[1:]), 1000) if name.startswith("#") else _inches(name)
    return float(inches * Fraction(127, 5000))
