"""The pump's curve beyond its last point, and what part speed makes of it."""

from __future__ import annotations

import numpy as np
import pytest

from planner.physics.pump import full_speed_flow, pump_flow, shutoff_pressure

PRESSURE, FLOW = (0.0, 3e5, 6e5, 11e5, 14e5), (19e-6, 18e-6, 14e-6, 8e-6, 2e-6)


def test_a_curve_of_five_points_goes_on_with_the_slope_of_its_last_two() -> None:
    # Six of 8e-6 m3/s are lost over the last 3 bar, so the last two go in one bar more.
    assert shutoff_pressure(PRESSURE, FLOW) == pytest.approx(15e5, rel=1e-12)
    pressures = np.array([-1e5, 0.0, 4.5e5, 11e5, 12.5e5, 14e5, 14.5e5, 15e5, 20e5])
    expected = np.array([19.0, 19.0, 16.0, 8.0, 5.0, 2.0, 1.0, 0.0, 0.0]) * 1e-6
    np.testing.assert_allclose(full_speed_flow(pressures, PRESSURE, FLOW), expected, atol=1e-15)


def test_a_curve_that_ends_flat_stops_at_its_last_pressure() -> None:
    pressure, flow = (0.0, 2e5, 4e5, 9e5), (5e-6, 4e-6, 3e-6, 3e-6)
    assert shutoff_pressure(pressure, flow) == 9e5
    np.testing.assert_allclose(full_speed_flow(np.array([6e5, 9e5, 9.001e5]), pressure, flow), [3e-6, 3e-6, 0.0])


def test_a_curve_that_ends_without_flow_ends_there() -> None:
    assert shutoff_pressure((0.0, 4e5, 9e5), (5e-6, 3e-6, 0.0)) == 9e5
    assert shutoff_pressure((0.0, 4e5, 9e5), (5e-6, 0.0, 0.0)) == 9e5
    assert full_speed_flow(9.5e5, (0.0, 4e5, 9e5), (5e-6, 3e-6, 0.0)) == 0.0


def test_displacement_scales_with_speed_and_slip_with_pressure_alone() -> None:
    # At 12.5 bar 14 of 19 slip away at any speed.
    flows = pump_flow(12.5e5, np.array([0.5, 0.8, 1.0]), PRESSURE, FLOW)
    np.testing.assert_allclose(flows, np.array([0.0, 0.8 * 19 - 14, 5.0]) * 1e-6, atol=1e-15)
