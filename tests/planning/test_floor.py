"""The floor: the largest of its causes, and the final reserve on top; a worked example by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.car import Pickup
from planner.day import floor_of_course
from planner.driving.trace import Trace
from planner.event import Course, Per
from planner.physics.tank import LyingCylinder
from planner.planning.floor import Floor, level_ground_floor, session_floor
from planner.use.motion import ASSUMED_CORNERING
from planner.use.starving import starving_floor
from tests.cars import CAR

UNKNOWN = Trace(np.array([0.0, 20.0]), np.array([100e3, 100e3]), None, None, np.array([True]))


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


@pytest.mark.parametrize("per", ["run", "lap", "minute"])
def test_unknown_cornering_takes_the_pattern_of_the_courses_own_kind_of_event(per: Per) -> None:
    floor = session_floor(CAR, [UNKNOWN], per, final_reserve=0.0)
    assert floor.unusable_slosh == starving_floor(CAR, [UNKNOWN], per).volume
    assert f"so {ASSUMED_CORNERING[per]:g} g to both sides is assumed" in floor.reason


def test_a_day_of_runs_without_acceleration_is_not_taken_for_laps() -> None:
    course = Course("hill", "run", time_at_boost=((100e3, 20.0),))
    run, lap = (floor_of_course(CAR, replace(course, per=per), 0.0) for per in ("run", "lap"))
    assert run.unusable_slosh < lap.unusable_slosh
