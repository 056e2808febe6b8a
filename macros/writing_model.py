"""What authors say to the rules themselves: rules switched off with a reason, words added. Part of `macros.model`."""

from dataclasses import dataclass

from macros.fields import ListOf, Object, Standing, Text, of


@dataclass
class Allowed(Standing):
    """A rule of judgement that is switched off here, for one place or the file, with the reason."""

    rule: str = of(Text(), required=True)
    where: str = of(Text(), key="at")
    because: str = of(Text(), required=True)

    @property
    def at_file(self) -> str:
        """The file that it stands in."""
        return self.at[0]


@dataclass
class Instead(Standing):
    """A word that the house does not use, and the one that it says instead."""

    word: str = of(Text(), required=True)
    say: str = of(Text(), required=True)


@dataclass
class Wording(Standing):
    """words.yml: what the author adds to the word lists of the rules of wording."""

    verbs: tuple[str, ...] = of(ListOf(Text()))
    instead: tuple[Instead, ...] = of(ListOf(Object(Instead)))
