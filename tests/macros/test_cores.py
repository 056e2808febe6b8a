"""Work for all cores: the same results as one after another, and a check on all cores finds what a check on one finds."""

from functools import partial
from pathlib import Path

import pytest

from macros import cores, kept
from macros.check import load_and_check
from tests.bench.making import make

from .contents import put


def test_results_come_in_the_order_of_the_jobs(monkeypatch):
    monkeypatch.setattr(cores, "number", lambda: 3)
    jobs = [lambda: ["a", "b"], lambda: {"c": 1}, list, lambda: None, lambda: [["d"], ("e",)]]
    assert cores.together(jobs) == [["a", "b"], {"c": 1}, [], None, [["d"], ("e",)]]


def test_what_a_job_raises_is_raised_here(monkeypatch):
    monkeypatch.setattr(cores, "number", lambda: 2)
    with pytest.raises(ValueError, match="no"):
        cores.together([list, partial(int, "no")])


def test_items_are_dealt_out_once_each(monkeypatch):
    monkeypatch.setattr(cores, "number", lambda: 2)
    items = list(range(2 * cores.LEAST + 1))
    assert sorted(item for share in cores.dealt(items) for item in share) == items
    assert len(cores.dealt(items)) == 2 and cores.dealt([]) == [[]]


def test_a_check_on_all_cores_finds_what_a_check_on_one_finds(tmp_path: Path, monkeypatch):
    content = make(tmp_path / "made", 2 * cores.LEAST)
    put(content, "procedures/set-wheels.yml", "hands: [blade-edge]", "hands: [blade-edg]")
    put(content, "procedures/set-wheels-0003.yml", "sets:\n    plug: joined", "sets:\n    plug: jointed")
    put(content, "procedures/set-wheels-0005.yml", "- message: blade-edge\n", "")
    put(content, "procedures/make-safe-0009.yml", "minutes:", "minuets:")
    put(content, "parts.yml", "does: Holds", "does: Utilise it, it holds 5mm")
    found = []
    for number in (1, 2, 3):
        kept.next_round()
        kept.next_round()
        monkeypatch.setattr(cores, "number", lambda number=number: number)
        handbook, problems = load_and_check(content)
        found.append((handbook, problems))
    assert found[0] == found[1] == found[2]
    assert {p.rule for p in found[0][1]} >= {"unknown-zone", "unknown-state", "message", "unknown-key", "word-choice",
                                             "unit-writing"}
