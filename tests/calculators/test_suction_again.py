"""suction-drop: the first station read again at the end, and what a gauge's constant error may not do."""

import pytest

from calculators import calculate
from tests.calculators.surveys import ID, answer, survey


def test_a_sinking_battery_is_no_leak() -> None:
    """Each reading 0.6 kPa lower and the first as low again at the end: no leak. Without that reading, leaks."""
    readings = (19.5, 18.9, 18.3, 17.6)
    assert answer(*readings)["outcome"] == "leak"
    assert "Read the motor inlet again at the end." in " ".join(answer(*readings)["notes"])
    assert answer(*readings, first_again=17.5)["outcome"] == "cannot-tell"
    assert not any("again at the end" in note for note in answer(*readings, first_again=17.5)["notes"])


def test_a_loss_counts_beyond_what_the_motor_fell() -> None:
    """2u + f = 0.5 + 1.2 kPa: 1.69 kPa is not certain, 1.71 kPa is; the range of the loss begins at nothing."""
    assert answer(19.5, 17.81, 17.8, 17.8, first_again=18.3)["outcome"] == "cannot-tell"
    found = answer(19.5, 17.79, 17.78, 17.78, first_again=18.3)
    assert found["outcome"] == "leak" and "between the motor inlet and the tank port" in found["answer"]
    lost = found["figures"]["lost"]
    assert (lost["value"], lost["low"], lost["high"]) == pytest.approx((1.71, 0.01, 2.21))
    assert any(caution.startswith("The motor's vacuum sank by 1.2 kPa") for caution in found["cautions"])
    alone = answer(19.5, 17.79, 17.78, 17.78)["figures"]["hole"]
    assert found["figures"]["hole"]["low"] < alone["low"] and found["figures"]["hole"]["high"] > alone["high"]


def test_a_first_station_that_reads_the_same_again_changes_nothing() -> None:
    for again in (19.5, 19.9):
        assert answer(19.5, 19.3, 15.0, 14.9, first_again=again)["answer"] == answer(19.5, 19.3, 15.0, 14.9)["answer"]


def test_a_weak_motor_beside_a_sinking_battery_is_not_judged() -> None:
    assert answer(15.0, 14.8, 14.7, 14.6)["outcome"] == "motor-weak"
    sunk = answer(15.0, 14.5, 14.1, 13.8, first_again=13.6)
    assert sunk["outcome"] == "cannot-tell" and "Charge the battery" in sunk["answer"]


def test_a_motor_is_weak_beyond_twice_the_error() -> None:
    """Nine tenths of 20 kPa less 2u = 17.5 kPa: a gauge that is off by its error at every reading misleads nobody."""
    assert answer(17.55, 17.5)["outcome"] == "path-sound"
    assert "The motor may be a little weak; this gauge cannot tell." in answer(17.55, 17.5)["cautions"]
    assert answer(17.45, 17.4)["outcome"] == "motor-weak"


AGAIN = "a second reading of the first sealed station, where that one was read by gauge"


@pytest.mark.parametrize(("readings", "again", "got", "takes"), [
    (survey(17.0, 16.8), 17.6, "17.6 kPa", "a reading no higher than the first one; repeat the motor inlet"),
    (survey("strong", "weak"), 19, "19 kPa", AGAIN),
    (survey(8.9, 8.4, state="flowing"), 8.9, "8.9 kPa", AGAIN),
    (survey(19, 18), "-1 kPa", "-1 kPa", "a vacuum from 0 to 101 kPa"),
])
def test_refused(readings: list[dict], again: float | str, got: str, takes: str) -> None:
    """A first station that comes back is read again, as two swapped readings would show; others have no meaning."""
    assert calculate(ID, {"readings": readings, "first_again": again}) == {
        "refused": [{"field": "first_again", "got": got, "takes": takes}]}
