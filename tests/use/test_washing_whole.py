"""All that washes, put together anew from physics; the band's ends, and where swaying begins to be felt."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.car import Blend, Tank
from planner.physics.blend import density
from planner.physics.columns import fluid_offset
from planner.physics.slosh import first_mode_frequency, mount_force, moving_share
from planner.physics.spectrum import excitation, mode_gain
from planner.physics.surface import STANDARD_GRAVITY
from planner.physics.tank import Box, LyingCylinder, TankShape, WithSump
from planner.use.motion import STEP, Motion
from planner.use.washing import RESONANT_FROM, WASHING_FROM, Washing, washing, washing_band, weight_moment
from tests.cars import CAR
from tests.use.test_washing import swaying

G = STANDARD_GRAVITY
car = replace(
    CAR,
    blend=Blend(0.3, 10.0),
    tank=replace(CAR.tank, shape=LyingCylinder(0.18, 0.3, "y"), damping=0.12),
)
SHAPE = car.tank.shape
VOLUMES = np.linspace(0.1, 0.9, 9) * SHAPE.capacity


def wander(seed: int, size: int) -> Motion:
    """Made-up accelerations of about 0.3 and 0.5 g that wander."""
    ax, ay = np.cumsum(np.random.default_rng(seed).normal(0, 0.4, (2, size)), axis=1)
    return Motion(3 * np.sin(ax), 5 * np.sin(ay), np.zeros(size))


def test_every_figure_is_that_of_physics_over_all_motions() -> None:
    motions = [wander(1, 30_000), wander(2, 2_000)]
    found = washing(car, motions, VOLUMES)
    fluid = float(density(0.3, 10.0))
    forces = []
    for motion in motions:
        pushes = [
            mount_force(
                a,
                STEP,
                first_mode_frequency(SHAPE, VOLUMES, axis),
                share=moving_share(SHAPE, VOLUMES, axis),
                damping=0.12,
            )
            for axis, a in (("x", motion.ax), ("y", motion.ay))
        ]
        forces.append(np.hypot(*pushes).max(axis=1))
    np.testing.assert_allclose(found.force, fluid * VOLUMES * np.maximum(*forces), rtol=1e-12)
    frozen = max(np.hypot(motion.ax, motion.ay).max() for motion in motions)
    np.testing.assert_allclose(found.frozen_force, fluid * VOLUMES * frozen, rtol=1e-12)
    for k, axis in enumerate(("x", "y")):
        along = [motion.ax if axis == "x" else motion.ay for motion in motions]
        mean = np.average([excitation(a, STEP)[1] for a in along], axis=0, weights=[30_000, 2_000])
        first = first_mode_frequency(SHAPE, VOLUMES, axis)
        gain = mode_gain(excitation(along[0], STEP)[0], mean, first, damping=0.12)
        np.testing.assert_allclose(found.gain[k], gain, rtol=1e-9)
        np.testing.assert_allclose(found.frequency[k], first)
        np.testing.assert_allclose(found.moving_mass[k], fluid * VOLUMES * moving_share(SHAPE, VOLUMES, axis))
    np.testing.assert_allclose(found.weight, fluid * VOLUMES * 9.80665)
    thrown = fluid_offset(SHAPE, VOLUMES, 0.0, G)[1]
    np.testing.assert_allclose(found.moment, fluid * VOLUMES * G * np.abs(thrown), rtol=1e-9)


def test_without_a_motion_there_is_no_force_and_no_gain() -> None:
    found = washing(car, [], VOLUMES)
    np.testing.assert_array_equal(found.force, np.zeros(9))
    np.testing.assert_array_equal(found.frozen_force, np.zeros(9))
    np.testing.assert_array_equal(found.gain, np.ones((2, 9)))


def test_a_level_is_near_resonance_from_a_gain_of_one_and_a_quarter_on_along_either_axis() -> None:
    row = np.ones(5)
    gain = np.array([[1.0, 1.25, 1.2499, 3.0, 0.2], [1.2499, 1.0, 1.25, 3.0, 0.2]])
    found = Washing(gain, gain, gain, row, row, row, row)
    assert RESONANT_FROM == 1.25
    assert found.resonant.tolist() == [False, True, True, True, False]


def test_swaying_is_felt_from_a_fiftieth_of_g_in_the_mean_square_on() -> None:
    volume = np.array([0.5 * CAR.tank.capacity])
    first = float(first_mode_frequency(CAR.tank.shape, volume, "y")[0])
    for rms, felt in ((0.0195, False), (0.0205, True)):
        motion = swaying(first, peak=2**0.5 * rms, seconds=204.8)
        assert (float(washing(CAR, [motion], volume).gain[1, 0]) > 1) == felt
        # Beside one as long and as strong the mean stays; beside a calm one it falls below what is felt.
        calm = Motion(0 * motion.ax, 0 * motion.ay, motion.flow)
        assert (float(washing(CAR, [motion, motion], volume).gain[1, 0]) > 1) == felt
        assert float(washing(CAR, [motion, calm], volume).gain[1, 0]) == 1.0


@pytest.mark.parametrize("shape", [Box(0.2, 0.3, 0.15), LyingCylinder(0.2, 0.4, "x")], ids=["box", "lying"])
def test_the_bands_ends_lie_straight_between_hundredths_of_the_capacity(shape: TankShape) -> None:
    volumes = np.arange(1, 100) / 100 * shape.capacity
    moment = weight_moment(shape, volumes, 1000.0, G)
    limit = WASHING_FROM * moment.max()
    inside = np.flatnonzero(moment >= limit)
    ends = []
    for out, within in ((inside[0] - 1, inside[0]), (inside[-1] + 1, inside[-1])):
        share = (limit - moment[out]) / (moment[within] - moment[out])
        ends.append(volumes[out] + share * (volumes[within] - volumes[out]))
    assert washing_band(Tank(shape)) == pytest.approx(tuple(ends), rel=1e-9)


def test_the_weight_moment_is_the_weight_times_its_way_aside() -> None:
    shape = Box(0.2, 0.3, 0.4)
    # A trapezoid's middle moves s W^2 / (12 h) aside.
    found = weight_moment(shape, np.array([0.3, 0.6]) * shape.capacity, 900.0, 0.2 * G)
    np.testing.assert_allclose(found, 900.0 * G * 0.2 * 0.3 * 0.2 * 0.3**2 / 12, rtol=2e-3)
    assert weight_moment(shape, 0.3 * shape.capacity, 900.0, -0.2 * G) == pytest.approx(found[:1])


def test_under_a_sump_beside_the_middle_only_the_way_from_rest_counts() -> None:
    shape = WithSump(Box(0.25, 0.2, 0.18), Box(0.08, 0.06, 0.05), 0.02, 0.05)
    for volume in (0.99 * shape.sump.capacity, 0.5 * shape.capacity):
        at = np.array([volume])
        rest, thrown = (float(fluid_offset(shape, at, 0.0, side)[1][0]) for side in (0.0, 0.5 * G))
        assert rest > 0
        found = float(weight_moment(shape, at, 900.0, 0.5 * G)[0])
        assert found == pytest.approx(900.0 * G * volume * (rest - thrown), rel=1e-9)
