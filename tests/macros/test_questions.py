"""A table of questions as technicians, operators and parts desks ask them: the page that should come first does."""

import csv
import re
from collections import Counter
from pathlib import Path

import pytest

from macros import searching
from macros.check import load_and_check
from macros.console import ROOT
from macros.pages import find
from macros.pages.site import Site
from tests.macros.conftest import QUESTIONS, ask

TABLE = Path(__file__).with_name("questions.csv")

#: How a question is asked: with a typing error, in plain words that are not the handbook's, by a part's number, in another
#: form of the handbook's words, in its very words.
HOW = {"typo": "with a typing error", "plain": "in plain words", "number": "by a part number",
       "form": "in another form of the word", "word": "in the handbook's words"}


def rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def site() -> Site:
    handbook, problems = load_and_check(ROOT / "content")
    assert handbook is not None and not problems
    return Site(handbook)


def test_the_table_asks_as_people_do(site: Site):
    asked = rows()
    assert len(asked) >= 120
    assert not [text for text, times in Counter(row["question"].lower() for row in asked).items() if times > 1]
    how = Counter(row["how"] for row in asked)
    assert set(how) == set(HOW)
    assert how["typo"] + how["plain"] + how["number"] >= len(asked) / 2
    known = {one["url"] for one in find.documents(site)}
    assert {row["page"] for row in asked} <= known
    # Every kind of page is asked for, and of procedures, symptoms and calculators each one.
    wanted = {row["page"] for row in asked}
    assert {url for url in known if url.startswith(("seen/", "procedures/", "calculators/", "guides/", "machines/"))} <= wanted
    # What is told as typing errors has words that stand nowhere.
    said = [text for one in find.documents(site) for text in (one["title"], *one["told"], *(t for place in one["places"] for t in place))]
    book = set(re.findall(r"\w+", " ".join(said).lower()))
    for row in asked:
        if row["how"] == "typo":
            assert any(word not in book for word in row["question"].lower().split()), row["question"]


def test_the_page_that_should_come_first_does(site: Site, packages: Path, tmp_path: Path):
    searching.put(tmp_path, find.documents(site), site.handbook.synonyms.groups, site.handbook.language, packages)
    asked = rows()
    own = {one["url"] for one in find.documents(site)}
    places: dict[str, list[tuple[str, int]]] = {how: [] for how in HOW}
    for row, hits in zip(asked, ask(tmp_path, [row["question"] for row in asked]), strict=True):
        # A hit may lead to a place of its page; a word of the glossary is found by itself.
        urls = [hit["url"] if hit["url"] in own else hit["url"].split("#")[0] for hit in hits]
        places[row["how"]].append((row["question"], urls.index(row["page"]) + 1 if row["page"] in urls else 99))
    everything = [one for listed in places.values() for one in listed]
    for how, listed in [*places.items(), ("", everything)]:
        first, three = (sum(place <= most for _question, place in listed) for most in (1, 3))
        late = "; ".join(f"{question}: {place}" for question, place in listed if place > 1) if how else ""
        QUESTIONS.add(HOW.get(how, "all"), len(listed), f"{first} ({first / len(listed):.1%})",
                      f"{three} ({three / len(listed):.1%})", late)
    assert not [question for question, place in everything if place > 3]
    assert sum(place == 1 for _question, place in everything) >= 0.95 * len(everything)
