"""The form of the search's files: what is written is read again as it was, and what is said twice is written once."""

import json
import random
import subprocess
from pathlib import Path
from typing import Any

import pytest

from macros import setup_npm
from macros.searching import OWN

RUN = Path(__file__).with_suffix(".mjs").with_name("packed.mjs")

#: Numbers on both sides of where the form changes: one character or two, characters that UTF-8 or JSON write otherwise.
EDGES = [0, 1, 2, 0x5E, 0x5F, 0x60, 0x7DF, 0x7E0, 0x7FFE, 0x7FFF, 0x8000, 0x8001, 0xFFFF, 0x10000,
         0x1EFF * 0x8000, 0x2000 * 0x8000 - 1]

#: What a handbook may say: sentences said often, none, one with a mark of the form in it, one that ends oddly.
SAID = ["Take the key out.", "Read it: twice.", "", "One  two. ", " .", "Set the brake.\nPull the plug.",
        "<b>&\u2028\U0001f600 \u00e9", "0", "; "]


def standing(chance: random.Random, pages: int) -> dict[str, dict[str, int]]:
    """Where a word stands: in some fields, on some pages, some one after the other."""
    fields = sorted(chance.sample(range(9), chance.randint(1, 9)))
    share = chance.choice([0.01, 0.5, 0.95, 1])
    return {str(field): on for field in fields if (on := {
        str(page): chance.choice([1, 1, 1, 2, 3, 70_000]) for page in range(pages) if chance.random() < share})}


def page(chance: random.Random, number: int) -> dict[str, Any]:
    def text() -> str:
        return " ".join(chance.choices([*SAID, f"Only {number}."], k=chance.randint(0, 6)))

    places = [[text(), text(), text(), chance.choice(["", "#a", f"#p{number}"])] for _place in range(chance.randint(0, 5))]
    return {"url": f"p/{number}/", "places": places}


def read_again(given: dict[str, Any]) -> dict[str, Any]:
    command = [str(setup_npm.node()), "--disable-warning=MODULE_TYPELESS_PACKAGE_JSON", str(RUN), str(OWN / "packed.js")]
    ran = subprocess.run(command, input=json.dumps(given), capture_output=True, text=True, encoding="utf-8", check=False)
    assert ran.returncode == 0, ran.stderr
    return json.loads(ran.stdout)


@pytest.mark.parametrize("seed", range(4))
def test_what_is_written_is_read_again(packages: Path, seed: int):
    chance = random.Random(seed)
    far = {"0": {"0": 1, "268000": 2, "300000": 1, "300001": 1}}
    given = {
        "numbers": [[], EDGES, [chance.randrange(0x8000) for _number in range(0x8000)]],
        "words": [[], ["a"], sorted({"".join(chance.choices("abé\u4e00", k=chance.randint(1, 70))) for _word in range(500)})],
        "standings": [far, *(one for _word in range(60) if (one := standing(chance, 300))), far],
        "pages": [page(chance, number) for number in range(80)],
    }
    read = read_again(given)
    assert read["numbers"] == given["numbers"]
    assert read["words"] == given["words"]
    assert read["standings"] == given["standings"]
    assert read["pages"] == given["pages"]
    assert read["refused"] == 4, "what is no such number is not written"
    assert "Take the key out." in read["often"] and read["often"] == sorted(read["often"])
