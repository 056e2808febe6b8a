"""Threads: every row of the reference tables, the ways in which people write them, and refusals."""

import csv
from fractions import Fraction
from pathlib import Path

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import quantity, thread

REFERENCE = Path(__file__).resolve().parents[1] / "reference"
UNITS = pint.UnitRegistry()


def rows(name):
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows("threads.csv"), ids=lambda row: row["designation"])
def test_reference_threads(row):
    # Source: the row's own.
    found = thread.parse(row["designation"])
    assert found.pitch == pytest.approx(float(row["pitch_mm"]) / 1000, rel=1e-5)
    assert found.designation == row["designation"]


@pytest.mark.parametrize("row", rows("threads_library.csv"), ids=lambda row: row["size"])
def test_every_thread_of_the_library(row):
    # Source: the row's own; rows whose pitch is in neither ISO 261 nor ASME B1.1 are left out:
    # M1.5-0.35, M2-0.45, M3-0.6, M3-0.45, M4-0.75, M5-1, M5-0.9, M5.5-0.9, M19-2.5, M21-2, M1.8 nuts, #4-36.
    found = thread.parse(row["size"])
    if row["pitch_mm"]:
        assert found.pitch == pytest.approx(float(row["pitch_mm"]) / 1000, rel=1e-12)
        assert found.diameter == pytest.approx(float(row["diameter_mm"]) / 1000, rel=1e-12)
    else:
        assert found.pitch == pytest.approx(UNITS.Quantity(1 / Fraction(row["threads_per_inch"]), "inch").to("m").m)


@pytest.mark.parametrize(("text", "name", "diameter", "pitch"), [
    # Numbered sizes: 0.060 in + n * 0.013 in (ASME B1.1); the rest by the designation itself.
    ("m10", "M10", 10, 1.5), (" M 10 ", "M10", 10, 1.5), ("M10 x 1,25", "M10x1.25", 10, 1.25),
    ("M10×1.25", "M10x1.25", 10, 1.25), ("M10 * 1.25", "M10x1.25", 10, 1.25), ("M10X1.50", "M10", 10, 1.5),
    ("M10-1.25", "M10x1.25", 10, 1.25), ("M10 1.25", "M10x1.25", 10, 1.25), ("M10-6H", "M10", 10, 1.5),
    ("M10 x 1.25 - 6g", "M10x1.25", 10, 1.25), ("М10х1,25", "M10x1.25", 10, 1.25), ("ｍ１０", "M10", 10, 1.5),
    ("M10\u00a0x\u00a01.25", "M10x1.25", 10, 1.25), ("M12 x 1.75 mm", "M12", 12, 1.75),
    ('3/8"-16', "3/8-16 UNC", 9.525, 25.4 / 16), ("3/8″ – 16 unc", "3/8-16 UNC", 9.525, 25.4 / 16),
    ("3/8 UNF", "3/8-24 UNF", 9.525, 25.4 / 24), ("UNC 3/8", "3/8-16 UNC", 9.525, 25.4 / 16),
    ("3/8x16", "3/8-16 UNC", 9.525, 25.4 / 16), ("0.375-16", "3/8-16 UNC", 9.525, 25.4 / 16),
    ("½-13", "1/2-13 UNC", 12.7, 25.4 / 13), ("1/2-20UNF-2A", "1/2-20 UNF", 12.7, 1.27),
    ("#10-24", "#10-24 UNC", 0.19 * 25.4, 25.4 / 24), ("No. 10-32", "#10-32 UNF", 0.19 * 25.4, 25.4 / 32),
    ("10-24", "#10-24 UNC", 0.19 * 25.4, 25.4 / 24), ("1-8", "1-8 UNC", 25.4, 25.4 / 8),
    ("1-64", "#1-64 UNC", 0.073 * 25.4, 25.4 / 64),
])
def test_ways_of_writing(text, name, diameter, pitch):
    found = thread.parse(text)
    assert found.designation == name
    assert found.diameter == pytest.approx(diameter / 1000, rel=1e-12)
    assert found.pitch == pytest.approx(pitch / 1000, rel=1e-12)


@pytest.mark.parametrize(("text", "says"), [
    ("M10x2", "M10 is known here with a pitch of 1.5, 1.25, 1 mm; give another pitch by itself"),
    ("M5x1", "M5 is known here with a pitch of 0.8 mm; give another pitch by itself"),
    ("M13", "M13 is not a size known here; give the pitch by itself"),
    ("M15", "M15 has no coarse pitch here; say 1.5 mm, or give another pitch by itself"),
    ("3/8-16 UNF", "this size is known here as 3/8-16 UNC, 3/8-24 UNF, 3/8-32 UNEF; give another pitch by itself"),
    ("3/8", "this size is known here as 3/8-16 UNC, 3/8-24 UNF, 3/8-32 UNEF; give another pitch by itself"),
    ("3/0-16", "3/0 is not a size of ASME B1.1 known here"),
    ("UNC 3/8-24 UNF", "names two series, UNC and UNF"),
    ("M10 LH", "for a left-hand thread leave LH out and say which way the stem turns to go into the body"),
    ("hexagon", "not a thread that is known here"), ("", "not a thread that is known here"),
    ("M١٠", "not a thread that is known here"), ("Tr10x2", "not a thread that is known here"),
])
def test_refusals_say_what_the_size_takes(text, says):
    with pytest.raises(ValueError) as refused:
        thread.parse(text)
    assert str(refused.value) == says


EVERY = ([f"M{size}x{pitch}" for size, pitches in thread._METRIC.items() for pitch in pitches if pitch]
         + [f"{size}-{number} {series}" for size, of in thread._UNIFIED.items() for series, number in of.items()])


def test_every_thread_that_is_known_stands_in_the_library():
    # Oracle: the rows of bd_warehouse's table and the published ones, each parsed; nothing else is known.
    listed = {thread.parse(row.get("designation") or row["size"]).designation
              for name in ("threads.csv", "threads_library.csv") for row in rows(name)}
    assert {thread.parse(text).designation for text in EVERY} == listed


@pytest.mark.parametrize("text", EVERY)
def test_every_designation_reads_back_as_itself(text):
    found = thread.parse(text)
    assert thread.parse(found.designation) == found
    assert 0.05 * found.diameter < found.pitch < 0.3 * found.diameter or found.diameter > 0.014


def test_the_coarse_pitch_is_the_widest():
    for size, pitches in thread._METRIC.items():
        widths = [float(p) for p in pitches if p]
        assert widths == sorted(widths, reverse=True), size


@settings(derandomize=True, max_examples=1500, deadline=None)
@given(text=st.text(max_size=quantity.LONGEST) | st.text("mMxX#0123456789./- ,\"UNCFlh½⅜", max_size=24))
def test_any_text_is_a_thread_or_a_refusal(text):
    try:
        found = thread.parse(text)
    except ValueError as refused:
        assert str(refused) and "invalid literal" not in str(refused)
    else:
        assert thread.parse(found.designation) == found
        assert 0 < found.pitch < found.diameter
