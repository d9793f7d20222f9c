"""Nozzles: the opening pressure, the exponent, what a stage sprays into and from which boost it does."""

from __future__ import annotations

import numpy as np

from planner.physics.nozzle import Stage, back_pressure, nozzle_flow, stages_flow


def test_a_nozzle_flows_above_its_opening_pressure_and_not_at_it() -> None:
    drop = np.array([-1e5, 0.0, 1e5, 1.0001e5, 4e5])
    flow = nozzle_flow(drop, 6e-6, 4e5, opening_pressure=1e5)
    np.testing.assert_allclose(flow, [0.0, 0.0, 0.0, 6e-6 * np.sqrt(1.0001 / 4), 6e-6], rtol=1e-12)
    np.testing.assert_allclose(nozzle_flow(np.array([-1.0, 0.0, 0.25]), 6e-6, 1.0), [0.0, 0.0, 3e-6])


def test_another_exponent_is_that_of_the_pressure_and_of_the_density() -> None:
    flow = nozzle_flow(np.array([2e5, 9e5]), 6e-6, 4e5, density=900.0, exponent=0.45)
    np.testing.assert_allclose(flow, 6e-6 * (np.array([0.5, 2.25]) * 998.2 / 900.0) ** 0.45, rtol=1e-12)


def test_a_stage_sprays_into_the_manifold_or_into_a_pipe_that_never_lies_below_outside_air() -> None:
    boost = np.array([-60e3, 0.0, 0.5, 80e3])
    np.testing.assert_array_equal(back_pressure(Stage(1e-6, 1e5, after_throttle=True), boost), boost)
    np.testing.assert_array_equal(back_pressure(Stage(1e-6, 1e5), boost), [0.0, 0.0, 0.5, 80e3])


def test_open_stages_add_up_each_with_its_own_rating_place_and_boost() -> None:
    stages = (
        Stage(5e-6, 7e5),
        Stage(3e-6, 5e5, after_throttle=True),
        Stage(8e-6, 6e5, opens_at=40e3),
    )
    boost = np.array([-50e3, 39.9e3, 40e3, 90e3])
    pressure = np.array([1.2e5, 4e5, 4e5, 2.1e5])
    ratio, pipe = 998.2 / 930.0, np.maximum(boost, 0.0)
    always = 5e-6 * np.sqrt((pressure - pipe) / 7e5 * ratio)
    manifold = 3e-6 * np.sqrt((pressure - boost) / 5e5 * ratio)
    late = 8e-6 * np.sqrt((pressure - pipe) / 6e5 * ratio) * (boost >= 40e3)
    found = stages_flow(pressure, boost, stages, density=930.0)
    np.testing.assert_allclose(found, always + manifold + late, rtol=1e-12)
    # With a valve of 1.3 bar only drops above it flow: at first the manifold's, at last none.
    valved = stages_flow(pressure, boost, stages, density=930.0, opening_pressure=1.3e5)
    expected = np.array([manifold[0], always[1] + manifold[1], (always + manifold + late)[2], 0.0])
    np.testing.assert_allclose(valved, expected, rtol=1e-12)
    # Where no valve is told of, half a pascal flows.
    gentle = stages_flow(np.array([0.5]), np.zeros(1), (Stage(6e-6, 2.0),), density=998.2)
    np.testing.assert_allclose(gentle, 3e-6, rtol=1e-12)
