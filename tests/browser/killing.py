"""A visit typed in while the browser is killed at random moments: what was lost, and how old it was."""

import random
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import BrowserContext, Error, Page, Playwright

from macros import chromium
from tests.browser.tools import kill
from tests.browser.visiting import until

FIELDS = ("notes", "remains", "machine.hours", "customer", "who")
"""What is typed in, one after the other; letters where a number is wanted are no number, and stay as they were typed."""

EMPTY = "(visit['%s'] ?? visit.unread?.['%s'] ?? '') === ''"
"""A script's expression: nothing stands in the field."""

LETTERS = "abcdefghijklmnopqrstuvwxyz "

TYPING = (0.2, 1.6)
"""Seconds of typing before a kill, at least and at most."""


@dataclass(frozen=True)
class Loss:
    """One kill: the field typed in, keys typed before it, keys of them lost, and the age of the oldest lost one in seconds."""

    field: str
    typed: int
    lost: int
    age: float


def killed(playwright: Playwright, program: str, profile: Path, url: str, times: int, seed: int) -> Iterator[Loss]:
    """Kill the browser `times` times on one profile. Raises: AssertionError when what is there is not what was typed."""
    chance = random.Random(seed)
    kept = dict.fromkeys(FIELDS, "")
    before: tuple[str, list[tuple[str, float]], float] | None = None
    for number in range(times + 1):
        context = playwright.chromium.launch_persistent_context(
            str(profile), executable_path=program, args=list(chromium.FLAGS))
        page = _opened(context, url)
        if before is None:
            page.locator("[data-begin]").click()
        else:
            yield _loss(page, kept, *before)
        if number == times:
            context.close()
            return
        field = FIELDS[number % len(FIELDS)]
        page.locator(f"[data-name='{field}']").fill("")
        until(page, EMPTY % (field, field))
        kept[field] = ""
        typed = _type(page, chance)
        moment = time.monotonic()
        assert kill(profile) > 0
        with suppress(Error):
            context.close()
        before = field, typed, moment


def _opened(context: BrowserContext, url: str) -> Page:
    page = context.pages[0]
    page.goto(url + "visit/")
    page.locator("[data-part]:not([hidden])").wait_for()
    return page


def _type(page: Page, chance: random.Random) -> list[tuple[str, float]]:
    """Type until a random moment. Each key with the time just before it was pressed."""
    until = time.monotonic() + chance.uniform(*TYPING)
    typed: list[tuple[str, float]] = []
    while time.monotonic() < until:
        typed.append((chance.choice(LETTERS), time.monotonic()))
        page.keyboard.type(typed[-1][0])
    return typed


def _loss(page: Page, kept: dict[str, str], field: str, typed: list[tuple[str, float]], moment: float) -> Loss:
    for name in FIELDS:
        value = page.locator(f"[data-name='{name}']").input_value()
        if name == field:
            whole = "".join(key for key, _when in typed)
            assert whole.startswith(value), f"{name}: {value!r} is not the beginning of {whole!r}"
            kept[name] = value
        assert value == kept[name], f"{name}: {value!r} is there, not {kept[name]!r}"
    lost = typed[len(kept[field]):]
    return Loss(field, len(typed), len(lost), moment - lost[0][1] if lost else 0.0)
