"""The message catalogue: extracted from the code, read for one language.

``python -m macros.words.catalogue`` writes ``handbook.pot`` anew from every text marked with ``_()``
or ``mark()`` in `calculators`, `macros`, the page templates and the scripts of the page. A language
is one file ``LANGUAGE.po`` beside it, made from it with any gettext editor; English needs none.
"""

import io
from pathlib import Path
from typing import TYPE_CHECKING

from calculators import words

if TYPE_CHECKING:  # Babel is imported where it works: most starts ask only which languages there are
    from babel.messages.catalog import Catalog

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
TEMPLATE = HERE / "handbook.pot"

#: Where marked texts stand: folder, pattern of the files, how Babel reads them.
SOURCES = (
    ("calculators", "**.py", "python"),
    ("macros", "**.py", "python"),
    ("macros", "**.html", "jinja2"),
    ("site_overrides", "**.html", "jinja2"),
    ("site_overrides", "**.js", "javascript"),
)
KEYWORDS = {"_": None, "mark": None, "gettext": None}


class UnknownLanguage(Exception):
    """A language for which there is no catalogue; the text names those that there are."""


def extract() -> "Catalog":
    """Every marked text of the program, with the files where it stands (no line numbers: fewer changes)."""
    from babel.messages.catalog import Catalog
    from babel.messages.extract import extract_from_dir

    catalog = Catalog(project="handbook", charset="utf-8", fuzzy=False)
    for folder, pattern, method in SOURCES:
        found = extract_from_dir(
            ROOT / folder, [(pattern, method)], {pattern: {"silent": "false"}} if method == "jinja2" else {},
            KEYWORDS, (), directory_filter=_ours)
        for name, _line, text, _comments, _context in sorted(found, key=lambda hit: (hit[0], hit[1])):
            catalog.add(text, locations=[(f"{folder}/{name}", 0)])
    return catalog


def _ours(folder: str) -> bool:
    return Path(folder).name not in ("node_modules", "__pycache__")


def as_text(catalog: "Catalog") -> str:
    """The catalogue as a .pot file without dates, so that the same texts give the same bytes."""
    from babel.messages.pofile import write_po

    out = io.BytesIO()
    write_po(out, catalog, width=110, sort_by_file=True, omit_header=True, include_lineno=False)
    return out.getvalue().decode()


def languages() -> list[str]:
    """The languages in which the program can speak: English and each .po file here."""
    return ["en", *sorted(path.stem for path in HERE.glob("*.po"))]


def load(language: str, folder: Path = HERE) -> dict[str, str]:
    """English text -> text in `language`; empty for English. Raises `UnknownLanguage`."""
    if language == "en":
        return {}
    path = folder / f"{language}.po"
    if not path.is_file():
        raise UnknownLanguage(words._("no catalogue for the language {language}; there are: {known}").format(
            language=language, known=", ".join(languages())))
    from babel.messages.pofile import read_po

    with path.open("rb") as file:
        return {m.id: m.string for m in read_po(file) if isinstance(m.id, str) and m.id and m.string}


def use(language: str, folder: Path = HERE) -> dict[str, str]:
    """Speak `language` from now on, here and in the calculators; returns the texts for the browser."""
    texts = load(language, folder)
    words.use(texts)
    return texts


if __name__ == "__main__":
    TEMPLATE.write_text(as_text(extract()), encoding="utf-8")
