"""A calculator's answer as aligned plain text for a terminal."""

import shutil
import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from macros.words import _

WIDEST = 100
"""Columns after which a sentence goes on in the next line, on a wider terminal too."""


def laid_out(shown: Mapping[str, Any]) -> str:
    """The texts of `calculators.present.shown`, one part under the other.

    The sentence first, then cautions, figures, tables, notes, workings and sources; the picture is left out.
    """
    width = max(40, min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns))
    parts = [_wrap(shown["answer"], width)]
    parts += [_wrap(_("Caution: {text}").format(text=text), width) for text in shown["cautions"]]
    if shown["figures"]:
        parts.append(
            "\n".join(
                _aligned(
                    [
                        (
                            figure["title"],
                            f"{figure['value']} {figure['unit']}".rstrip(),
                            _range(figure["range"]),
                        )
                        for figure in shown["figures"]
                    ]
                )
            )
        )
    for table in shown["tables"]:
        parts.append("\n".join([table["title"], *_aligned([table["columns"], *table["rows"]], rule=True)]))
    if shown["notes"]:
        parts.append("\n".join([_("Notes"), *(_wrap(note, width, "  - ") for note in shown["notes"])]))
    if shown["workings"]:
        parts.append("\n".join([_("Workings"), *(_working(working) for working in shown["workings"])]))
    if shown["sources"]:
        parts.append(
            "\n".join([_("Sources"), *(_wrap(source, width, "  - ") for source in shown["sources"])])
        )
    return "\n\n".join(parts)


def _wrap(text: str, width: int, mark: str = "") -> str:
    return textwrap.fill(
        text,
        width,
        initial_indent=mark,
        subsequent_indent=" " * len(mark),
        break_long_words=False,
        break_on_hyphens=False,
    )


def _range(text: str) -> str:
    return f"({text})" if text else ""


def _working(working: Mapping[str, str]) -> str:
    """Formula, numbers put in, result: each on a line of its own, as one works it out on paper."""
    lines = [working["formula"], working["numbers"], working["result"]]
    return "\n".join("  " + ("" if place == 0 else "  ") + line for place, line in enumerate(lines) if line)


def _aligned(rows: Sequence[Sequence[str]], rule: bool = False) -> list[str]:
    """Rows as lines with their columns under each other; `rule`: a line under the first row."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines = [
        "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]
    if rule:
        lines.insert(1, "  " + "  ".join("-" * width for width in widths))
    return lines
