"""The page of formulas holds what every registered calculator says of itself; the descriptions are the oracle."""

from calculators import calculators
from macros.pages.find import documents
from macros.pages.site import Site
from tests.macros.pages.dom import Element, squeezed


def test_every_registered_calculator_is_on_the_page_whole(trees: dict[str, Element]):
    page = trees["formulas/"]
    sections = {one.get("id"): one for one in page.tags("section")}
    assert list(sections) == [one.id for one in calculators()]
    for one in calculators():
        section = sections[one.id]
        links = {link.get("href"): link.text for link in section.tags("h2")[0].tags("a")}
        assert links == {f"../calculators/{one.id}/": squeezed(one.question)}
        assert [p.text for p in section.with_class("sum")] == [squeezed(text) for text in one.formulas]
        for text in (*one.limits, *one.sources):
            assert squeezed(text) in section.text, f"{one.id}: {text}"
        items = [item.text for item in section.tags("li")]
        for figure in one.figures:
            assert any(item.startswith(figure.title) for item in items), f"{one.id}: {figure.title}"
        for _code, words in one.outcomes:
            assert any(item.lower().startswith(words.lower()) for item in items), f"{one.id}: {words}"
        assert one.formulas and one.limits and one.sources, one.id


def test_it_is_found_and_linked(site: Site, trees: dict[str, Element]):
    (found,) = [one for one in documents(site) if one["url"] == "formulas/"]
    places = {anchor: (head, text) for _lead, head, text, anchor in found["places"]}
    for one in calculators():
        head, text = places[f"#{one.id}"]
        assert head == one.question and all(words in text for words in (*one.limits, *one.sources))
    for url, way in (("", "./formulas/"), ("find/", "../formulas/")):
        assert way in [link.get("href") for link in trees[url].tags("a")], url
