"""No word reaches a reader past the catalogue: not from a template, not from a script, not on any page."""

import json
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.jslexer import tokenize
from babel.messages.pofile import write_po

from calculators import REGISTER, calculator, words
from calculators.money import DIGITS
from macros import bill
from macros.console import ROOT
from macros.words import catalogue
from tests.macros.pages.conftest import DEMO, made
from tests.macros.pages.dom import Element, parse

TEMPLATES = sorted([*(ROOT / "macros/pages/templates").glob("*.html"), *(ROOT / "site_overrides").rglob("*.html")])
SCRIPTS = sorted([*(ROOT / "site_overrides").glob("*/*.js"), ROOT / "site_overrides/sw.js"])
SPOKEN = ("aria-label", "title", "placeholder", "alt", "data-label", "data-failed")
"""Attributes whose text is read or heard."""


def bare(template: str) -> list[str]:
    """What a template says by itself: letters outside `{{ }}`, in the text and in attributes that are read."""
    plain = re.sub(r"\{#.*?#\}|\{\{.*?\}\}|\{%.*?%\}", "", template, flags=re.S)
    spoken = re.findall(rf'\b(?:{"|".join(SPOKEN)})="([^"]*)"', plain)
    return [text for part in (unescape(re.sub(r"<[^>]*>", "\n", plain)), *spoken)
            for text in part.splitlines() if re.search(r"[^\W\d_]", text)]


def quoted(template: str) -> list[str]:
    """Texts in quotes inside `{{ }}` and `{% %}` that look like words for a reader and are not marked."""
    marked = re.sub(r'_\("(?:[^"\\]|\\.)*"\)', "", re.sub(r"\{#.*?#\}", "", template, flags=re.S))
    found = re.findall(r"\{\{.*?\}\}|\{%.*?%\}", marked, flags=re.S)
    return [text for code in found for text in re.findall(r'"([^"]*)"', code) if re.match(r"[A-Z][a-z]|.*[a-z] [a-z]", text)]


def unmarked(script: str) -> list[str]:
    """Texts of a script that look like sentences, or are given to an element as they stand, without `_()`."""
    found = []
    tokens = [one for one in tokenize(script, jsx=False) if one.type not in ("linecomment", "multilinecomment")]
    for place, token in enumerate(tokens):
        if token.type not in ("string", "template_string"):
            continue
        text = re.sub(r"\$\{[^}]*\}", "", token.value[1:-1])
        before = "".join(one.value for one in tokens[max(0, place - 2):place])
        given = re.search(r"(textContent|innerText|ariaLabel|placeholder|title)\s*=$", before) and re.search("[A-Za-z]", text)
        if not before.endswith("_(") and (given or re.match(r"[A-Z][a-z]* ?[a-z' ]* [a-z]|.* [a-z]+\.$", text)):
            found.append(text)
    return found


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_a_template_says_nothing_by_itself(path: Path):
    template = path.read_text("utf-8")
    assert bare(template) == [] and quoted(template) == []


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_a_script_says_nothing_by_itself(path: Path):
    assert unmarked(path.read_text("utf-8")) == []


@pytest.mark.parametrize("template", [
    "<p>Time: {{ one }}</p>", '<a aria-label="Home" href="{{ base }}">{{ _("Home") }}</a>', "<p>&times; pieces</p>",
    '<p>{{ "Take it off" if one else _("Put it on") }}</p>', '<p>{{ "None" }}</p>', '{% set text = "all of them" %}'])
def test_a_bare_word_in_a_template_would_be_found(template: str):
    assert bare(template) or quoted(template)


@pytest.mark.parametrize("script", [
    'place.textContent = "Ready";', 'say(place, "Python has started.");', 'make("p", "small", "Not calculated yet");',
    "place.textContent = `Saved ${count} files`;"])
def test_a_bare_word_in_a_script_would_be_found(script: str):
    assert unmarked(script)


@pytest.mark.parametrize("script", [
    'say(place, _("Python has started."));', 'make("p", "says under", shown.answer);', '// Nothing is kept here.\n"use strict";'])
def test_a_marked_word_in_a_script_is_none(script: str):
    assert not unmarked(script)


# ---- every page, with a catalogue in which every text stands between brackets ----

@pytest.fixture
def bracketed(tmp_path: Path) -> Iterator[None]:
    """The program speaks a language in which every text of the catalogue is put between brackets."""
    texts = Catalog(locale=None)
    for message in catalogue.extract():
        if message.id and isinstance(message.id, str):
            texts.add(message.id, f"\u27e6{message.id}\u27e7")
    with (tmp_path / "xx.po").open("wb") as file:
        write_po(file, texts)
    catalogue.use("xx", tmp_path)
    made.cache_clear()  # what was made in English stays English
    yield
    words.use({})
    made.cache_clear()


def said(tree: Element) -> Iterator[str]:
    """Each text of a page that is read or heard, apart from the data of its scripts."""
    for element in tree.all(lambda one: one.tag not in ("script", "style")):
        yield from (element.get(name) for name in SPOKEN)
        yield from (child for child in element.children if isinstance(child, str))


def outside(texts: Iterator[str]) -> Iterator[str]:
    """What stands outside all brackets; a text of the catalogue may be spread over several texts of the page."""
    depth = 0
    for text in texts:
        kept = ""
        for ch in text:
            depth = depth + (ch == "\u27e6") if ch != "\u27e7" else max(0, depth - 1)
            kept += "\u27e7" if ch == "\u27e7" else ch if not depth else ""
        yield from kept.split("\u27e7")


def known(content: Path) -> str:
    """Every word of the content, and of what is data as the content is: the calculators' examples, names of what is shipped."""
    files = [path.read_text("utf-8") for path in sorted(content.rglob("*"))
             if path.suffix in (".yml", ".md", ".svg") or path.parent.name == "editions"]
    examples = [json.dumps([one.example, one.examples], ensure_ascii=False) for one in map(calculator, REGISTER)]
    shipped = [text for one in bill.components() for text in (f"{one.name} {one.version}", one.licence)]
    return " ".join(_plain(text) for text in [*files, *examples, *DIGITS, *shipped])


def _plain(text: str) -> str:
    return " ".join(re.findall(r"[^\W_]+", unescape(text).lower()))


def test_every_word_of_every_page_is_of_the_catalogue_or_of_the_content(bracketed: None):
    site, theirs = made(DEMO), f" {known(DEMO)} "
    both = {_plain(f"{one.title} {one.where}") for one in site.handbook.symptoms.values()}
    loose = {}
    for url, page in site.pages.items():
        for text in outside(said(parse(site.render(page)))):
            for part in re.split(r"[,;:]| \d+ %", text):
                plain = _plain(part)
                if not re.search("[a-z]{5}|[a-z]{3,} [a-z]{3,}", plain) or plain in both:
                    continue  # a number, a unit, a currency, a formula
                if f" {plain} " not in theirs:
                    loose.setdefault(plain, url)
    assert loose == {}
    assert len(site.pages) > 60
