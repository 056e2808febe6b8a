"""What browser tests measured, as tables printed when the run ends: filled by the tests as they go."""

from dataclasses import dataclass, field

import pytest


@dataclass
class Table:
    """A table: its title, its columns, and its rows as they come."""

    title: str
    columns: tuple[str, ...]
    rows: list[tuple[str, ...]] = field(default_factory=list)

    def add(self, *cells: object) -> None:
        """One more row, a cell for each column."""
        assert len(cells) == len(self.columns), f"{self.title}: {cells}"
        self.rows.append(tuple(map(str, cells)))

    def show(self, reporter: pytest.TerminalReporter) -> None:
        """Print it, once it has rows."""
        if self.rows:
            reporter.section(self.title)
            for row in (self.columns, *self.rows):
                reporter.line(" | ".join(row))


ACCESS = Table("accessibility: axe-core with the WCAG 2.2 A and AA tags, targets and contrast by our own measure",
               ("page", "scheme", "size", "rules passed", "findings", "least target, px", "least contrast of text"))
TOUCHES = Table("touches from the home page to an answer to one's own values",
                ("calculator", "size", "server", "touches", "which"))


class Stories(Table):
    """Stories told to their end: a line for each, with the sizes of window that it was told in."""

    def show(self, reporter: pytest.TerminalReporter) -> None:
        """One line for each story."""
        told: dict[tuple[str, str], list[str]] = {}
        for story, size, state in self.rows:
            told.setdefault((story, state), []).append(size)
        self.rows = [(story, state, ", ".join(sizes)) for (story, state), sizes in told.items()]
        super().show(reporter)


STORIES = Stories("stories told by touch, each to its end", ("story", "server", "told at"))

ALL = (ACCESS, TOUCHES, STORIES)


def show(reporter: pytest.TerminalReporter) -> None:
    """Print every table that has rows."""
    for table in ALL:
        table.show(reporter)
