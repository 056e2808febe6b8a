"""The program's own words: English where they are used, other languages as catalogues beside this file."""

from calculators.words import _, mark, use

__all__ = ["_", "mark", "use"]
