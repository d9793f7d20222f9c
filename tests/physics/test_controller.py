"""The controller's speed at and between its settings."""

from __future__ import annotations

import numpy as np

from planner.physics.controller import ramp_speed, switch_speed, table_speed


def test_a_ramp_is_off_below_start_and_straight_from_its_minimum_to_full() -> None:
    boost = np.array([-50e3, 34.9e3, 35e3, 65e3, 95e3, 200e3])
    np.testing.assert_allclose(ramp_speed(boost, 35e3, 95e3, 0.3), [0, 0, 0.3, 0.65, 1, 1])


def test_a_switch_is_full_from_its_boost_on() -> None:
    np.testing.assert_array_equal(switch_speed(np.array([34e3, 35e3, 99e3]), 35e3), [0, 1, 1])


def test_a_table_is_straight_between_its_points_off_below_and_held_above() -> None:
    speed = table_speed(np.array([9e3, 10e3, 15e3, 20e3, 90e3]), ((10e3, 0.2), (20e3, 0.8)))
    np.testing.assert_allclose(speed, [0, 0.2, 0.5, 0.8, 0.8])
