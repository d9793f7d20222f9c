"""Which box or cylinder stands for each shape, and what its first mode makes of an acceleration."""

from __future__ import annotations

import numpy as np
import pytest

from planner.errors import OutsideModel
from planner.physics.slosh import (
    BOX_REST_SHARE,
    CYLINDER_REST_SHARE,
    box_frequency,
    box_moving_share,
    cylinder_frequency,
    cylinder_moving_share,
    effective_acceleration,
    equivalent_box,
    first_mode_frequency,
    mount_force,
    moving_share,
    rest_share,
)
from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump
from tests.tanks import NAMES, SHAPES

G = 9.80665
ROOT = 1.8411837813406593
STEP = 0.01
BOX = Box(0.25, 0.15, 0.2)
DIPS = DipTable((0.0, 0.04, 0.1, 0.2), (0.0, 0.0008, 0.0044, 0.0084), 0.3, 0.2)


def swing(length: float, depth: float) -> float:
    """Frequency [Hz] of a box's first mode under standard gravity, w^2 = g k tanh(k h)."""
    k = np.pi / length
    return float(np.sqrt(G * k * np.tanh(k * depth)) / (2 * np.pi))


def moving(length: float, depth: float) -> float:
    """Share of a box's fluid that moves with its first mode, 8 tanh(pi h/L) / (pi^3 h/L)."""
    return float(8 * np.tanh(np.pi * depth / length) / (np.pi**3 * depth / length))


def test_a_box_stands_for_itself_along_either_axis() -> None:
    volumes = np.array([0.2, 0.7]) * BOX.capacity
    for axis, length in (("x", 0.25), ("y", 0.15)):
        lengths, depths = equivalent_box(BOX, volumes, axis)
        np.testing.assert_allclose(lengths, [length, length])
        np.testing.assert_allclose(depths, [0.04, 0.14])
        expected = [swing(length, h) for h in (0.04, 0.14)]
        np.testing.assert_allclose(first_mode_frequency(BOX, volumes, axis), expected, rtol=1e-12)
        np.testing.assert_allclose(moving_share(BOX, volumes, axis), [moving(length, h) for h in (0.04, 0.14)])


def test_a_lying_cylinder_is_the_box_with_its_surface_and_its_volume_beneath() -> None:
    """At a quarter of the diameter the chord is sqrt(3)/2 of it and the segment is R^2 (pi/3 - sqrt(3)/4)."""
    chord, segment = 0.2 * 3**0.5 / 2, 0.01 * (np.pi / 3 - 3**0.5 / 4)
    for lies, other in (("x", "y"), ("y", "x")):
        shape = LyingCylinder(0.2, 0.5, lies)
        along, depth = equivalent_box(shape, 0.5 * segment, lies)
        across, same = equivalent_box(shape, 0.5 * segment, other)
        assert (float(along), float(across)) == (0.5, pytest.approx(chord))
        assert float(depth) == float(same) == pytest.approx(segment / chord)
        assert float(first_mode_frequency(shape, 0.5 * segment, other)) == pytest.approx(swing(chord, segment / chord))


@pytest.mark.parametrize(("volume", "area"), [(0.0004, 0.02), (0.0008, 0.02), (0.00081, 0.06), (0.005, 0.04)])
def test_a_dip_table_is_the_box_with_the_area_at_its_level_and_of_a_layer_up_to_its_upper_dip(
    volume: float, area: float
) -> None:
    for axis, length in (("x", 0.3), ("y", 0.2)):
        found, depth = equivalent_box(DIPS, volume, axis)
        assert (float(found), float(depth)) == (length, pytest.approx(volume / area))


def test_an_upright_cylinder_swings_by_the_first_root_of_its_bessel_function() -> None:
    shape, depth, radius = UprightCylinder(0.2, 0.25), np.array([0.05, 0.15]), 0.1
    volumes = depth * np.pi * radius**2
    tanh = np.tanh(ROOT * depth / radius)
    squared = G * ROOT / radius * tanh
    share = 2 * tanh / (ROOT * (ROOT**2 - 1) * depth / radius)
    for axis in ("x", "y"):
        np.testing.assert_allclose(first_mode_frequency(shape, volumes, axis), np.sqrt(squared) / (2 * np.pi))
        np.testing.assert_allclose(moving_share(shape, volumes, axis), share)


def test_whole_numbers_serve_as_well_as_broken_ones() -> None:
    assert float(box_frequency(1, 2)) == pytest.approx(swing(1.0, 2.0))
    assert float(box_moving_share(1, 2)) == pytest.approx(moving(1.0, 2.0))
    assert float(cylinder_frequency(2, 1)) == float(cylinder_frequency(2.0, 1.0))
    assert float(cylinder_moving_share(2, 1)) == float(cylinder_moving_share(2.0, 1.0))


def test_at_the_sumps_brim_the_tank_above_it_has_a_surface() -> None:
    shape = WithSump(BOX, Box(0.08, 0.09, 0.05), 0.02, 0.03)
    brim = shape.sump.capacity
    assert float(first_mode_frequency(shape, brim, "x")) == pytest.approx(swing(0.25, 1e-9 * 0.2), rel=1e-9)
    assert float(moving_share(shape, brim, "x")) < 1e-6
    half = brim + 0.5 * BOX.capacity
    for axis, length in (("x", 0.25), ("y", 0.15)):
        expected = moving(length, 0.1) * 0.5 * BOX.capacity / half
        assert float(moving_share(shape, half, axis)) == pytest.approx(expected)
    upright = WithSump(UprightCylinder(0.2, 0.25), Box(0.08, 0.09, 0.05))
    above = np.array([brim + 0.5 * upright.main.capacity])
    assert float(first_mode_frequency(upright, above, "y")[0]) == pytest.approx(float(cylinder_frequency(0.2, 0.125)))
    assert float(moving_share(upright, above, "y")[0]) == pytest.approx(
        float(cylinder_moving_share(0.2, 0.125)) * 0.5 * upright.main.capacity / above[0]
    )


@pytest.mark.parametrize("shape", SHAPES, ids=NAMES)
def test_a_full_or_an_empty_tank_has_no_surface_to_slosh(shape: TankShape) -> None:
    for ask in (first_mode_frequency, moving_share):
        for volume in (0.0, shape.capacity, -1e-6, np.nan):
            with pytest.raises(
                OutsideModel, match=r"^volume \[m3\] .* has no free surface; give one above 0 and below"
            ):
                ask(shape, np.array([0.5 * shape.capacity, volume]), "x")
    upright = isinstance(getattr(shape, "main", shape), UprightCylinder)
    assert rest_share(shape) == (CYLINDER_REST_SHARE if upright else BOX_REST_SHARE)
    assert pytest.approx(2 / (ROOT**2 - 1)) == CYLINDER_REST_SHARE


def steady(answer: np.ndarray, frequency: float, time: np.ndarray) -> complex:
    """The amplitude that a long answer settles at, from its last ten whole waves, by Fourier's integral."""
    last = slice(-round(10 / frequency / STEP), None)
    return complex(2j * np.mean(answer[last] * np.exp(-2j * np.pi * frequency * time[last])))


@pytest.mark.parametrize("damping", [0.08, 0.2])
def test_swaying_is_answered_with_the_gain_and_lag_of_a_damped_mode(damping: float) -> None:
    """Any textbook of vibrations: displacement 1/(1 - r^2 + 2i z r), force (1 + 2i z r) of it at the base."""
    sway, mode, time = 1.0, np.array([0.8, 1.6]), STEP * np.arange(6000)
    drive = 2.0 * np.sin(2 * np.pi * sway * time)
    ratio = sway / mode
    answer = 2.0 / (1 - ratio**2 + 2j * damping * ratio)
    for rest in (BOX_REST_SHARE, CYLINDER_REST_SHARE):
        moved = effective_acceleration(drive, STEP, mode, damping=damping, rest=rest)
        found = [steady(row, sway, time) for row in moved]
        np.testing.assert_allclose(found, rest * answer + (1 - rest) * 2.0, rtol=2e-3)
    np.testing.assert_array_equal(
        effective_acceleration(drive, STEP, mode, damping=damping),
        effective_acceleration(drive, STEP, mode, damping=damping, rest=BOX_REST_SHARE),
    )
    share = np.array([0.7, 0.3])
    pushed = [steady(row, sway, time) for row in mount_force(drive, STEP, mode, share=share, damping=damping)]
    np.testing.assert_allclose(pushed, share * (1 + 2j * damping * ratio) * answer + (1 - share) * 2.0, rtol=2e-3)
