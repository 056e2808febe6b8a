"""Words of the trade: the glossary's page, and the links that lead to it from where each word first stands."""

import re
from collections import Counter

import pytest

from macros.model import Word
from macros.pages.find import documents
from macros.pages.site import Site
from macros.pages.terms import NEVER, NEVER_CLASSES, RUNNING, Terms
from tests.macros.pages.conftest import DEMO, SMALL, rendered
from tests.macros.pages.dom import Element, parse, squeezed

TERMS = Terms({
    "tank": Word(title="tank", says="x", also=("tanks",)),
    "tank-lid": Word(title="tank lid", says="x"),
    "hose": Word(title="hose & cuff", says="x", also=("hose's end",)),
})


def way(id: str, words: str) -> str:
    return f'<a class="term" href="../g/#{id}">{words}</a>'


def unlinked(html: str) -> str:
    """A page with the links of words taken out again."""
    return re.sub(r'<a class="term" href="[^"<>]*">([^<>]*)</a>', r"\1", html)


def above(element: Element) -> list[Element]:
    found = []
    while element.parent is not None:
        element = element.parent
        found.append(element)
    return found


# ---- what is linked in a text; expected values written out by hand ----

@pytest.mark.parametrize("html, expected", [
    ("<p>A tank.</p>", f"<p>A {way('tank', 'tank')}.</p>"),
    ("<p>Tanks, TANK, tank</p>", f"<p>{way('tank', 'Tanks')}, TANK, tank</p>"),
    ("<ul><li><b>The tank</b></li></ul>", f"<ul><li><b>The {way('tank', 'tank')}</b></li></ul>"),
    ("<dl><dt>tank</dt><dd>tank</dd></dl>", f"<dl><dt>tank</dt><dd>{way('tank', 'tank')}</dd></dl>"),
    ("<p>The tank\n  lid of the tank</p>", "<p>The " + way("tank-lid", "tank\n  lid") + f" of the {way('tank', 'tank')}</p>"),
    ("<p>hose &amp; cuff</p>", f"<p>{way('hose', 'hose &amp; cuff')}</p>"),
    ("<p>é &lt;tank&gt; hose&#39;s end</p>", f"<p>é &lt;{way('tank', 'tank')}&gt; {way('hose', 'hose&#39;s end')}</p>"),
    ("<p>hose's end<br>tank</p>", "<p>" + way("hose", "hose's end") + f"<br>{way('tank', 'tank')}</p>"),
    ("<p>a <!-- tank --> tank</p>", f"<p>a <!-- tank --> {way('tank', 'tank')}</p>"),
    ("<p>tan<i>k</i> tankard thinktank tank-top half-tank</p>", None),
    ("<div>tank</div>", None),
    ("<p title='tank'>&tank;</p>", None),
    ("", None),
])
def test_the_first_whole_word_of_running_text_is_linked(html: str, expected: str | None):
    assert TERMS.linked(html, "../g/") == (html if expected is None else expected)


@pytest.mark.parametrize("tag", sorted(NEVER))
def test_no_word_is_linked_in_what_is_touched_or_looked_at(tag: str):
    html = f"<p>1 <{tag}>the tank</{tag}> 2</p><{tag}><p>the tank</p></{tag}>"
    if tag in ("script", "style", "textarea"):
        html = f"<p>1 <{tag}>the tank</{tag}> 2</p>"
    assert TERMS.linked(html, "../g/") == html
    assert TERMS.linked(f"{html}<p>tank</p>", "../g/") == f"{html}<p>{way('tank', 'tank')}</p>"


@pytest.mark.parametrize("name", sorted(NEVER_CLASSES))
def test_no_word_is_linked_in_what_the_page_lays_out_again(name: str):
    html = f'<div class="big {name}"><ul><li>tank</li></ul></div><p class="{name}">tank<br>tank <span>tank</span></p>'
    assert TERMS.linked(html, "../g/") == html
    assert TERMS.linked(f"{html}<p>tank</p>", "../g/") == f"{html}<p>{way('tank', 'tank')}</p>"


def test_without_words_nothing_is_linked():
    assert Terms({}).linked("<p>tank</p>", "") == "<p>tank</p>" and not Terms({}).inside("tank")


# ---- the pages of the handbooks ----

def test_on_every_page_each_word_is_linked_at_most_once_and_to_its_own_entry(site: Site, trees: dict[str, Element]):
    linked = 0
    for url, tree in trees.items():
        terms = tree.with_class("term")
        times = Counter(link.get("href") for link in terms)
        assert not [one for one, number in times.items() if number > 1], url
        for link in terms:
            id = link.get("href").partition("#")[2]
            word = site.handbook.words[id]
            spellings = [squeezed(text).casefold() for text in (word.title, *word.also)]
            assert link.text.casefold() in spellings, f"{url}: {link.text}"
            assert link.get("href") == f"{site.pages[url].base}glossary/#{id}"
            inside = above(link)
            assert any(one.tag in RUNNING for one in inside), url
            assert not [one.tag for one in inside if one.tag in NEVER or one.classes & NEVER_CLASSES], f"{url}: {link.text}"
        linked += len(terms)
    assert linked >= 5
    assert not trees["glossary/"].with_class("term")


def test_nothing_else_of_a_page_changes(monkeypatch: pytest.MonkeyPatch, site: Site, html: dict[str, str]):
    monkeypatch.setattr(Terms, "linked", lambda self, page, glossary: page)
    changed = 0
    for url, page in site.pages.items():
        before = site.render(page)
        assert unlinked(html[url]) == before, url
        changed += before != html[url]
    assert changed >= 3


def test_words_are_linked_where_they_first_stand_in_running_text():
    """Read by eye in the small handbook's parts.yml."""
    page = rendered(SMALL)["parts/lid-seal/"]
    assert '<p class="lead under">Keeps the <a class="term" href="../../glossary/#tank-lid">tank lid</a> airtight.</p>' in page
    assert 'Carries air and water to the <a class="term" href="../../glossary/#tank">tank</a>.' in rendered(SMALL)["parts/hose/"]


def test_the_glossary_has_every_word_in_alphabetical_order(site: Site, trees: dict[str, Element]):
    (listed,) = trees["glossary/"].with_class("glossary")
    entries = [one for one in listed.children if isinstance(one, Element)]
    words = site.handbook.words
    assert sorted(one.get("id") for one in entries) == sorted(words)
    titles = [one.tags("dt")[0].text for one in entries]
    assert titles == sorted(titles, key=str.casefold)
    for one in entries:
        word = words[one.get("id")]
        assert one.tags("dt")[0].text == squeezed(word.title)
        assert one.tags("p")[0].text == squeezed(word.says)


def test_it_is_found_and_linked(site: Site, trees: dict[str, Element]):
    found = {one["url"]: one for one in documents(site)}
    assert "glossary/" in found
    for name, word in site.handbook.words.items():
        one = found[f"glossary/#{name}"]
        assert (one["title"], one["told"], one["places"][0][2]) == (word.title, word.also, word.says)
    for url, where in (("", "./glossary/"), ("find/", "../glossary/")):
        assert where in [link.get("href") for link in trees[url].tags("a")], url


def test_markup_in_a_word_is_shown_as_text():
    page = rendered(SMALL)["glossary/"]
    assert "Carries air &amp; water to the tank &lt;b&gt;only&lt;/b&gt;." in page
    assert "<b>only" not in page and parse(page)


def test_the_demo_explains_the_words_of_the_trade():
    """The words that the trade's documents name; each must have an entry."""
    listed = parse(rendered(DEMO)["glossary/"])
    titles = {one.text for one in listed.tags("dt")}
    assert {"squeegee", "front blade", "rear blade", "support wheel", "stem", "tilt bolt", "recovery tank", "recovery hose",
            "tank port", "squeegee outlet", "vacuum motor", "sealed vacuum", "flowing vacuum", "station"} <= titles
    assert len(titles) >= 45
