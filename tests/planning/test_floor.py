"""The floor: the largest of its causes, and the final reserve on top; a worked example by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.car import Pickup
from planner.physics.tank import LyingCylinder
from planner.planning.floor import Floor, level_ground_floor
from tests.cars import CAR


def test_a_worked_example_by_hand() -> None:
    # Structure after 14 CFR 121.647 and 25.959: required = unusable + ... + final reserve, in addition to unusable.
    # Unusable 0.46 L; switch 0.5 L; final reserve 45 s at 500 mL/min = 0.375 L; so the floor is 0.875 L.
    floor = Floor(0.46e-3, 0.0, 0.5e-3, 45 * 500e-6 / 60)
    assert floor.total == pytest.approx(0.875e-3)
    assert floor.set_by == "the low-level switch"


def test_the_largest_cause_sets_the_floor_and_is_named() -> None:
    assert Floor(1.0, 2.0, 1.5, 0.5).total == 2.5
    assert Floor(1.0, 2.0, 1.5, 0.5).set_by == "the fluid thrown away from the pickup"
    assert Floor(3.0, 2.0, 1.5, 0.0).set_by == "the pickup on level ground"


def test_on_level_ground_the_pickups_height_counts_through_the_tanks_shape() -> None:
    assert level_ground_floor(CAR) == pytest.approx(0.32 * 0.18 * 0.008)
    lying = replace(CAR.tank, shape=LyingCylinder(0.2, 0.3), pickup=Pickup(height=0.1))
    assert level_ground_floor(replace(CAR, tank=lying)) == pytest.approx(lying.capacity / 2)
