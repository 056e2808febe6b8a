"""The search by itself: prefixes, typing errors, word forms, codes, synonyms, the place shown; the same bytes each time."""

from pathlib import Path
from typing import Any

import pytest

from macros import searching
from macros.console import Stop
from tests.macros.conftest import ask


def document(url: str, title: str, text: str = "", **more: Any) -> dict[str, Any]:
    given = {"kind": "page", "weight": 1, "codes": (), "told": (), "places": [("", "", text, "")]}
    return {"url": url, "title": title, **given, **more}


HOSE = [
    ("", "", "Frees the recovery hose and the outlet.", ""),
    ("Step 1", "Look through the hose", "Hold one end against the light. Look through from the other end.", "#look"),
    ("Step 2", "Push the blockage out", "Push from the tank end. " + "Turn the hook. " * 20 + "Rinse with clean water at last.", "#push"),
]
DOCUMENTS = [
    document("clear/", "Clear a blockage", places=HOSE, kind="procedure"),
    document("e07/", "Fault E-07", "The vacuum motor does not start."),
    document("bc1010/", "Rear blade", "Drags the water along.", codes=("BC-1010",)),
    document("bc1011/", "Front blade", "Lets water in.", codes=("BC-1011",)),
    document("middle/", "One wet line", "The blade does not press.", told=("leaves water down the middle", "no suction at all")),
    document("test/", "Read the gauge", "Tells where the air is lost.", told=("suction test",)),
    document("sieve/", "Sieve", "Shakes out what is in the tank."),
    document("markup/", "<img src=x onerror=alert(1)>", "A <b>bold</b> squeegee & co."),
    document("filter/", "Inlet filter", "Keeps litter out of the fan. 90 cm wide. It's the operator's own."),
]
SYNONYMS = [["inlet filter", "sieve", "strainer basket"], ["recovery hose", "suction hose", "vac hose"]]


@pytest.fixture(scope="module")
def site(packages: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("site")
    searching.put(folder, DOCUMENTS, SYNONYMS, "en", packages)
    return folder


#: What is typed -> the page that comes first.
FIRST = {
    # as one types, and cut short
    "sq": "markup/", "sque": "markup/", "block": "clear/", "blocka": "clear/",
    # letters too few, too many, wrong, exchanged; near the beginning and in an ending
    "blokage": "clear/", "blockkage": "clear/", "blackage": "clear/", "blcokage": "clear/", "lbockage": "clear/",
    "fliter": "filter/", "squegees": "markup/", "skweegee": "markup/",
    # forms
    "blocking": "clear/", "filtered": "filter/", "pressing": "middle/", "motors": "e07/",
    # capitals, accents, apostrophes, marks
    "FILTER": "filter/", "fílter": "filter/", "operators": "filter/", "filter?!": "filter/",
    # codes: whole, written otherwise, the number alone, begun; never another's
    "E-07": "e07/", "e07": "e07/", "E 07": "e07/", "BC-1010": "bc1010/", "bc1011": "bc1011/", "Bc 1010": "bc1010/",
    "1011": "bc1011/", "bc10": "bc1010/", "90cm": "filter/", "90 cm": "filter/",
    # synonyms of one word and of several, misspelt too; what is said itself goes before
    "strainer basket": "filter/", "strianer baskets": "filter/", "vac hose": "clear/", "suction hose": "clear/", "sieve": "sieve/",
    # told in a user's words; a silent word tells phrases apart
    "leaves watre down the midle": "middle/", "no suction at all": "middle/", "suction test": "test/",
}


def test_what_is_typed_finds_its_page(site: Path):
    answers = ask(site, list(FIRST))
    found = {typed: [hit["url"].split("#")[0] for hit in hits] for typed, hits in zip(FIRST, answers, strict=True)}
    assert {typed: urls[:1] for typed, urls in found.items()} == {typed: [url] for typed, url in FIRST.items()}
    assert "filter/" in found["sieve"], "the other word for it is found, under the word itself"


def test_what_is_nowhere_finds_nothing(site: Path):
    nothing = ["", " ", "the", "a", "?!", "BC1012", "bc 1012", "zzzzzz", "<script>", "\ud83d\ude00", "9"]
    assert ask(site, nothing) == [[] for _typed in nothing]


def test_odd_questions_are_answered_too(site: Path):
    long = "blade " * 5000
    hits = ask(site, [long, "constructor __proto__ toString", "blade\x00\u202e", "(.*)[", "blade AND NOT OR"])
    assert hits[0] and hits[2] and hits[4]


def test_a_hit_says_its_kind_its_place_and_what_was_asked(site: Path):
    [[hit, *_rest], [at_top, *_others], [markup], [other, *_more]] = ask(site, ["rinse blockage", "blockages", "bold", "strainer basket"])
    assert (hit["url"], hit["kind"], hit["lead"]) == ("clear/#push", "procedure", "Step 2")
    assert hit["title"] == [["Clear a ", False], ["blockage", True]]
    assert hit["head"] == [["Push the ", False], ["blockage", True], [" out", False]]
    shown = "".join(words for words, _marked in hit["text"])
    assert shown.startswith("\u2026 ") and len(shown) < 200 and ["Rinse", True] in hit["text"]
    # What the title answers needs no place: the page's first says what it is about.
    assert at_top["url"] == "clear/" and at_top["text"] == [["Frees the recovery hose and the outlet.", False]]
    # Text stays text, and every letter of it is there.
    assert "".join(words for words, _marked in markup["text"]) == "A <b>bold</b> squeegee & co."
    # Another word for it is marked where the page says its own.
    assert other["title"] == [["Inlet", True], [" ", False], ["filter", True]]


def test_the_same_documents_give_the_same_bytes(site: Path, packages: Path, tmp_path: Path):
    searching.put(tmp_path, DOCUMENTS, SYNONYMS, "en", packages)
    for file in (site / "search").rglob("*.*"):
        assert (tmp_path / file.relative_to(site)).read_bytes() == file.read_bytes(), file.name


@pytest.mark.parametrize(("language", "title", "typed", "found"), [
    ("en", "running", "runs", True), ("eo", "running", "runs", False), ("de", "Ein Schlauch", "Schläuchen", True),
    ("pt-BR", "A mangueira", "mangueiras", True), ("de", "der", "der", False), ("eo", "der", "der", True)])
def test_a_language_has_its_own_stems_and_silent_words_or_none(
        packages: Path, tmp_path: Path, language: str, title: str, typed: str, found: bool):
    searching.put(tmp_path, [document("x/", title)], [], language, packages)
    [hits] = ask(tmp_path, [typed])
    assert bool(hits) == found


def many() -> list[dict[str, Any]]:
    """Pages enough for several parts of each kind."""
    spelt = [str(number).translate(str.maketrans("0123456789", "abcdefghij")) for number in range(3000)]
    return [document(f"p{number}/", f"Place {word}", f"The hose, blade {number}, filter and motor. Next to {word[::-1]}kl. " * 2)
            for number, word in enumerate(spelt)]


def test_a_large_index_is_in_parts_and_found_as_a_whole_one(packages: Path, tmp_path: Path):
    searching.put(tmp_path, [*DOCUMENTS, *many()], SYNONYMS, "en", packages)
    for kind in ("terms", "texts"):
        assert len(list((tmp_path / "search").rglob(f"{kind}-*.json"))) > 1
    asked = {"place bcd": "p123/", "plcae bcd": "p123/", "place cfjj": "p2599/", "fault e07": "e07/", "skweegee": "markup/"}
    assert [hits[0]["url"].split("#")[0] for hits in ask(tmp_path, list(asked))] == list(asked.values())


def test_of_many_pages_the_best_are_shown_and_of_equal_ones_the_first(packages: Path, tmp_path: Path):
    same = [document(f"same{number}/", "One of many", "A quail.") for number in range(300)]
    searching.put(tmp_path, [*same[:150], document("named/", "Quail", "A quail."), *same[150:], document("best/", "Quail", "Quail.")],
                  [], "en", packages)
    [hits] = ask(tmp_path, ["quail"])
    assert [hit["url"] for hit in hits] == ["best/", "named/", "same0/", "same1/"]
    [hits] = ask(tmp_path, ["many"])
    assert [hit["url"] for hit in hits] == [f"same{number}/" for number in range(10)]


def test_a_page_that_reads_otherwise_changes_few_parts(packages: Path, tmp_path: Path):
    pages = many()
    parts, often = [], set()
    for folder in ("before", "after"):
        searching.put(tmp_path / folder, pages, SYNONYMS, "en", packages)
        made = tmp_path / folder / "search"
        parts.append({file.read_bytes(): file.name.split("-")[0] for file in made.rglob("*-*.json")})
        often |= {file.read_bytes() for file in made.rglob("often.json")}
        [[*place, text, anchor]] = pages[100]["places"]
        pages[100] = {**pages[100], "places": [(*place, f"{text}Sweep.", anchor)]}
    before, after = parts
    for kind in ("texts", "terms"):
        changed = [its for part, its in after.items() if part not in before].count(kind)
        assert 0 < changed <= list(after.values()).count(kind) / 2
    assert len(often) == 1


def test_what_many_pages_say_is_kept_once(packages: Path, tmp_path: Path):
    said = "Take the key out and pull the plug apart."
    pages = [document(f"p{number}/", f"Page {number}", f"{said} Then turn bolt {number}. {said}") for number in range(50)]
    searching.put(tmp_path, pages, [], "en", packages)
    written = b"".join(file.read_bytes() for file in (tmp_path / "search").rglob("*.json"))
    assert written.count(said.encode()) == 1
    [[hit, *_rest]] = ask(tmp_path, ["bolt 7"])
    assert hit["url"] == "p7/" and "".join(words for words, _marked in hit["text"]) == f"{said} Then turn bolt 7. {said}"


@pytest.mark.parametrize("lacking", ["minisearch", "@orama/stemmers", "@orama/stopwords"])
def test_a_package_that_is_missing_is_named(tmp_path: Path, packages: Path, lacking: str):
    for name in ("minisearch", "@orama/stemmers", "@orama/stopwords"):
        if name != lacking:
            (tmp_path / name).parent.mkdir(exist_ok=True)
            (tmp_path / name).symlink_to(packages / name)
    with pytest.raises(Stop, match=f"{lacking}.* is missing. Run python3 handbook.py build"):
        searching.put(tmp_path / "site", DOCUMENTS, [], "en", tmp_path)


def test_an_index_that_cannot_be_made_is_said_in_a_line(packages: Path, tmp_path: Path):
    with pytest.raises(Stop, match="The search cannot be made: TypeError") as stop:
        searching.put(tmp_path, [{**document("x/", "x"), "places": None}], [], "en", packages)
    assert "\n" not in str(stop.value)
