"""Plain data for the slosh page: the cut at a moment, depth over the pickup in time, what changes would gain."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from planner.car import Pickup
from planner.day.slosh import slosh_json
from planner.day.slosh_picture import MOST_POINTS, depth_over_time, surface_picture, tank_changes_json
from planner.physics.surface import STANDARD_GRAVITY, depth_over
from planner.use.starving import starving_floor
from tests.cars import CAR
from tests.tanks import polygon_area
from tests.use.test_starving import FULL, sketch, weave

G = STANDARD_GRAVITY
TANK = replace(CAR.tank, pickup=Pickup(-0.12, 0.05, 0.008))


def test_the_picture_holds_the_volume_and_the_depth_of_the_model() -> None:
    volume = 0.4 * TANK.capacity
    picture = surface_picture(TANK, volume, 0.5 * G, 0.0)
    area = polygon_area(np.array(picture["fluid_mm"]))
    assert area == pytest.approx(volume / TANK.shape.width * 1e6, rel=1e-3)
    point = (TANK.pickup.ahead, TANK.pickup.left, TANK.pickup.height)
    assert picture["depth_mm"] == pytest.approx(
        1e3 * float(depth_over(TANK.shape, point, volume, ax=0.5 * G)), abs=0.01
    )
    (u1, z1), (u2, z2) = picture["surface_mm"]
    assert (z2 - z1) / (u2 - u1) == pytest.approx(-0.5, abs=1e-4)
    assert picture["pickup_mm"] == [-120.0, 8.0]
    assert picture["covered"]


def test_from_the_rear_a_left_hand_corner_lowers_the_left_and_the_line_passes_over_the_pickup_by_the_depth() -> None:
    picture = surface_picture(TANK, 0.3 * TANK.capacity, -0.2 * G, 0.8 * G, "from the rear")
    (u1, z1), (u2, z2) = picture["surface_mm"]
    assert z2 < z1
    over = z1 + (z2 - z1) * (50.0 - u1) / (u2 - u1)
    assert over - 8.0 == pytest.approx(picture["depth_mm"], abs=0.02)
    assert picture["horizontal"] == "to the car's left"


def test_on_level_ground_no_margin_is_asked_for() -> None:
    calm = surface_picture(TANK, 0.0009, 0.0, 0.0)
    lively = surface_picture(TANK, 0.0009, 0.06 * G, 0.0)
    assert (calm["asked_mm"], calm["covered"]) == (0.0, True)
    assert (lively["asked_mm"], lively["covered"]) == (10.0, True)
    assert not surface_picture(TANK, 0.0004, 0.0, 0.0)["covered"]


def test_depth_in_time_falls_below_the_margin_only_below_the_floor() -> None:
    trace = weave(7, 30.0, 0.7)
    floor = starving_floor(CAR, [trace]).volume
    for volume, starves in ((1.02 * floor, False), (0.9 * floor, True)):
        rows = depth_over_time(CAR, trace, volume)
        assert len({len(values) for values in rows.values()}) == 1
        assert len(rows["time_s"]) == 1500 <= MOST_POINTS
        assert max(longest_spell(rows, "still", ""), longest_spell(rows, "moving", "moving_")) >= 5 or not starves
        assert max(longest_spell(rows, "still", ""), longest_spell(rows, "moving", "moving_")) < 5 or starves


def longest_spell(rows: dict, surface: str, prefix: str) -> int:
    """Rows in a line in which fluid flows and the pickup is under less than its margin."""
    pull = np.hypot(rows[f"{prefix}longitudinal_g"], rows[f"{prefix}lateral_g"])
    short = np.array(rows[f"{surface}_mm"]) < np.where(pull > 0.05, 10.0 - 0.06, -0.06)
    longest = run = 0
    for bare in short & (np.array(rows["flow_mL_min"]) > 0):
        run = run + 1 if bare else 0
        longest = max(longest, run)
    return longest


def test_a_gap_is_a_row_without_values() -> None:
    trace = weave(2, 10.0)
    covered = trace.covered.copy()
    covered[200] = False
    rows = depth_over_time(CAR, replace(trace, covered=covered), 0.5 * CAR.tank.capacity)
    holes = [k for k, depth in enumerate(rows["still_mm"]) if depth is None]
    assert len(holes) == 1
    assert rows["time_s"][holes[0]] == pytest.approx(trace.time[201])
    assert rows["time_s"] == sorted(rows["time_s"])


def test_changes_say_what_they_gain_in_words() -> None:
    result = tank_changes_json(CAR, [sketch((5, FULL, 0.8, 0.0), (5, FULL, -0.8, 0.0))])
    assert json.loads(json.dumps(result, allow_nan=False)) == result
    for change in result["changes"]:
        gain = result["unusable_slosh_L"] - change["unusable_slosh_L"]
        assert change["gain_L"] == pytest.approx(gain, abs=2e-3)
        word = "Gains nothing" if abs(gain) < 0.004 else "Gains" if gain > 0 else "Costs"
        assert change["text"].startswith(word)
    assert not result["assumed"]
    assert tank_changes_json(CAR)["assumed"]


def test_the_answer_names_floor_and_washing_band() -> None:
    result = slosh_json(CAR, [weave(3, 20.0, 0.8)])
    assert result["reason"] in result["answer"]
    low, high = result["washing_band_L"]
    assert f"between {low:.1f} and {high:.1f} L" in result["answer"]


def test_recordings_without_acceleration_beside_others_are_told() -> None:
    known = sketch((5, FULL, 0.4, 0.0))
    one_axis = replace(known, longitudinal=None)
    unknown = replace(known, lateral=None, longitudinal=None)
    said = slosh_json(CAR, [one_axis, unknown])["notices"]
    assert any("1 of 2 recordings hold no acceleration" in notice for notice in said)
    assert any("no longitudinal acceleration" in notice for notice in said)
