"""The words that calculators say, ready for translation.

Texts are written in English where they are used and marked with ``_()``, the convention of
gettext; the program's catalogue (``macros/words``) is extracted from the marks. English needs no
catalogue. Another language is given once, as a plain mapping, by whoever runs the calculators:
this package reads no file.
"""

from collections.abc import Mapping

_catalogue: Mapping[str, str] = {}


def use(catalogue: Mapping[str, str]) -> None:
    """Say the texts of `catalogue` (English text -> translated text) from now on."""
    global _catalogue
    if catalogue != _catalogue:
        _catalogue = catalogue


def in_use() -> Mapping[str, str]:
    """The catalogue in use; the same object as long as the same texts are said."""
    return _catalogue


def _(text: str) -> str:
    """The text in the language in use; the English text where the catalogue lacks it."""
    return _catalogue.get(text) or text


def mark(text: str) -> str:
    """Mark a text for the catalogue where it is declared; it is translated where it is shown."""
    return text
