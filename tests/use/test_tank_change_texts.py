"""What a change to the tank is called and said to be, for which tanks it is tried, and by which course it is judged."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.car import Pickup, Tank
from planner.driving.trace import Trace
from planner.event import Per
from planner.physics.tank import Box, LyingCylinder, UprightCylinder, WithSump
from planner.use.starving import starving_floor
from planner.use.tank_changes import BAFFLED_DAMPING, pickup_places, tank_changes, turned, with_sump
from tests.cars import CAR
from tests.use.test_starving import FULL, sketch

CORNER = [sketch((2, FULL, 0.6, 0.0))]
UNKNOWN = [Trace(np.array([0.0, 20.0]), np.array([100e3, 100e3]), None, None, np.array([True]))]


def test_each_change_says_what_it_is() -> None:
    assert {change.name: change.text for change in tank_changes(CAR, CORNER)} == {
        "pickup moved": "the pickup at the best place found on the tank's floor",
        "tank turned": "the tank turned by 90 degrees, its pickup with it",
        "baffles": f"baffles, taken as a damping of 0.3 instead of {CAR.tank.damping:g}",
        "low sump": "a box 40 mm deep below the floor, the pickup in it",
    }


def test_a_tank_damped_as_with_baffles_is_offered_none() -> None:
    car = replace(CAR, tank=replace(CAR.tank, damping=BAFFLED_DAMPING))
    assert "baffles" not in {change.name for change in tank_changes(car, CORNER)}


@pytest.mark.parametrize("per", ["run", "lap"])
def test_a_course_of_unknown_cornering_is_judged_by_its_own_kind_of_event(per: Per) -> None:
    """Runs are assumed to corner less hard than laps, so today's floor and every other one are lower."""
    today = starving_floor(CAR, UNKNOWN, per).volume
    for change in tank_changes(CAR, UNKNOWN, per):
        floor = starving_floor(replace(CAR, tank=change.tank), UNKNOWN, per).volume
        assert (change.floor, change.gain) == (floor, pytest.approx(today - floor))
    assert starving_floor(CAR, UNKNOWN, "run").volume < starving_floor(CAR, UNKNOWN, "lap").volume


def test_a_cylinder_lying_across_is_turned_to_lie_along() -> None:
    assert [tank.shape for tank in turned(Tank(LyingCylinder(0.1, 0.3, "y")))] == [LyingCylinder(0.1, 0.3, "x")] * 2


def test_a_sump_stands_within_all_four_walls_with_the_pickup_over_it() -> None:
    for ahead in (-0.19, 0.19):
        for left in (-0.14, 0.14):
            tank = with_sump(Tank(Box(0.4, 0.3, 0.1), pickup=Pickup(ahead, left, 0.01)))
            assert tank is not None
            assert isinstance(tank.shape, WithSump)
            place = np.sign(ahead) * 0.16, np.sign(left) * 0.11
            assert (tank.shape.ahead, tank.shape.left) == pytest.approx(place)
            assert (tank.pickup.ahead, tank.pickup.left) == pytest.approx(place)


def test_a_pickup_near_the_lid_finds_no_place_where_the_floor_leaves_no_room() -> None:
    """Off the middle of a lying cylinder the floor rises and the lid falls: 0.15 m above the floor only the middle."""
    lying = Tank(LyingCylinder(0.2, 0.4, "x"), pickup=Pickup(0.0, 0.0, 0.15))
    places = list(pickup_places(lying))
    assert {round(place.left, 6) for place in places} == {-0.045, 0.0, 0.045}
    for place in places:
        half = (0.01 - place.left**2) ** 0.5
        assert place.height == pytest.approx(0.1 - half + 0.15)
        assert place.height < 0.1 + half


@pytest.mark.parametrize("side", [1, -1])
def test_the_pickup_is_moved_to_where_every_corner_throws_the_fluid(side: int) -> None:
    """In left-hand corners alone (ay > 0) that is the right; no place of the grid gives a lower floor than the best."""
    corner = [sketch((2, FULL, 0.6 * side, 0.0))]
    car = replace(CAR, tank=Tank(UprightCylinder(0.24, 0.15), pickup=Pickup(0.0, 0.10 * side, 0.01)))
    moved = {change.name: change for change in tank_changes(car, corner)}["pickup moved"]
    floors = [
        starving_floor(replace(car, tank=replace(car.tank, pickup=place)), corner).volume
        for place in pickup_places(car.tank)
    ]
    assert moved.floor == pytest.approx(min(floors), rel=0.02)
    assert moved.tank.pickup.left * side < 0
