"""Washing: weight moment, mount force and resonance at each fill level."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from planner.car import Tank
from planner.physics.columns import fluid_offset
from planner.physics.slosh import first_mode_frequency, moving_share
from planner.physics.spectrum import excitation, mode_gain, strongest_frequency
from planner.physics.surface import STANDARD_GRAVITY
from planner.physics.tank import Box, TankShape
from planner.use.motion import STEP, Motion
from planner.use.washing import WASHING_FROM, washing, washing_band, weight_moment
from tests.cars import CAR
from tests.tanks import shapes

G = STANDARD_GRAVITY
SHARES = np.linspace(0.05, 0.95, 19)


def swaying(frequency: float, peak: float = 0.3, seconds: float = 80.0, axis: str = "y") -> Motion:
    """A motion that sways at one frequency [Hz] with a peak [g]."""
    wave = peak * G * np.sin(2 * np.pi * frequency * np.arange(0, seconds, STEP))
    still = np.zeros_like(wave)
    return Motion(wave, still, still) if axis == "x" else Motion(still, wave, still)


def test_a_wide_boxs_offset_is_that_of_its_tilted_prism() -> None:
    """A trapezoid's middle lies s W^2 / (12 h) aside, from its moments; a dry floor leaves a triangle a third along."""
    box = Box(0.2, 0.3, 0.4)
    _, offset = fluid_offset(box, np.array([0.5 * box.capacity]), 0.0, 0.5 * G)
    assert float(offset[0]) == pytest.approx(-0.5 * 0.3**2 / (12 * 0.2), rel=1e-3)
    depth = 0.02
    base = (2 * depth * 0.3 / 1.0) ** 0.5
    _, offset = fluid_offset(box, np.array([depth * 0.06]), 0.0, 1.0 * G)
    assert float(offset[0]) == pytest.approx(-(0.15 - base / 3), abs=2e-4)


@settings(max_examples=20, deadline=None)
@given(shapes())
def test_the_weight_moves_aside_against_the_acceleration_and_not_along(shape: TankShape) -> None:
    x, y = fluid_offset(shape, SHARES * shape.capacity, 0.0, 0.7 * G)
    assert np.all(np.abs(x) < 1e-9)
    assert np.all(y < 0)
    assert np.all(np.abs(y) < shape.width / 2)


@settings(max_examples=20, deadline=None)
@given(shapes())
def test_the_band_holds_the_largest_moment_and_its_ends_the_share_asked_for(shape: TankShape) -> None:
    low, high = washing_band(Tank(shape))
    assert 0 < low < high < shape.capacity
    moment = weight_moment(shape, np.linspace(0.01, 0.99, 99) * shape.capacity, 1000.0, G)
    ends = weight_moment(shape, np.array([low, high]), 1000.0, G)
    np.testing.assert_allclose(ends, WASHING_FROM * moment.max(), rtol=0.01)
    assert low <= moment.argmax() * 0.01 * shape.capacity + 0.01 * shape.capacity <= high


def test_a_wide_boxs_band_is_from_three_to_seven_tenths() -> None:
    low, high = washing_band(Tank(Box(0.15, 0.9, 0.1)))
    assert low / 0.0135 == pytest.approx(0.30, abs=0.01)
    assert high / 0.0135 == pytest.approx(0.70, abs=0.01)


def test_swaying_at_the_first_mode_is_flagged_and_gains_one_over_twice_the_damping() -> None:
    volume = np.array([0.5 * CAR.tank.capacity])
    first = float(washing(CAR, [swaying(0.2)], volume).frequency[1, 0])
    at, slow = (washing(CAR, [swaying(f)], volume) for f in (first, 0.1 * first))
    assert at.resonant[0]
    assert not slow.resonant[0]
    assert float(at.gain[1, 0]) == pytest.approx(1 / (2 * CAR.tank.damping), rel=0.03)
    assert float(slow.gain[1, 0]) == pytest.approx(1.0, abs=0.05)
    assert float(at.gain[0, 0]) == 1.0


def test_force_at_resonance_exceeds_the_frozen_fluids_and_slow_swaying_does_not() -> None:
    volume = np.array([0.3, 0.6]) * CAR.tank.capacity
    first = float(washing(CAR, [swaying(0.2)], volume).frequency[1, 0])
    at, slow = (washing(CAR, [swaying(f)], volume) for f in (first, 0.05))
    assert at.force[0] > 1.8 * at.frozen_force[0]
    np.testing.assert_allclose(slow.force, slow.frozen_force, rtol=0.02)
    np.testing.assert_allclose(slow.frozen_force, 0.3 * slow.weight, rtol=1e-3)


def test_forces_along_both_axes_add_as_arrows() -> None:
    volume = np.array([0.5 * CAR.tank.capacity])
    tank = Tank(Box(0.2, 0.2, 0.2))
    car = replace(CAR, tank=tank)
    one = swaying(0.3, axis="x")
    both = Motion(one.ax, one.ax, one.flow)
    single, double = (float(washing(car, [motion], volume).force[0]) for motion in (one, both))
    assert double == pytest.approx(2**0.5 * single, rel=1e-6)


def test_without_motion_nothing_pushes() -> None:
    found = washing(CAR, [], np.array([0.5 * CAR.tank.capacity]))
    assert found.force[0] == found.frozen_force[0] == 0
    assert not found.resonant[0]
    assert found.moment[0] > 0


def test_the_spectrum_holds_the_waves_power_at_its_frequency() -> None:
    """Parseval: the density sums to the mean square."""
    motion = swaying(0.7, peak=0.5)
    frequency, density = excitation(motion.ay, STEP)
    assert np.sum(density) * frequency[1] == pytest.approx(np.mean(motion.ay**2), rel=0.02)
    assert strongest_frequency(frequency, density) == pytest.approx(0.7, abs=0.05)
    short = excitation(motion.ay[:100], STEP)
    assert short[0].size == frequency.size


def test_a_mode_without_excitation_has_gain_one() -> None:
    frequency = np.linspace(0, 2, 5)
    np.testing.assert_array_equal(mode_gain(frequency, np.zeros(5), np.array([1.0, 2.0]), damping=0.15), [1.0, 1.0])


def test_a_calm_recording_beside_a_swaying_one_leaves_the_gain_and_faint_swaying_counts_for_none() -> None:
    volume = np.array([0.5 * CAR.tank.capacity])
    first = float(washing(CAR, [swaying(0.2)], volume).frequency[1, 0])
    moving = swaying(first)
    calm = Motion(0 * moving.ax, 0 * moving.ay, moving.flow)
    alone, beside = (float(washing(CAR, motions, volume).gain[1, 0]) for motions in ([moving], [moving, calm]))
    assert beside == pytest.approx(alone, rel=1e-9)
    for peak, felt in ((0.015, False), (0.05, True)):
        assert (float(washing(CAR, [swaying(first, peak=peak)], volume).gain[1, 0]) > 1) == felt


def test_masses_and_weights_are_those_of_the_blend() -> None:
    volumes = np.array([0.3, 0.6]) * CAR.tank.capacity
    found = washing(CAR, [swaying(0.3)], volumes)
    mass = 926.7 * volumes
    np.testing.assert_allclose(found.weight, mass * STANDARD_GRAVITY, rtol=1e-4)
    for k, axis in enumerate(("x", "y")):
        np.testing.assert_allclose(found.moving_mass[k], mass * moving_share(CAR.tank.shape, volumes, axis), rtol=1e-4)
        np.testing.assert_allclose(found.frequency[k], first_mode_frequency(CAR.tank.shape, volumes, axis))
