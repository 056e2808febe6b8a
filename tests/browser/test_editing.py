"""`serve --edit` in a browser: save, and the page is the new one; break it, and the problems stand above the last good page."""

import shutil
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from macros import editing
from macros.serve import Server
from tests.browser.tools import PATIENCE, Watch
from tests.macros.pages.conftest import SMALL

SURVEY = "procedures/survey.yml"


@pytest.fixture
def written(tmp_path: Path) -> Iterator[tuple[Path, Server]]:
    """A small handbook that is being written, and the server that shows it."""
    content = tmp_path / "own"
    shutil.copytree(SMALL, content)
    one, ended = editing.Editing(content), threading.Event()
    server = Server(one.folder, 0)
    server.before = one.answer

    def watch() -> None:
        while not ended.wait(editing.BETWEEN):
            one.look()

    looking = threading.Thread(target=watch)
    server.start()
    looking.start()
    yield content, server
    ended.set()
    looking.join()
    server.close()
    one.close()


def test_a_file_saved_is_the_page_a_file_broken_is_its_problems(browser: Browser, written: tuple[Path, Server]):
    content, server = written
    file = content / SURVEY
    good = file.read_text("utf-8")
    context = browser.new_context(locale="en-GB")
    watch = Watch(context)
    watch.allowed = ("503", "ERR_CONNECTION_REFUSED")  # before the first build, and after the end
    page = context.new_page()
    page.goto(f"{server.url}procedures/survey/")
    heading, problems = page.get_by_role("heading", level=1), page.get_by_role("alert")
    expect(heading).to_contain_text("Survey the suction", timeout=PATIENCE)

    file.write_text(good.replace("Survey the suction", "Look for the leak"), "utf-8")
    expect(heading).to_contain_text("Look for the leak")
    expect(problems).to_be_hidden()

    file.write_text(good.replace("minutes: ", "minuts: ", 1), "utf-8")
    expect(problems).to_contain_text('Did you mean "minutes"?')
    expect(problems).to_contain_text(f"own/{SURVEY}:")
    lines = problems.locator("pre").last.inner_text().splitlines()
    assert lines[0][lines[1].index("^"):].startswith("minuts")
    expect(heading).to_contain_text("Look for the leak")

    file.write_text(good, "utf-8")
    expect(heading).to_contain_text("Survey the suction")
    expect(problems).to_be_hidden()
    context.close()
    watch.check()
