"""The message catalogue holds every word of the program, and another language reaches every place."""

import ast
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po

from calculators import calculator, calculate, words
from calculators.present import shown
from macros.words import catalogue


@pytest.fixture(autouse=True)
def english_again():
    yield
    words.use({})


def test_the_catalogue_is_current():
    made = catalogue.as_text(catalogue.extract())
    assert catalogue.TEMPLATE.read_text(encoding="utf-8") == made, (
        "texts have changed: run python -m macros.words.catalogue")


def test_no_text_is_marked_inside_another():
    # Python 3.11 reads an f-string as one token: what is marked in it would reach the catalogue on later ones alone.
    marked = [f"{file.relative_to(catalogue.ROOT)}:{call.lineno}" for folder in ("calculators", "macros")
              for file in (catalogue.ROOT / folder).rglob("*.py") for joined in ast.walk(ast.parse(file.read_text("utf-8")))
              if isinstance(joined, ast.JoinedStr) for call in ast.walk(joined)
              if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in catalogue.KEYWORDS]
    assert marked == []


def test_placeholders_are_named():
    # "{}" and "%s" cannot change places in another language.
    for message in catalogue.extract():
        if isinstance(message.id, str):
            assert "{}" not in message.id and "%s" not in message.id, message.id


def pseudo(folder: Path, language: str = "xx") -> dict[str, str]:
    """A catalogue in which every text stands between brackets."""
    made = Catalog(locale=None)
    for message in catalogue.extract():
        if message.id and isinstance(message.id, str):
            made.add(message.id, f"\u27e6{message.id}\u27e7")
    with (folder / f"{language}.po").open("wb") as file:
        write_po(file, made)
    return catalogue.use(language, folder)


def test_a_calculator_speaks_the_language_of_the_catalogue(tmp_path):
    assert len(pseudo(tmp_path)) > 50
    one = calculator("suction-drop")
    said = shown(one, calculate("suction-drop", one.example))
    assert said["answer"].startswith("\u27e6")
    assert all(figure["title"].startswith("\u27e6") for figure in said["figures"])
    refused = calculate("suction-drop", {"readings": 3})
    assert refused["refused"][0]["takes"].startswith("\u27e6")


def test_an_unknown_language_names_those_that_there_are():
    with pytest.raises(catalogue.UnknownLanguage, match="no catalogue for the language qq; there are: en"):
        catalogue.load("qq")


def test_an_empty_translation_falls_back_to_english(tmp_path):
    (tmp_path / "xx.po").write_text('msgid ""\nmsgstr ""\n\nmsgid "yes"\nmsgstr ""\n\nmsgid "no"\nmsgstr "nee"\n')
    catalogue.use("xx", tmp_path)
    assert (words._("yes"), words._("no")) == ("yes", "nee")
