"""Numbers and units in texts as the SI writes them: a space between, the symbol in its own letters, no plural."""

import re
from collections.abc import Collection, Iterator, Sequence

from macros.kept import Piece
from macros.model import Handbook
from macros.problems import Problem
from macros.rules.texts import Said, owners, texts_of
from macros.words import _

_SYMBOLS = ("mm", "cm", "m", "km", "kg", "g", "kPa", "hPa", "Pa", "mbar", "bar", "V", "A", "mA", "Ah", "W", "kW", "L", "mL",
            "min", "s", "h", "N", "Nm", "Hz", "%", "°C")
#: What is often written for a symbol.
_WRONG = {
    "kpa": "kPa", "Kpa": "kPa", "KPA": "kPa", "KPa": "kPa", "MM": "mm", "Mm": "mm", "mms": "mm", "cms": "cm", "mtr": "m",
    "mtrs": "m", "Kg": "kg", "KG": "kg", "kgs": "kg", "gr": "g", "grs": "g", "gms": "g", "sec": "s", "secs": "s", "hr": "h",
    "hrs": "h", "mins": "min", "ltr": "L", "ltrs": "L", "ah": "Ah", "AH": "Ah", "ml": "mL", "volts": "V", "amps": "A",
    "deg C": "°C", "degC": "°C", "degrees C": "°C",
}


def _any_of(words: Collection[str]) -> str:
    return "|".join(sorted(map(re.escape, words), key=len, reverse=True))


#: Whatever else is asked of what stands before it, both have this: it begins with a digit, which is soon looked for.
_EITHER = re.compile(rf"\d(?:{_any_of(_SYMBOLS)}|\s?(?:{_any_of(_WRONG)}))(?![\w-])")
#: Not within a word or a designation (M10x1.25, NQ-2090, 3D): a number that stands by itself.
_CLOSE = re.compile(rf"(?<![\w./-])(\d+(?:\.\d+)?)({_any_of(_SYMBOLS)})(?![\w-])")
_MISSPELT = re.compile(rf"(?<![\w./-])(\d+(?:\.\d+)?)\s?({_any_of(_WRONG)})(?![\w-])")


def check(handbook: Handbook) -> list[Problem]:
    """Problems of units in texts; part numbers and the figures of machines are not texts."""
    return [problem for piece in pieces(handbook) for problem in piece.found()]


def pieces(handbook: Handbook) -> Iterator[Piece]:
    """The problems of each thing that holds texts."""
    for owner, about in owners(handbook):
        yield Piece(f"writing {about}", (owner,), lambda one=owner, about=about: _texts(texts_of(one, about)))


def _texts(texts: Sequence[Said]) -> list[Problem]:
    # Nearly nothing has one of these: they are looked for in all texts at once, with what no number goes on over between them.
    together = "\n\n".join(said.text for said in texts)
    if not _EITHER.search(together):
        return []
    return [problem for said in texts for problem in _text(said)]


def _text(said: Said) -> Iterator[Problem]:
    if said.field.name in ("number", "currency", "unit"):
        return
    for hit in _CLOSE.finditer(said.text):
        yield Problem(said.at, "unit-writing", _('"{found}" has no space').format(found=hit[0]),
                      _('write "{right}"').format(right=f"{hit[1]} {hit[2]}"), about=said.about)
    for hit in _MISSPELT.finditer(said.text):
        yield Problem(said.at, "unit-writing", _('"{found}" is not the symbol of a unit').format(found=hit[0]),
                      _('write "{right}"').format(right=f"{hit[1]} {_WRONG[hit[2]]}"), about=said.about)
