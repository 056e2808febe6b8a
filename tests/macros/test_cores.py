"""Work for all cores: the same results as one after another, and a check on all cores finds what a check on one finds."""

import os
import time
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


@pytest.mark.parametrize("count", [0, 1, cores.LEAST, 2 * cores.LEAST + 1, 300 * cores.MOST_LOTS])
def test_items_are_parted_in_their_order_into_few_lots(count: int):
    lots = cores.lots(range(count))
    assert [item for lot in lots for item in lot] == list(range(count)) and len(lots) <= cores.MOST_LOTS and all(lots)


@pytest.mark.parametrize("number", [1, 2, 3])
def test_jobs_begun_are_each_done_once_and_packed_where_they_were_done_beside(monkeypatch, tmp_path: Path, number: int):
    monkeypatch.setattr(cores, "number", lambda: number)
    own, seen = os.getpid(), tmp_path / "seen"
    seen.mkdir()

    def job(of: int) -> tuple[int, int]:
        (seen / str(os.getpid())).touch()
        while len(list(seen.iterdir())) < number:  # none goes on before every process has taken one
            time.sleep(0.001)
        with (tmp_path / str(of)).open("x"):  # refused where it was done before
            return of, os.getpid()

    ended = cores.begin([partial(job, of) for of in range(cores.LOTS * number * 4)], lambda result: ("packed", *result))
    results = ended()
    assert [result[-2] for result, _beside in results] == list(range(len(results))) and len(results) == cores.LOTS * number * 4
    assert all((len(result) == 3) == (result[-1] != own) == beside for result, beside in results)
    assert len({result[-1] for result, _beside in results}) == number


def test_what_a_job_begun_raises_is_raised_when_it_is_asked_for(monkeypatch):
    monkeypatch.setattr(cores, "number", lambda: 2)
    for bad in range(2 * cores.LOTS):
        ended = cores.begin([partial(int, "no" if number == bad else "7") for number in range(2 * cores.LOTS)], str)
        with pytest.raises(ValueError, match="no"):
            ended()


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
