"""Edge life: the fit and its range against scipy, dates, every outcome and refusal.

How often the true hour lies in the range is shown by the rig: tests/rig/test_edge_marks.py.
"""

import datetime
import math

import numpy as np
import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from calculators import calculate, calculator, edge_life
from calculators.wear import with_floors
from tests.calculators.laws import answered, odd_inputs, refusals

from .outside import held

UNITS = pint.UnitRegistry()
ID = "edge-life"
EXAMPLE = calculator(ID).example
FIXED = settings(derandomize=True, max_examples=300, deadline=None)


def rows(*pairs):
    return [{"hours": hours, "flat": flat} for hours, flat in pairs]


def figures(result):
    return {name: figure["value"] for name, figure in result["figures"].items()}


def span(result, name):
    return tuple(result["figures"][name].get(key) for key in ("low", "value", "high"))


# Readings that grow with the hours: a wear rate, hours apart, and a scatter on each flat.
growing = st.builds(
    lambda a, hours, scatter: [(t, max(0.0, a * math.sqrt(t) * (1 + s))) for t, s in zip(hours, scatter, strict=False)],
    st.floats(0.02, 0.6),
    st.lists(st.floats(1, 900), min_size=2, max_size=9, unique_by=lambda t: round(t, 1)).map(sorted),
    st.lists(st.floats(-0.08, 0.08), min_size=9, max_size=9))


def test_the_worked_example():
    # By hand: 26.951/250 = 0.1078 mm/sqrt(h), (2/0.1078)^2 = 344 h, 90 % range 310 to 384 h with 3 degrees
    # of freedom; floors that differ by 10 % make it 301 to 397 h.
    result = answered(ID, EXAMPLE)
    assert result["outcome"] == "fit-for-use"
    assert span(result, "edge_hours") == pytest.approx((301.3, 344.2, 397.0), abs=0.2)
    assert span(result, "hours_left") == pytest.approx((201.3, 244.2, 297.0), abs=0.2)
    found = figures(result)
    assert found["used_share"] == pytest.approx((1.1 / 2) ** 2)
    assert found["straight_line_hours"] == pytest.approx(100 * 2 / 1.1)
    assert found["blade_hours_left"] == pytest.approx(found["hours_left"] + 2 * found["edge_hours"])
    assert result["workings"][0] == {"formula": "a = Σ(f·√t)/Σt", "numbers": "26.951/250", "result": "0.1078 mm/√h"}
    assert result["answer"] == ("This edge is good for about 244 hours more. Turn the blade by 19 January 2027, and have a "
                                "new blade on the shelf by 29 May 2027.")
    assert result["notes"][0].startswith("The forecast reaches 3.4 times as far as the readings.")


def test_the_dates_of_the_worked_example():
    # Counted on a calendar: 244 h at 30 h a week are 57 days, 201 h are 47, 804 h are 187; a week's delivery.
    assert answered(ID, EXAMPLE)["tables"]["dates"] == [
        {"what": "turn_by", "date": "2027-01-19", "early": "2027-01-09", "late": "2027-01-31"},
        {"what": "renew_by", "date": "2027-06-28", "early": "2027-05-29", "late": "2027-08-04"},
        {"what": "order_by", "date": "2027-06-21", "early": "2027-05-22", "late": "2027-07-28"}]


@FIXED
@given(readings=growing, limit=st.floats(0.5, 5))
def test_fit_and_range_agree_with_scipy(readings, limit):
    held("edge-life", "edge_hours hours_left blade_hours_left", "scipy: curve_fit and stats.t", limit=limit)
    # Oracle: scipy.optimize.curve_fit (covariance from the residuals) and scipy.stats.t.
    hours, flats = (np.array(column) for column in zip(*readings, strict=True))
    (a,), ((variance,),) = optimize.curve_fit(lambda t, a: a * np.sqrt(t), hours, flats, p0=[0.1], xtol=1e-14,
                                              ftol=1e-14, gtol=1e-14)
    half = stats.t.ppf(0.95, len(hours) - 1) * math.sqrt(variance)
    half = max(half, stats.norm.ppf(0.95) * 1e-6 / math.sqrt(12) / math.sqrt(hours.sum()))
    wear = edge_life.fit([(t * 3600, f / 1000) for t, f in readings], 1e-9)
    scale = math.sqrt(3600) * 1000
    assert wear.a * scale == pytest.approx(a, rel=1e-6)
    assert (wear.high - wear.a) * scale == pytest.approx(half, rel=1e-5, abs=1e-10)
    result = answered(ID, {"readings": rows(*readings), "flat_limit": limit, "flat_resolution": 0.001,
                           "floors": 0})
    if "refused" in result:
        assert list(refusal["field"].split("/")[0] for refusal in result["refused"]) == ["readings"]
        return
    low, value, high = span(result, "edge_hours")
    assert value == pytest.approx((limit / a) ** 2, rel=1e-5)
    held("edge-life", "reach", "scipy: curve_fit", limit=limit)
    found = figures(result)
    assert found["reach"] == pytest.approx((limit / a) ** 2 / hours.max(), rel=1e-5)
    left = max(0.0, (limit / a) ** 2 - hours.max())
    assert found["hours_left"] == pytest.approx(left, rel=1e-4, abs=1e-3 * hours.max())
    assert found["blade_hours_left"] == pytest.approx(found["hours_left"] + 3 * found["edge_hours"], rel=1e-8)
    # The last flat read alone: the area used goes with its square, the habit with its width.
    held("edge-life", "used_share straight_line_hours", "definition, on the last flat read", limit=limit)
    last, flat = max(readings)
    assert found["used_share"] == pytest.approx((flat / limit) ** 2, rel=1e-8)
    assert found["straight_line_hours"] == pytest.approx(last * limit / flat, rel=1e-8)
    least = stats.norm.ppf(0.95) * 1e-3 / math.sqrt(12) / math.sqrt(hours.sum())
    assert low == pytest.approx((limit / (a + max(half, least))) ** 2, rel=1e-4)
    assert high is None or high == pytest.approx((limit / (a - max(half, least))) ** 2, rel=1e-3)


@FIXED
@given(readings=growing, resolution=st.floats(0.01, 0.5))
def test_the_range_is_never_narrower_than_the_resolution_allows(readings, resolution):
    # Uniform rounding to r has the standard deviation r/sqrt(12); NIST TN 1297, type B.
    wear = edge_life.fit([(t * 3600, f / 1000) for t, f in readings], resolution / 1000)
    least = 1.6448536 * resolution / 1000 / math.sqrt(12 * sum(t * 3600 for t, _f in readings))
    assert wear.high - wear.a >= least * (1 - 1e-7)
    assert wear.a - wear.low == pytest.approx(wear.high - wear.a)


@FIXED
@given(times=st.lists(st.floats(1, 900), min_size=1, max_size=8), rate=st.floats(0.05, 0.3), differ=st.floats(0, 0.5))
def test_floors_to_come_widen_the_range_as_a_walk_of_rates_does(times, rate, differ):
    # Oracle: numpy, the covariance of a random walk at the readings' hours and at the hours of the limit.
    end = (2 / rate) ** 2
    walk = np.array([*times, end])
    weights = np.array([1 / sum(times)] * len(times) + [-1 / end])
    apart = math.sqrt(max(0.0, weights @ np.minimum.outer(walk, walk) @ weights))
    exact = [(t * 3600, rate * math.sqrt(t) / 1000) for t in times]
    bare = edge_life.fit(exact, 1e-4)
    wear = with_floors(bare, exact, 2e-3, differ)
    floors = stats.norm.ppf(0.95) * differ / 2 * min(1, math.sqrt(30) * apart)
    assert wear.floors / bare.a == pytest.approx(floors, rel=1e-6, abs=1e-7)
    assert wear.high - wear.a == pytest.approx(math.hypot(bare.high - bare.a, wear.floors), rel=1e-9)
    held("edge-life", "edge_hours", "numpy: covariance of a random walk", floors=differ)


@FIXED
@given(hours=st.floats(1, 2000), flat=st.floats(0.05, 3), limit=st.floats(0.5, 5), resolution=st.floats(0.01, 0.5))
def test_one_reading_may_be_off_by_its_resolution(hours, flat, limit, resolution):
    result = answered(ID, {"readings": rows((hours, flat)), "flat_limit": limit, "flat_resolution": resolution, "floors": 0})
    if "refused" in result:
        assert (limit / flat) ** 2 * hours > 0.99e6
        return
    low, value, high = span(result, "edge_hours")
    assert value == pytest.approx(hours * (limit / flat) ** 2, rel=1e-8)
    assert low == pytest.approx(hours * (limit / (flat + resolution)) ** 2, rel=1e-8)
    if flat <= resolution:
        assert high is None
        assert any("to give an upper end" in note for note in result["notes"])
    elif high is not None:
        assert high == pytest.approx(hours * (limit / (flat - resolution)) ** 2, rel=1e-6)


@FIXED
@given(readings=growing, scale=st.floats(0.2, 5), limit=st.floats(0.5, 3))
def test_laws(readings, scale, limit):
    wear = edge_life.fit([(t * 3600, f / 1000) for t, f in readings], 1e-4)
    hours = edge_life.hours_at(limit / 1000, wear)
    # Half the width after a quarter of the life; hours in the same proportion scale the life; order is nothing.
    if hours.value:
        assert edge_life.hours_at(limit / 2000, wear).value == pytest.approx(hours.value / 4)
        longer = edge_life.fit([(scale * t * 3600, f / 1000) for t, f in readings], 1e-4)
        assert longer.a == pytest.approx(wear.a / math.sqrt(scale))
    back = edge_life.fit([(t * 3600, f / 1000) for t, f in reversed(readings)], 1e-4)
    assert back == wear or back.a == pytest.approx(wear.a, rel=1e-14)


@FIXED
@given(readings=growing, limit=st.floats(0.5, 3), order=st.randoms(use_true_random=False))
def test_the_answer_does_not_depend_on_order_or_units(readings, limit, order):
    mixed = list(readings)
    order.shuffle(mixed)
    plain = answered(ID, {"readings": rows(*readings), "flat_limit": limit})
    again = answered(ID, {"readings": rows(*mixed), "flat_limit": limit})
    if "refused" not in plain:
        assert again == plain
    inches = [(f"{t!r} h", f"{UNITS.Quantity(f, 'mm').to('inch').m!r} in") for t, f in readings]
    typed = answered(ID, {"readings": rows(*inches), "flat_limit": f"{limit / 10!r} cm"})
    if "refused" not in plain and "refused" not in typed:
        for name, value in figures(plain).items():
            assert figures(typed)[name] == pytest.approx(value, rel=1e-9)


@FIXED
@given(days=st.integers(0, 9000), week=st.floats(1, 168), lead=st.integers(0, 200),
       start=st.dates(datetime.date(1990, 1, 1), datetime.date(2100, 1, 1)))
def test_dates_are_the_last_whole_days_before_the_limit(days, week, lead, start):
    held("edge-life", "dates", "Python's calendar", week=week, lead=lead)
    # One reading at half the width leaves three times its hours; Python's own calendar is the oracle.
    hours = days / 7 * week / 3
    assume(0.5 <= hours <= 40000)
    result = answered(ID, {"readings": rows((hours, 1)), "flat_limit": 2, "hours_per_week": week,
                           "read_on": start.isoformat(), "lead_time": lead, "edge_now": 1, "edges": 2})
    dates = {row["what"]: row for row in result["tables"]["dates"]}
    assert dates["turn_by"]["date"] == (start + datetime.timedelta(days=days)).isoformat()
    order, renew = (datetime.date.fromisoformat(dates[name]["date"]) for name in ("order_by", "renew_by"))
    assert renew - order == datetime.timedelta(days=lead)
    for row in dates.values():
        assert row["early"] <= row["date"] <= (row["late"] or "9999")


@pytest.mark.parametrize(("change", "outcome", "answer"), [
    ({}, "fit-for-use", "This edge is good for about 244 hours more. Turn the blade by 19 January 2027, and have a new "
     "blade on the shelf by 29 May 2027."),
    ({"edge_now": 4}, "fit-for-use", "This edge, the last, is good for about 244 hours more. Renew the blade by 19 "
     "January 2027, and have the new one on the shelf by 9 January 2027."),
    ({"read_on": None}, "fit-for-use", "This edge is good for about 244 hours more."),
    ({"hours_per_week": 168, "readings": rows((100, 1.5)), "read_on": None}, "turn-soon",
     "Turn the blade within the week: this edge is good for about 78 hours more."),
    ({"readings": rows((336, 2), (300, 1.88)), "edge_now": 4}, "renew-now",
     "Renew the blade now: its last edge has a flat of 2 mm, and the limit is 2 mm."),
    ({"readings": rows((100, 1.85), (200, 1.95)), "edge_now": 4, "flat_limit": 2}, "renew-now",
     "Renew the blade now: by its wear the last edge reached the limit of 2 mm about 30 hours ago."),
    ({"readings": rows((100, 1.85), (200, 1.95)), "edge_now": 3, "read_on": None}, "turn-now",
     "Turn the blade now: by its wear this edge reached the limit of 2 mm about 30 hours ago."),
    ({"readings": rows((150, 1.3), (330, 1.95)), "edge_now": 4, "read_on": None}, "turn-soon",
     "Renew the blade within the week: its last edge is good for about 20 hours more."),
    ({"readings": rows((300, 2.1)), "edge_now": 1, "read_on": None}, "turn-now",
     "Turn the blade now: this edge has a flat of 2.1 mm, and the limit is 2 mm."),
])
def test_outcomes(change, outcome, answer):
    result = answered(ID, EXAMPLE | change)
    assert (result["outcome"], result["answer"]) == (outcome, answer)


def test_within_a_week_of_use_is_soon_and_beyond_is_not():
    # One reading at sqrt(1/2) of the limit: as many hours left as run.
    for week, outcome in ((50, "turn-soon"), (49.9, "fit-for-use")):
        result = answered(ID, {"readings": rows((50, 2 * math.sqrt(0.5))), "flat_limit": 2, "hours_per_week": week})
        assert result["outcome"] == outcome


def test_without_dates_a_note_says_what_to_give():
    for missing in ("read_on", "hours_per_week"):
        result = answered(ID, EXAMPLE | {missing: None})
        assert result["tables"] == {}
        assert "For dates, give the day of the last reading and the hours a week." in result["notes"]


def test_the_last_edge_has_no_day_to_turn_and_order_is_urgent_when_past():
    result = answered(ID, EXAMPLE | {"edge_now": 4, "readings": rows((310, 2.2))})
    assert [row["what"] for row in result["tables"]["dates"]] == ["renew_by", "order_by"]
    assert result["tables"]["dates"][1]["date"] == "2026-11-16"
    assert "Order a new blade now if none is on the shelf." in result["cautions"]
    assert figures(result)["blade_hours_left"] == 0


def test_dates_beyond_the_calendar_are_left_out():
    result = answered(ID, EXAMPLE | {"read_on": "9999-12-30"})
    assert {row["date"] for row in result["tables"]["dates"]} == {None}
    result = answered(ID, EXAMPLE | {"hours_per_week": 0.001})
    assert result["answer"] == "This edge is good for about 244 hours more."
    assert "A date more than a hundred years off is not given." in result["notes"]


def test_readings_of_a_kind():
    # Typed twice counts once; the same hours at two places of the blade are two readings.
    twice = answered(ID, {"readings": rows((50, 0.8), (50, 0.8))})
    once = answered(ID, {"readings": rows((50, 0.8))})
    inches = answered(ID, {"readings": rows((50, "0.508 mm"), ("3000 min", "0.02 in"))})
    assert inches["figures"] == answered(ID, {"readings": rows((50, 0.508))})["figures"]
    assert twice["figures"] == once["figures"]
    assert "The same hours and width were given more than once and are counted once." in twice["notes"]
    places = answered(ID, {"readings": rows((50, 0.8), (50, 1.0))})
    assert figures(places)["edge_hours"] == pytest.approx(50 * (2 / 0.9) ** 2)
    assert figures(places)["used_share"] == pytest.approx(0.45**2)


def test_readings_that_agree_too_well_are_said_to():
    note = "The readings agree better than they can be read. The range is what reading to 0.1 mm allows."
    exact = answered(ID, {"readings": rows((25, 0.5), (100, 1.0))})
    assert note in exact["notes"]
    assert exact["workings"][2]["formula"] == "90 % range of a = ± 1.645·(resolution/√12)/√Σt"
    scattered = answered(ID, EXAMPLE)
    assert note not in scattered["notes"]
    assert "Student's t (degrees of freedom: 3)" in scattered["workings"][2]["formula"]


def test_a_narrower_flat_is_cautioned_and_a_shrinking_edge_refused():
    result = answered(ID, {"readings": rows((25, 0.5), (50, 1.1), (60, 0.8), (100, 1.2))})
    assert result["cautions"][0] == ("The flat at 60 h is narrower than the one at 50 h. A flat never shrinks: measure "
                                     "it again.")
    assert refusals(ID, {"readings": rows((100, 0.5), (25, 1.1))}) == {
        "readings/0/flat": "a flat that grows with the hours: these shrink by 0.6 mm up to 100 h. Measure again, and "
                           "give the readings of one edge only"}


def test_far_forecasts_are_warned_of():
    far = "The forecast reaches far beyond the readings. Read the edge again before you rely on it."
    assert far in answered(ID, {"readings": rows((20, 0.5))})["cautions"]
    assert far not in answered(ID, EXAMPLE)["cautions"]


@pytest.mark.parametrize(("change", "path", "takes"), [
    ({"edge_now": 5}, "edge_now", "a whole number from 1 to 4, the edges of this blade"),
    ({"edge_now": 0}, "edge_now", "a whole number from 1 to 8"),
    ({"edge_now": 1.5}, "edge_now", "a whole number from 1 to 8"),
    ({"edges": 9}, "edges", "a whole number from 1 to 8"),
    ({"readings": rows((0, 0.5))}, "readings/0/hours", "hours from 0.1 to 50\u202f000 h"),
    ({"readings": rows((10, -0.5))}, "readings/0/flat", "a width from 0 to 20 mm"),
    ({"readings": rows((10, 0), (20, 0))}, "readings/1/flat",
     "a flat wider than 0: an edge without wear has no forecast yet"),
    ({"readings": rows((10, 1e-4))}, "readings/0/flat",
     "a flat wide enough to measure wear by: run the edge on and read it again"),
    ({"readings": []}, "readings", "a list of 1 to 50 rows, each with hours, flat"),
    ({"readings": [{"hours": 3}]}, "readings/0/flat", "a width from 0 to 20 mm"),
    ({"readings": "25 0.5"}, "readings", "a list of 1 to 50 rows, each with hours, flat"),
    ({"flat_limit": 0}, "flat_limit", "a width from 0.1 to 20 mm"),
    ({"hours_per_week": 0}, "hours_per_week", "a running time above 0, to 168 h/week"),
    ({"hours_per_week": 169}, "hours_per_week", "a running time above 0, to 168 h/week"),
    ({"read_on": "23 Nov 2026"}, "read_on", "a date written year-month-day, such as 2026-11-25"),
    ({"lead_time": -1}, "lead_time", "a time from 0 to 730 d"),
    ({"flat_resolution": 0}, "flat_resolution", "a resolution from 0.001 to 2 mm"),
])
def test_refusals(change, path, takes):
    assert refusals(ID, EXAMPLE | change) == {path: takes}


def test_all_refusals_at_once():
    assert set(refusals(ID, {"readings": [{"hours": 0}, {"flat": "x"}], "edges": 0, "color": 1})) == {
        "color", "readings/0/hours", "readings/0/flat", "readings/1/hours", "readings/1/flat", "edges"}


def test_every_example_and_row_of_the_table_is_answered_or_refused():
    one = calculator(ID)
    seen = {answered(ID, inputs).get("outcome") for _name, inputs in one.examples} | {
        answered(ID, one.example)["outcome"]}
    assert seen == set(dict(one.outcomes)) | {None}
    for _label, inputs in one.lookup.rows:
        assert answered(ID, one.example | inputs)["outcome"]


@settings(derandomize=True, max_examples=1000, deadline=None)
@given(inputs=odd_inputs(calculator(ID)))
def test_odd_inputs_are_answered_or_refused(inputs):
    answered(ID, inputs)


def test_asking_twice_gives_the_same():
    assert calculate(ID, EXAMPLE) == calculate(ID, dict(reversed(EXAMPLE.items())))


@FIXED
@given(readings=growing, more=st.floats(1, 500))
def test_a_longer_run_never_leaves_more_edge(readings, more):
    # The same wear law, read once more after a longer run: what is left is less, what is used is more.
    hours, flat = max(readings)
    later = (hours + more, flat * math.sqrt((hours + more) / hours))
    rows = [{"hours": t, "flat": f} for t, f in readings]
    before = answered(ID, {"readings": rows, "flat_limit": 9})
    after = answered(ID, {"readings": [*rows, {"hours": later[0], "flat": later[1]}], "flat_limit": 9})
    assume("refused" not in before and "refused" not in after)
    one, two = (result["figures"] for result in (before, after))
    assert two["used_share"]["value"] >= one["used_share"]["value"] * (1 - 1e-9)
    # One fixed curve (a single reading): hours left fall by just the hours run.
    single = [answered(ID, {"readings": [{"hours": t, "flat": f}], "flat_limit": 9})["figures"]["hours_left"]["value"]
              for t, f in ((hours, flat), later)]
    assert single[1] <= single[0] + 1e-6
