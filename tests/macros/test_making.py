"""The handbooks that the benchmark measures: in order, of the number asked for, the same for the same seed."""

from pathlib import Path

from macros.check import load_and_check
from tests.bench.making import make


def _bytes(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def test_a_made_handbook_is_in_order_and_has_the_number_asked_for(tmp_path):
    handbook, problems = load_and_check(make(tmp_path / "made", 53))
    assert problems == []
    assert len(handbook.procedures) == 53
    assert len(handbook.machines) == 2 + 2
    assert sum(step.calculator is not None for one in handbook.procedures.values() for step in one.steps) > 20


def test_the_same_seed_makes_the_same_handbook_and_another_seed_another(tmp_path):
    first, second, other = (_bytes(make(tmp_path / name, 41, seed)) for name, seed in (("a", 7), ("b", 7), ("c", 8)))
    assert first == second
    assert first != other
