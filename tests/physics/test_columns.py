"""Where the fluid's weight stands: closed forms of tilted fluid in each shape."""

from __future__ import annotations

import numpy as np
import pytest

from planner.physics.columns import fluid_offset
from planner.physics.surface import STANDARD_GRAVITY, surface_height
from planner.physics.tank import Box, DipTable, LyingCylinder, UprightCylinder, WithSump

G = STANDARD_GRAVITY
BOX = Box(0.25, 0.15, 0.2)


def test_in_a_box_it_moves_by_the_slope_times_the_lengths_square_over_twelve_depths() -> None:
    """From the moments of a trapezoid, along both axes at once, while floor is wet and lid dry."""
    volumes = np.array([0.4, 0.6]) * BOX.capacity
    depth = volumes / (0.25 * 0.15)
    x, y = fluid_offset(BOX, volumes, -0.3 * G, 0.2 * G)
    np.testing.assert_allclose(x, 0.3 * 0.25**2 / (12 * depth), rtol=2e-3)
    np.testing.assert_allclose(y, -0.2 * 0.15**2 / (12 * depth), rtol=2e-3)
    one, _ = fluid_offset(BOX, 0.4 * BOX.capacity, -0.3 * G, 0.2 * G)
    assert one == pytest.approx(x[:1])


def test_in_an_upright_cylinder_it_moves_by_the_slope_times_the_radius_square_over_four_depths() -> None:
    shape = UprightCylinder(0.2, 0.3)
    x, y = fluid_offset(shape, np.array([0.5 * shape.capacity]), 0.25 * G, -0.4 * G)
    assert float(x[0]) == pytest.approx(-0.25 * 0.01 / (4 * 0.15), rel=5e-3)
    assert float(y[0]) == pytest.approx(0.4 * 0.01 / (4 * 0.15), rel=5e-3)


@pytest.mark.parametrize("axis", ["x", "y"])
def test_in_a_half_full_lying_cylinder_the_half_disc_turns_with_the_surface(axis) -> None:
    """The middle of a half disc stands 4 R / (3 pi) from its centre, at right angles to the surface."""
    shape, radius = LyingCylinder(0.2, 0.4, axis), 0.1
    half, slope = np.array([0.5 * shape.capacity]), 0.5
    turned = 4 * radius / (3 * np.pi) * np.sin(np.arctan(slope))
    ax, ay = (0.0, -slope * G) if axis == "x" else (-slope * G, 0.0)
    x, y = fluid_offset(shape, half, ax, ay)
    across, along = (y, x) if axis == "x" else (x, y)
    assert float(across[0]) == pytest.approx(turned, rel=1e-2)
    assert float(along[0]) == pytest.approx(0.0, abs=1e-9)
    # Along its axis the chord of a half full circle hardly changes: s L^2 / (3 pi R) for a small slope.
    ax, ay = (-0.02 * G, 0.0) if axis == "x" else (0.0, -0.02 * G)
    x, y = fluid_offset(shape, half, ax, ay)
    assert float((x if axis == "x" else y)[0]) == pytest.approx(0.02 * 0.4**2 / (3 * np.pi * radius), rel=5e-3)


def test_a_dip_table_of_a_box_is_that_box_and_one_that_narrows_downward_is_not() -> None:
    volumes = np.array([0.3, 0.7]) * BOX.capacity
    even = DipTable((0.0, 0.1, 0.2), (0.0, BOX.capacity / 2, BOX.capacity), 0.25, 0.15)
    np.testing.assert_allclose(fluid_offset(even, volumes, 2.0, -3.0), fluid_offset(BOX, volumes, 2.0, -3.0), rtol=1e-9)
    # Half the area below 0.1 m: with the surface within the upper half only that half's full area tilts.
    narrow = DipTable((0.0, 0.1, 0.2), (0.0, 0.5 * BOX.capacity / 2, 0.75 * BOX.capacity), 0.25, 0.15)
    volume = 0.5 * BOX.capacity
    _, y = fluid_offset(narrow, np.array([volume]), 0.0, 0.1 * G)
    assert float(y[0]) == pytest.approx(-0.1 * 0.25 * 0.15**3 / 12 / volume, rel=2e-3)


def test_a_sumps_fluid_adds_its_own_moment_beneath_the_same_plane() -> None:
    shape = WithSump(Box(0.25, 0.15, 0.18), Box(0.08, 0.09, 0.05), 0.02, -0.03)
    ax, ay = -0.2 * G, 0.1 * G
    volume = shape.sump.capacity + 0.5 * shape.main.capacity
    height = float(surface_height(shape, volume, ax, ay))
    # The sump is full and the tank's own floor is wet: a block beside the middle, and a trapezoid.
    depth = height - 0.05
    main = depth * 0.25 * 0.15
    assert main + shape.sump.capacity == pytest.approx(volume)
    expected_x = (0.02 * shape.sump.capacity + 0.2 * 0.25**2 / 12 * 0.25 * 0.15) / volume
    expected_y = (-0.03 * shape.sump.capacity - 0.1 * 0.15**2 / 12 * 0.25 * 0.15) / volume
    x, y = fluid_offset(shape, np.array([volume]), ax, ay)
    assert (float(x[0]), float(y[0])) == (pytest.approx(expected_x, rel=2e-3), pytest.approx(expected_y, rel=2e-3))
    # A dip table over a sump holds what a box with the same area does.
    dips = WithSump(DipTable((0.0, 0.09, 0.18), (0.0, 0.003375, 0.00675), 0.25, 0.15), shape.sump, 0.02, -0.03)
    np.testing.assert_allclose(fluid_offset(dips, np.array([volume]), ax, ay), (x, y), rtol=1e-9)
    # Within the sump alone the trapezoid is the sump's.
    low = 0.5 * shape.sump.capacity
    x, y = fluid_offset(shape, np.array([low]), ax, ay)
    assert float(x[0]) == pytest.approx(0.02 + 0.2 * 0.08**2 / (12 * 0.025), rel=1e-3)
    assert float(y[0]) == pytest.approx(-0.03 - 0.1 * 0.09**2 / (12 * 0.025), rel=1e-3)
