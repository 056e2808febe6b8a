"""What holds for every page of every handbook: ids, links, headings, labels, nothing that a strict policy refuses.

`handbook.py test --content DIR` looks at the pages of another content folder instead of our own.
"""

import json
import os
import re
from collections import Counter
from pathlib import Path
from urllib.parse import urljoin

import pytest

from macros import bill, starting, testing
from macros.pages.find import documents
from macros.pages.site import Site
from macros.pages.visits import SCHEMA
from tests.macros.pages.conftest import DEMO, SMALL, made, rendered
from tests.macros.pages.dom import Element, parse


@pytest.fixture(scope="session")
def own(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A handbook as `new handbook` makes it."""
    folder = tmp_path_factory.mktemp("of-ones-own") / "own"
    starting.make(starting.Wanted(folder), lambda _question, proposal: proposal)
    return folder


@pytest.fixture(params=["given"] if testing.CONTENT in os.environ else ["small", "demo", "own"])
def content(request: pytest.FixtureRequest) -> Path:
    """Each of the content folders."""
    if request.param == "given":
        return Path(os.environ[testing.CONTENT])
    return request.getfixturevalue("own") if request.param == "own" else {"small": SMALL, "demo": DEMO}[request.param]


def ids(tree: Element) -> Counter[str]:
    return Counter(element.get("id") for element in tree.all(lambda one: "id" in one.attributes))


def test_ids_are_unique_and_every_reference_to_one_leads_somewhere(trees: dict[str, Element]):
    for url, tree in trees.items():
        found = ids(tree)
        assert not [one for one, times in found.items() if times > 1], url
        assert "" not in found, url
        for element in tree.all():
            for attribute in ("aria-labelledby", "aria-describedby", "for"):
                for one in element.get(attribute).split():
                    assert one in found, f"{url}: {attribute} {one}"


def test_no_page_needs_what_a_strict_policy_refuses(trees: dict[str, Element]):
    for url, tree in trees.items():
        for element in tree.all():
            assert "style" not in element.attributes, f"{url}: {element}"
            assert not [name for name in element.attributes if name.startswith("on")], f"{url}: {element}"
            assert element.tag not in ("style", "iframe", "object", "embed", "base", "link", "meta"), f"{url}: {element.tag}"
            if element.tag == "script":
                assert element.get("type") == "application/json", url
                json.loads("".join(child for child in element.children if isinstance(child, str)))
            for attribute in ("href", "src", "action", "poster", "data"):
                target = element.get(attribute)
                assert "//" not in target and not target.lower().startswith(("data:", "javascript:")), f"{url}: {target}"


FILES = {bill.BILL, *(one.url for one in bill.components())}
"""Files that pages link to; tests/macros/test_bill.py holds that they are there."""


def test_every_link_leads_to_a_page_and_to_a_place_on_it(trees: dict[str, Element]):
    known = {url: set(ids(tree)) for url, tree in trees.items()}
    links = 0
    for url, tree in trees.items():
        for link in tree.tags("a"):
            where, _hash, fragment = urljoin(f"http://h/{url}", link.get("href")).removeprefix("http://h/").partition("#")
            assert where in known or where == SCHEMA or where in FILES, f"{url} -> {link.get('href')}"
            assert not fragment or fragment in known[where], f"{url} -> {link.get('href')}"
            links += 1
    assert links > len(trees)


def test_the_way_back_leads_somewhere(site: Site, trees: dict[str, Element]):
    for page in site.pages.values():
        where, _hash, fragment = page.back.url.partition("#")
        assert where in trees, page.back
        assert not fragment or fragment in ids(trees[where]), page.back


def test_every_page_is_reached_from_home(trees: dict[str, Element]):
    reached, waiting = set(), [""]
    while waiting:
        url = waiting.pop()
        if url in reached or url == SCHEMA or url in FILES:
            continue
        reached.add(url)
        for link in trees[url].tags("a"):
            waiting.append(urljoin(f"http://h/{url}", link.get("href")).removeprefix("http://h/").split("#")[0])
    # find/ and saved/ stand in the frame around every page, which is not rendered here.
    # The sheet is of one visit, which the page of all visits names.
    assert set(trees) - reached <= {"find/", "saved/", "licences/", "visits/sheet/", "tools/", *(u for u in trees if u.startswith("parts/"))}


def test_one_first_heading_and_none_skipped(trees: dict[str, Element]):
    for url, tree in trees.items():
        levels = [int(one.tag[1]) for one in tree.tags("h1", "h2", "h3", "h4", "h5", "h6")]
        assert levels[:1] == [1] and levels.count(1) == 1, f"{url}: {levels}"
        for before, after in zip(levels, levels[1:], strict=False):
            assert after <= before + 1, f"{url}: {levels}"
        assert all(one.text for one in tree.tags("h1", "h2", "h3", "h4")), url


def test_everything_touched_has_a_name(trees: dict[str, Element]):
    for url, tree in trees.items():
        labels = {label.get("for") for label in tree.tags("label")}
        for control in tree.tags("input", "select", "textarea", "button"):
            inside = control.parent
            while inside is not None and inside.tag != "label":
                inside = inside.parent
            named = (control.get("aria-label") or control.text or control.get("id") in labels
                     or inside is not None and inside.text or "hidden" in control.attributes)
            assert named, f"{url}: {control.attributes}"


def test_every_drawing_has_a_title_or_is_decoration(trees: dict[str, Element]):
    drawn = 0
    for url, tree in trees.items():
        for svg in tree.tags("svg"):
            drawn += 1
            assert (svg.get("aria-hidden") == "true" or svg.get("aria-label")
                    or svg.get("role") == "img" and svg.get("aria-labelledby") and svg.tags("title")), url
    assert drawn


def test_the_same_content_gives_the_same_bytes(content: Path, html: dict[str, str]):
    from macros.check import load_and_check

    handbook, _problems = load_and_check(content)
    again = Site(handbook)
    assert {url: again.render(page) for url, page in again.pages.items()} == html
    assert list(documents(again)) == list(documents(made(content)))


MARKUP = re.compile(r"<(b|em|i|script|img)\b")


def test_markup_in_the_content_is_shown_as_text():
    pages = rendered(SMALL)
    said = {
        "procedures/survey/": "Survey the suction <em>from motor</em> to floor",
        "procedures/price/": "Acid & gas on the battery <script>alert(1)</script>.",
        "parts/lid-seal/": "Lid seal <i>round</i>",
        "seen/foam/": "Foam <img src=x onerror=alert(1)> reached the motor.",
        "saved/": "Small handbook <b>of tests</b>",
    }
    for url, text in said.items():
        assert MARKUP.search(text)
        tree = parse(pages[url])
        assert text in tree.text, url
        assert not tree.tags("em", "i", "img"), url
    # Also where it goes on to other pages: links, lists, the list of documents.
    for url, text in pages.items():
        assert not re.search(r"<(em|i|img)\b|<b>of tests|<script>", text), url
    assert "<em>from motor</em>" in next(
        one["title"] for one in documents(made(SMALL)) if one["url"] == "procedures/survey/")


def test_no_cost_stands_anywhere(tmp_path: Path):
    """Every part gets a cost like no other number; none may be in any byte of what is made from the content."""
    import shutil

    from macros.check import load_and_check
    from macros.pages import files
    from tests.macros.pages.conftest import DEMO

    shutil.copytree(DEMO, tmp_path / "content")
    parts = tmp_path / "content" / "parts.yml"
    costs = [f"{7000 + number}{number:02d}.{97 - number}" for number in range(90)]
    waiting = iter(costs)
    text, number = re.subn(r'cost: *"?[\d.]+"?', lambda _found: f'cost: "{next(waiting)}"', parts.read_text("utf-8"))
    assert number >= 10
    parts.write_text(text, "utf-8")
    handbook, problems = load_and_check(tmp_path / "content")
    assert not problems
    assert {str(part.cost) for part in handbook.parts.values()} == set(costs[:number])
    site = Site(handbook)
    everything = [*(site.render(page) for page in site.pages.values()), json.dumps(list(documents(site))), files.manifest(handbook)]
    for cost in costs[:number]:
        for written in (cost, cost.replace(".", ","), cost.split(".")[0]):
            assert not [text[:200] for text in everything if written in text], written


def test_what_is_found_are_all_pages_with_their_words(site: Site):
    found = {one["url"]: one for one in documents(site)}
    pages = {url for url, page in site.pages.items() if page.kind not in ("home", "find", "saved", "visits", "sheet", "licences")}
    assert {url for url in found if "#" not in url} == pages
    assert {url for url in found if "#" in url} == {
        *(f"glossary/#{name}" for name in site.handbook.words), *(f"tools/#{name}" for name in site.handbook.tools)}
    for name, procedure in site.handbook.procedures.items():
        one = found[f"procedures/{name}/"]
        assert one["title"] == procedure.title
        assert {step.do for step in procedure.steps} <= {head for _lead, head, _text, _anchor in one["places"]}
    for name, part in site.handbook.parts.items():
        assert found[f"parts/{name}/"]["codes"] == (part.number,)


def test_every_place_found_is_on_its_page_and_is_plain_text(site: Site, trees: dict[str, Element]):
    for one in documents(site):
        where, _hash, own = one["url"].partition("#")
        assert not own or own in ids(trees[where])
        for _lead, _head, text, anchor in one["places"]:
            assert not anchor or anchor.removeprefix("#") in ids(trees[where]), f"{where}: {anchor}"
            assert "](" not in text and "**" not in text and "\n" not in text, f"{where}: {text}"
