"""Two editions side by side: the reader decides; open pages stay with theirs; the one before is kept."""

import json
import shutil
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, expect

from macros import offline
from macros.serve import Handler, serve_folder
from tests.browser.tools import CALCULATOR, EDITION, SAVED, alive, drop, ready, save_edition

SECOND = "2027-01-15"


@pytest.fixture
def both(site: Path, tmp_path: Path) -> tuple[Path, Path]:
    """A copy of the site, and the same with another edition's number, date and home page."""
    one, two = tmp_path / "one", tmp_path / "two"
    shutil.copytree(site, one)
    shutil.copytree(site, two)
    number = json.loads((one / "edition.json").read_text("utf-8"))["edition"]
    home = two / "index.html"
    home.write_text(home.read_text("utf-8").replace("<h1", "<h1 data-second", 1), "utf-8")
    script = next(two.rglob("find.js"))
    script.write_text(script.read_text("utf-8") + "window.secondEdition = true;\n", "utf-8")
    offline.write(two, number + 1, SECOND)
    return one, two


def second(page: Page) -> bool:
    """Whether the page shown is the second edition's home page."""
    return page.locator("h1[data-second]").count() > 0


def test_an_update_is_announced_fetched_and_chosen_by_the_reader(profile, both: tuple[Path, Path]):
    one, two = both
    server = serve_folder(one)
    with profile() as context:
        page = context.new_page()
        save_edition(page, server)
        open_page = context.new_page()
        open_page.goto(server.url)
        assert not second(open_page)

        server.folder = two
        asked: list[str] = []
        server.before = lambda handler: note(handler, asked)
        page.goto(server.url + "saved/")
        fetch = page.get_by_role("button", name=f"Fetch edition {EDITION + 1} of 15 January 2027")
        fetch.wait_for()
        page.goto(server.url)
        assert not second(page), "the edition in use stays until the reader changes it"
        page.goto(server.url + "saved/")
        assert asked == [], "nothing of it is fetched before the reader asks"

        fetch.click()
        change = page.get_by_role("button", name=f"Change to edition {EDITION + 1} of 15 January 2027")
        change.wait_for()
        expect(page.locator("[data-saved]")).to_contain_text(f"Edition {EDITION + 1} of 15 January 2027 is here whole")
        expect(page.locator("[data-saved]")).to_contain_text(f"This device goes on with edition {EDITION} until you change.")
        assert sorted(asked) == ["/", f"/{next(two.rglob('find.js')).relative_to(two).as_posix()}"], "only what differs was fetched"
        page.goto(server.url)
        assert not second(page)
        page.goto(server.url + "saved/")

        change.click()
        page.get_by_text(f"Edition {EDITION + 1}: all").wait_for()
        server.before = drop
        page.goto(server.url)
        assert second(page)

        # The page opened before still loads its own edition's files, without a network too.
        assert open_page.evaluate("import(new URL('find.js', document.querySelector('script').src)).then(() => Boolean(window.secondEdition))") is False
        assert page.evaluate("import(new URL('find.js', document.querySelector('script').src)).then(() => Boolean(window.secondEdition))") is True

        page.goto(server.url + "saved/")
        page.get_by_role("button", name=f"Go back to edition {EDITION} of").click()
        page.get_by_text(f"Edition {EDITION}: all").wait_for()
        page.goto(server.url)
        assert not second(page)
        page.goto(server.url + CALCULATOR)
        ready(page)
        context.watch.allowed = ("Failed to load resource", "net::ERR", "Failed to fetch")
    server.close()


def test_a_page_that_says_nothing_new_but_its_edition_is_not_fetched(profile, both: tuple[Path, Path]):
    one, two = both
    for file in two.rglob("index.html"):
        text = file.read_text("utf-8")
        assert text.count(f'data-edition="{EDITION}"') == text.count(f"Edition {EDITION}, not saved") == 1, file
        file.write_text(text.replace(f'data-edition="{EDITION}"', f'data-edition="{EDITION + 1}"')
                        .replace(f"Edition {EDITION}, not saved", f"Edition {EDITION + 1}, not saved"), "utf-8")
    changed = two / CALCULATOR / "index.html"
    changed.write_text(changed.read_text("utf-8").replace("</h1>", " again</h1>", 1), "utf-8")
    pages = {file["url"] for file in offline.write(two, EDITION + 1, SECOND).as_json()["files"] if file["url"].endswith("/")}
    server = serve_folder(one)
    with profile() as context:
        page = context.new_page()
        save_edition(page, server)
        server.folder = two
        asked: list[str] = []
        server.before = lambda handler: note(handler, asked)
        page.goto(server.url + "saved/")
        page.get_by_role("button", name=f"Fetch edition {EDITION + 1} of").click()
        page.get_by_role("button", name=f"Change to edition {EDITION + 1} of").click()
        page.get_by_text(f"Edition {EDITION + 1}: all").wait_for()
        assert sorted(asked) == ["/", f"/{CALCULATOR}", f"/{next(two.rglob('find.js')).relative_to(two).as_posix()}"]
        assert len(pages) > 50
        server.before = drop
        for url in sorted(pages):
            kept = page.evaluate("async (url) => (await fetch(new URL(url, new URL('../', location.href)))).text()", url)
            assert kept == (two / url / "index.html").read_text("utf-8"), url
    server.close()


def note(handler: Handler, asked: list[str]) -> bool:
    path = urlsplit(handler.path).path
    if handler.headers.get("X-Handbook-Save") and path != "/edition.json":
        asked.append(path)
    return False


def test_an_update_is_seen_when_a_page_is_shown_again(profile, both: tuple[Path, Path]):
    one, two = both
    server = serve_folder(one)
    with profile() as context:
        page = context.new_page()
        save_edition(page, server)
        page.goto(server.url)
        expect(page.locator("[data-saved-line]").first).to_contain_text(f"Edition {EDITION}, saved on this device")
        server.folder = two
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
        expect(page.locator("[data-saved-line]").first).to_contain_text(f"Edition {EDITION}, a newer one is there")
        assert not second(page)
    server.close()


def test_what_was_typed_survives_a_new_edition(profile, both: tuple[Path, Path]):
    one, two = both
    server = serve_folder(one)
    with profile() as context:
        page = context.new_page()
        page.goto(server.url + CALCULATOR)
        alive(page)
        page.locator('[name="readings/1/vacuum"]').fill("17,25")
        save_edition(page, server)
        server.folder = two
        page.reload()
        page.get_by_role("button", name=f"Fetch edition {EDITION + 1}").click()
        page.get_by_role("button", name=f"Change to edition {EDITION + 1}").click()
        page.get_by_text(f"Edition {EDITION + 1}: all").wait_for()
        page.goto(server.url + CALCULATOR)
        alive(page)
        assert page.locator('[name="readings/1/vacuum"]').input_value() == "17,25"
    server.close()


def test_an_edition_published_while_another_is_being_saved(profile, both: tuple[Path, Path]):
    one, two = both
    server = serve_folder(one)
    with profile() as context:
        page = context.new_page()
        # The list is the first edition's, the files are the second's: those that differ are refused, and asked anew.
        def switch(handler: Handler) -> bool:
            if urlsplit(handler.path).path.endswith("/edition.json"):
                handler.server.folder = one if not switched else two
                switched.append(1)
            elif handler.headers.get("X-Handbook-Save"):
                handler.server.folder = two
            return False

        switched: list[int] = []
        page.goto(server.url + "saved/")
        server.before = switch
        page.get_by_role("button", name="Save on this device").click()
        page.get_by_text(f"Edition {EDITION + 1}: all").wait_for()
        assert SAVED in page.locator("[data-saved]").inner_text()
    server.close()
