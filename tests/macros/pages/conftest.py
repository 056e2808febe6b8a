"""Two handbooks whose pages are looked at: a small one with odd texts, and the demo."""

import functools
from pathlib import Path

import pytest

from macros.check import load_and_check
from macros.console import ROOT
from macros.pages.site import Site
from tests.macros.pages.dom import Element, parse

SMALL = Path(__file__).parent / "content"
DEMO = ROOT / "content"


@functools.cache
def made(content: Path) -> Site:
    """The site of a content folder without problems."""
    handbook, problems = load_and_check(content)
    assert not problems, [str(problem) for problem in problems]
    assert handbook is not None
    return Site(handbook)


@functools.cache
def rendered(content: Path) -> dict[str, str]:
    """The HTML of every page, by address."""
    site = made(content)
    return {url: site.render(page) for url, page in site.pages.items()}


@pytest.fixture(params=[SMALL, DEMO], ids=["small", "demo"])
def content(request: pytest.FixtureRequest) -> Path:
    """Each of the two content folders."""
    return request.param


@pytest.fixture
def site(content: Path) -> Site:
    """Its site."""
    return made(content)


@pytest.fixture
def html(content: Path) -> dict[str, str]:
    """Its pages as text."""
    return rendered(content)


@pytest.fixture
def trees(html: dict[str, str]) -> dict[str, Element]:
    """Its pages as trees."""
    return {url: parse(text) for url, text in html.items()}
