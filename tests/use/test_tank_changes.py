"""Changes to the tank: each gain is the difference of two floors, and what a change means."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.car import Car, Pickup, Tank
from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump
from planner.use.starving import starving_floor
from planner.use.tank_changes import BAFFLED_DAMPING, SUMP_DEPTH, pickup_places, tank_changes, turned, with_sump
from tests.cars import CAR
from tests.use.test_starving import FULL, sketch, weave

TANK = CAR.tank
LEFT_ONLY = [sketch((6, FULL, 0.9, 0.0))]


def car_with(shape: TankShape, pickup: Pickup) -> Car:
    """The shared car with another tank."""
    return replace(CAR, tank=Tank(shape, pickup=pickup))


def test_gains_are_differences_of_floors_largest_first() -> None:
    traces = [weave(3, 20.0, 0.8)]
    changes = tank_changes(CAR, traces)
    today = starving_floor(CAR, traces).volume
    assert {change.name for change in changes} == {"pickup moved", "tank turned", "baffles", "low sump"}
    for change in changes:
        assert change.floor == starving_floor(replace(CAR, tank=change.tank), traces).volume
        assert change.gain == pytest.approx(today - change.floor)
    assert [c.gain for c in changes] == sorted((c.gain for c in changes), reverse=True)


def test_where_all_corners_are_left_hand_the_pickup_belongs_on_the_right() -> None:
    moved = {change.name: change for change in tank_changes(CAR, LEFT_ONLY)}["pickup moved"]
    assert moved.tank.pickup.left < -0.05
    assert moved.tank.pickup.height == TANK.pickup.height
    assert moved.gain > 0.2e-3


def test_moving_the_pickup_never_loses_since_today_is_a_choice() -> None:
    for seed in range(3):
        changes = {change.name: change for change in tank_changes(CAR, [weave(seed, 15.0, 0.7)])}
        assert changes["pickup moved"].gain >= 0


def test_baffles_damp_and_help_or_change_nothing() -> None:
    changes = {change.name: change for change in tank_changes(CAR, [weave(5, 20.0, 0.8)])}
    assert changes["baffles"].tank.damping == BAFFLED_DAMPING
    assert changes["baffles"].gain >= -1e-9
    damped = replace(CAR, tank=replace(TANK, damping=0.4))
    assert "baffles" not in {change.name for change in tank_changes(damped, LEFT_ONLY)}


def test_turning_takes_the_pickup_along() -> None:
    tank = Tank(Box(0.3, 0.2, 0.1), pickup=Pickup(0.1, -0.05, 0.01))
    left, right = turned(tank)
    assert left.shape == right.shape == Box(0.2, 0.3, 0.1)
    assert (left.pickup.ahead, left.pickup.left) == (0.05, 0.1)
    assert (right.pickup.ahead, right.pickup.left) == (-0.05, -0.1)
    assert turned(Tank(LyingCylinder(0.1, 0.3, "x")))[0].shape == LyingCylinder(0.1, 0.3, "y")
    dips = DipTable((0.0, 0.1), (0.0, 0.004), 0.3, 0.2)
    assert turned(Tank(dips))[0].shape == DipTable((0.0, 0.1), (0.0, 0.004), 0.2, 0.3)
    assert turned(Tank(UprightCylinder(0.1, 0.3))) == ()


def test_turning_a_long_tank_out_of_the_corner_helps() -> None:
    car = car_with(Box(0.15, 0.4, 0.12), Pickup(0.0, 0.0, 0.01))
    changes = {change.name: change for change in tank_changes(car, [sketch((5, FULL, 0.9, 0.0), (5, FULL, -0.9, 0.0))])}
    assert changes["tank turned"].gain > 0.5e-3


def test_a_sump_holds_the_pickup_and_lets_the_tank_be_emptied_further() -> None:
    tank = with_sump(TANK)
    assert tank is not None
    assert isinstance(tank.shape, WithSump)
    assert tank.shape.main == TANK.shape
    assert (tank.shape.ahead, tank.shape.left) == (tank.pickup.ahead, tank.pickup.left)
    assert tank.pickup.height == TANK.pickup.height < SUMP_DEPTH
    assert tank.shape.ahead - tank.shape.sump.length / 2 >= -TANK.shape.length / 2 - 1e-12
    changes = {change.name: change for change in tank_changes(CAR, [sketch((5, FULL, 0.6, 0.0), (5, FULL, -0.6, 0.0))])}
    assert changes["low sump"].gain > 0


@pytest.mark.parametrize("pickup", [Pickup(0.09, 0.0, 0.01), Pickup(-0.06, 0.06, 0.01), Pickup(0.0, 0.0, 0.05)])
def test_a_round_tanks_sump_stays_within_its_floor(pickup: Pickup) -> None:
    tank = with_sump(Tank(UprightCylinder(0.2, 0.2), pickup=pickup))
    assert tank is not None
    assert isinstance(tank.shape, WithSump)
    corner = (abs(tank.shape.ahead) + tank.shape.sump.length / 2, abs(tank.shape.left) + tank.shape.sump.width / 2)
    assert corner[0] ** 2 + corner[1] ** 2 <= 0.1**2 + 1e-9
    assert tank.pickup.height <= SUMP_DEPTH / 2


def test_no_sump_under_a_lying_cylinder_nor_a_second_one() -> None:
    assert with_sump(Tank(LyingCylinder(0.1, 0.3))) is None
    once = with_sump(TANK)
    assert once is not None
    assert with_sump(once) is None


def test_every_place_tried_is_inside_and_as_high_above_its_floor() -> None:
    shape = LyingCylinder(0.2, 0.4, "x")
    places = list(pickup_places(Tank(shape, pickup=Pickup(0.0, 0.0, 0.02))))
    assert len(places) > 10
    for place in places:
        floor = 0.1 - (0.01 - place.left**2) ** 0.5
        assert place.height == pytest.approx(floor + 0.02)
    round_places = pickup_places(Tank(UprightCylinder(0.2, 0.2), pickup=Pickup(0.0, 0.0, 0.01)))
    assert all(place.ahead**2 + place.left**2 <= 0.09**2 + 1e-12 for place in round_places)


def test_without_flow_there_is_nothing_to_gain_but_the_level() -> None:
    changes = tank_changes(CAR, [sketch((5, 0.0, 0.9, 0.0))])
    assert all(abs(change.gain) < 1e-9 for change in changes if change.name != "low sump")


def test_turning_takes_the_sump_along() -> None:
    shape = WithSump(Box(0.3, 0.2, 0.1), Box(0.08, 0.06, 0.04), 0.1, -0.05)
    left, right = turned(Tank(shape, pickup=Pickup(0.11, -0.04, 0.01)))
    assert left.shape == WithSump(Box(0.2, 0.3, 0.1), Box(0.06, 0.08, 0.04), 0.05, 0.1)
    assert right.shape == WithSump(Box(0.2, 0.3, 0.1), Box(0.06, 0.08, 0.04), -0.05, -0.1)
    assert (left.pickup.ahead, left.pickup.left) == (0.04, 0.11)
    assert (right.pickup.ahead, right.pickup.left) == (-0.04, -0.11)
    upright = WithSump(UprightCylinder(0.2, 0.3), Box(0.08, 0.06, 0.04), 0.05, 0.0)
    assert turned(Tank(upright))[0].shape == WithSump(UprightCylinder(0.2, 0.3), Box(0.06, 0.08, 0.04), 0.0, 0.05)


def test_a_sump_is_eighty_millimetres_square_or_half_the_tank_and_stands_within_its_walls() -> None:
    wide = with_sump(Tank(Box(0.4, 0.3, 0.1), pickup=Pickup(0.15, -0.14, 0.030)))
    assert wide is not None
    assert wide.shape == WithSump(Box(0.4, 0.3, 0.1), Box(0.08, 0.08, 0.04), 0.15, pytest.approx(-0.11))
    assert wide.pickup == Pickup(0.15, pytest.approx(-0.11), 0.02)
    narrow = with_sump(Tank(Box(0.1, 0.12, 0.1), pickup=Pickup(-0.045, 0.055, 0.008)))
    assert narrow is not None
    assert narrow.shape == WithSump(
        Box(0.1, 0.12, 0.1), Box(0.05, 0.06, 0.04), pytest.approx(-0.025), pytest.approx(0.03)
    )
    assert narrow.pickup.height == 0.008


def test_a_round_tanks_sump_stands_as_far_out_as_it_fits_in_the_pickups_direction() -> None:
    tank = with_sump(Tank(UprightCylinder(0.3, 0.2), pickup=Pickup(0.06, -0.08, 0.01)))
    middle = with_sump(Tank(UprightCylinder(0.3, 0.2), pickup=Pickup(0.0, 0.0, 0.01)))
    near = with_sump(Tank(UprightCylinder(0.3, 0.2), pickup=Pickup(0.03, 0.04, 0.01)))
    assert isinstance(tank and tank.shape, WithSump)
    room = 0.15 - 0.08 * 2**0.5 / 2
    assert (tank.shape.ahead, tank.shape.left) == pytest.approx((0.6 * room, -0.8 * room))
    assert (middle.shape.ahead, middle.shape.left) == (0.0, 0.0)
    assert (near.shape.ahead, near.shape.left) == pytest.approx((0.03, 0.04))


def test_a_boxs_places_are_a_grid_of_five_by_five_ten_millimetres_off_its_walls() -> None:
    places = list(pickup_places(Tank(Box(0.3, 0.2, 0.1), pickup=Pickup(0.0, 0.0, 0.012))))
    assert sorted({round(place.ahead, 6) for place in places}) == [-0.14, -0.07, 0.0, 0.07, 0.14]
    assert sorted({round(place.left, 6) for place in places}) == [-0.09, -0.045, 0.0, 0.045, 0.09]
    assert len(places) == 25
    assert {place.height for place in places} == {0.012}
    round_ones = list(pickup_places(Tank(UprightCylinder(0.2, 0.2), pickup=Pickup(0.0, 0.0, 0.01))))
    assert (0.0, pytest.approx(0.09)) in [(place.ahead, place.left) for place in round_ones]
    assert len(round_ones) == 13
