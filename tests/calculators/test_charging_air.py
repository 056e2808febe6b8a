"""`charging-air` against EN 62485-3 as quoted in reference/battery.csv."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import calculate

from .outside import held


def figures(**inputs):
    return {name: f["value"] for name, f in calculate("charging-air", inputs)["figures"].items()}


def test_published_rows():
    held("charging-air", "air_flow vent_area keep_clear least_room", "published: EN 62485-3")
    # EN 62485-3:2014: 12 cells, 10 A gas current: 6.6 m3/h; free opening 184.8 cm2 each.
    found = figures(cells=12, gas_current="10 A")
    assert found["air_flow"] == pytest.approx(6.6) and found["vent_area"] == pytest.approx(184.8)
    assert found["keep_clear"] == 0.5 and found["least_room"] == pytest.approx(2.5 * 6.6)


@pytest.mark.parametrize("charger, low, high", [("IU", 2, 2), ("IUI", 6, 6), ("W", 5, 7)])
def test_gas_current_for_100_ah(charger, low, high):
    held("charging-air", "gas_current", "published: EN 62485-3 as quoted")
    # EN 62485-3 as quoted by a battery supplier: 2 / 6 / 5 to 7 A for each 100 Ah; the most is planned for.
    answer = calculate("charging-air", {"cells": 12, "capacity": "100 Ah", "charger": charger})
    assert answer["figures"]["gas_current"]["value"] == pytest.approx(high)
    flow = answer["figures"]["air_flow"]
    assert flow["value"] == pytest.approx(0.055 * 12 * high)
    assert flow.get("low", flow["value"]) == pytest.approx(0.055 * 12 * low)


@settings(derandomize=True, max_examples=150)
@given(st.integers(1, 120), st.floats(0.1, 500), st.integers(1, 100), st.floats(1, 1e5))
def test_batteries_add_and_changes_follow_the_room(cells, current, batteries, room):
    held("charging-air", "air_changes", "arithmetic of the standard", cells=cells, current=current, room=room)
    one = figures(cells=cells, gas_current=current, room_volume=room)
    all_ = figures(cells=cells, gas_current=current, room_volume=room, batteries=batteries)
    assert all_["air_flow"] == pytest.approx(batteries * one["air_flow"], rel=1e-8)
    assert all_["air_changes"] * room == pytest.approx(all_["air_flow"], rel=1e-8)
    outcome = calculate("charging-air", {"cells": cells, "gas_current": current, "room_volume": room})["outcome"]
    assert outcome == ("open-vents" if room >= one["least_room"] * (1 - 1e-9) else "forced-air")


@pytest.mark.parametrize("inputs, field, takes", [
    ({"cells": 12}, "gas_current", "a gas current, or a capacity and the charger's kind"),
    ({"cells": 12, "capacity": 100}, "charger", "the charger's kind (IU, IUI or W) when no gas current is given"),
    ({"gas_current": 3}, "cells", "a number of cells from 1 to 120"),
    ({"cells": 2.5, "gas_current": 3}, "cells", "a number of cells from 1 to 120"),
    ({"cells": 12, "capacity": 100, "charger": "X"}, "charger", "one of: IU, IUI, W"),
])
def test_refusals(inputs, field, takes):
    (refusal,) = calculate("charging-air", inputs)["refused"]
    assert (refusal["field"], refusal["takes"]) == (field, takes)
