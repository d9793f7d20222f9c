"""The parts of a session's floor: each from its own cause, and what the floor says of itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from planner.driving.trace import Trace
from planner.planning.floor import Floor, level_ground_floor, session_floor
from planner.use.starving import starving_floor
from tests.cars import CAR

UNKNOWN = Trace(np.array([0.0, 20.0]), np.array([100e3, 100e3]), None, None, np.array([True]))


def test_a_floor_holds_each_part_from_its_own_cause() -> None:
    car = replace(CAR, tank=replace(CAR.tank, low_level_switch=0.7e-3))
    starving = starving_floor(car, [UNKNOWN], "run")
    assert session_floor(car, [UNKNOWN], "run", final_reserve=0.3e-3) == Floor(
        unusable_level=level_ground_floor(car),
        unusable_slosh=starving.volume,
        low_level_switch=0.7e-3,
        final_reserve=0.3e-3,
        reason=starving.reason,
    )


def test_a_tank_without_a_switch_has_no_part_for_it() -> None:
    assert CAR.tank.low_level_switch is None
    assert session_floor(CAR, [UNKNOWN], "lap", final_reserve=0.0).low_level_switch == 0.0


def test_of_equal_causes_the_level_ground_is_named_before_the_fluid_thrown_away_and_that_before_the_switch() -> None:
    assert Floor(1.0, 1.0, 1.0, 0.0).set_by == "the pickup on level ground"
    assert Floor(0.5, 1.0, 1.0, 0.0).set_by == "the fluid thrown away from the pickup"
    assert Floor(0.5, 0.75, 1.0, 9.0).set_by == "the low-level switch"
    assert Floor(0.5, 0.75, 1.0, 9.0).total == 10.0
