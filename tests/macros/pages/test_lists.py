"""Lists that grow with the handbook: whole on pages of their own, begun on others, so that no page grows with the handbook."""

import dataclasses
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from macros.check import load_and_check
from macros.pages import calculator, files, lists, visit
from macros.pages.site import Site
from tests.bench.making import make


@pytest.fixture(scope="module", autouse=True)
def short() -> Iterator[None]:
    """Lists are cut after a few lines, so that a handbook of a few hundred procedures is a large one."""
    with pytest.MonkeyPatch.context() as patch:
        for name, value in (("MOST", 4), ("PAGE", 20), ("FEW", 3)):
            patch.setattr(lists, name, value)
        yield


@pytest.fixture(scope="module")
def many(short: None, tmp_path_factory: pytest.TempPathFactory) -> Site:
    """A handbook of more machines than a page names, and longer lists than a page shows."""
    return _site(make(tmp_path_factory.mktemp("many") / "content", 200))


@pytest.fixture(scope="module")
def fewer(short: None, tmp_path_factory: pytest.TempPathFactory) -> Site:
    return _site(make(tmp_path_factory.mktemp("fewer") / "content", 100))


def _site(content: Path) -> Site:
    handbook, problems = load_and_check(content)
    assert handbook is not None and not problems
    return Site(handbook)


def _linked(html: str) -> list[str]:
    return re.findall(r'href="(?:\.\./)*((?:procedures|machines|parts)/[a-z0-9-]+/)"', html)


def test_the_pages_of_a_list_hold_each_line_once(many: Site):
    pages = {id: [one for one in many.pages if re.fullmatch(rf"lists/{id}/(\d+/)?", one)] for id in many.lists}
    for id, one in many.lists.items():
        assert bool(pages[id]) == (len(one.links) > (lists.FEW if id == "machines" else lists.MOST)), id
    for id in ("do-find", "machines", "parts", "tool-gloves", "calculator-wheel-adjust", "fits-float", "machine-ride-on-90"):
        shown = [url for page in pages[id] for url in _linked(many.render(many.pages[page]))]
        assert shown == [link.url for link in many.lists[id].links], id
    assert {link.url for link in many.lists["machines"].links} == {f"machines/{id}/" for id in many.handbook.machines}


def test_from_one_page_of_a_list_to_the_next_and_back(many: Site):
    first, second, last = (many.render(many.pages[f"lists/do-find/{page}"]) for page in ("", "2/", "3/"))
    assert 'href="../../lists/do-find/2/" rel="next"' in first and 'rel="prev"' not in first
    assert 'href="../../../lists/do-find/" rel="prev"' in second and 'href="../../../lists/do-find/3/" rel="next"' in second
    assert 'href="../../../lists/do-find/2/" rel="prev"' in last and 'rel="next"' not in last
    assert f"21 to 40 of {len(many.lists['do-find'].links)}" in second


@pytest.mark.parametrize("url", [
    "", "find/", "tools/", "procedures/set-wheels/", "calculators/wheel-adjust/", "machines/ride-on-90/", "parts/float/",
    "visit/", "visits/"])
def test_a_page_of_a_handbook_twice_as_large_weighs_the_same(many: Site, fewer: Site, url: str):
    ours, theirs = (len(site.render(site.pages[url])) for site in (many, fewer))
    assert ours == pytest.approx(theirs, rel=0.01)


def test_a_list_that_is_begun_says_how_long_it_is(many: Site):
    home = many.render(many.pages[""])
    number = len(many.lists["do-find"].links)
    assert f'<a href="./lists/do-find/">All {number}</a>' in home
    assert 'type="radio" name="machine"' not in home and f'<a href="./lists/machines/">All {len(many.handbook.machines)}</a>' in home


def test_figures_of_each_machine_stand_in_a_file_where_there_are_many(many: Site):
    found = files.figures(many)
    assert found.keys() == {f"machines/{id}/figures.json" for id in many.handbook.machines}
    read = json.loads(found["machines/walk-behind-70-0001/figures.json"])
    assert read == calculator.fills(many, "walk-behind-70-0001") and read["wheel-adjust"]["thread"] == "M8"
    assert '"cost"' not in json.dumps(found)


def test_what_a_visit_can_name_stands_in_a_file_where_it_is_much(many: Site):
    [(address, text)] = files.known(many).items()
    book = many.handbook
    assert address == visit.KNOWN and json.loads(text) == visit.known(many)
    assert json.loads(text)["procedures"] == list(book.procedures) and json.loads(text)["parts"].keys() == book.parts.keys()
    assert '"cost"' not in text
    assert not any(id in many.render(many.pages[url]) for url in ("visit/", "visits/") for id in list(book.parts)[-3:])


@pytest.mark.parametrize("name", ["machines", "parts", "procedures"])
def test_each_of_what_a_visit_can_name_may_be_what_is_too_much(name: str, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(lists, "PAGE", 200)
    monkeypatch.setattr(lists, "FEW", 12)
    site = _site(Path("content"))
    assert not visit.apart(site) and files.known(site) == {}
    held = getattr(site.handbook, name)
    more = {f"{id}-{number}": one for number in range(lists.PAGE) for id, one in held.items()}
    assert visit.apart(Site(dataclasses.replace(site.handbook, **{name: more})))


def test_few_machines_stand_on_every_page(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(lists, "MOST", 40)
    site = _site(Path("content"))
    assert not site.many and files.figures(site) == {} and not [url for url in site.pages if url.startswith("lists/")]
    assert site.render(site.pages[""]).count('type="radio" name="machine"') == len(site.handbook.machines)
