"""How people say it: other words for the handbook's own, and what they ask for in their words. Part of `macros.model`."""

from dataclasses import dataclass

from macros.fields import ListOf, MapOf, Object, Standing, Text, of
from macros.words import mark

_PHRASES = MapOf(ListOf(Text(), least=1), mark("a mapping of ids to lists of what people say"))


@dataclass
class Synonym(Standing):
    """A word or phrase of this handbook, and what others say for it."""

    means: str = of(Text(), required=True)
    said: tuple[str, ...] = of(ListOf(Text(), least=1), required=True)


@dataclass
class Synonyms(Standing):
    """synonyms.yml: by which other words the search finds things, and what people say who look for a page."""

    words: tuple[Synonym, ...] = of(ListOf(Object(Synonym)))
    symptoms: dict[str, tuple[str, ...]] = of(_PHRASES)
    procedures: dict[str, tuple[str, ...]] = of(_PHRASES)
    calculators: dict[str, tuple[str, ...]] = of(_PHRASES)
    guides: dict[str, tuple[str, ...]] = of(_PHRASES)
    machines: dict[str, tuple[str, ...]] = of(_PHRASES)
    parts: dict[str, tuple[str, ...]] = of(_PHRASES)

    @property
    def groups(self) -> list[list[str]]:
        """Phrases that mean the same, the handbook's own first."""
        return [[one.means, *one.said] for one in self.words]
