"""What holds for every tank shape: scaling, extents, the ends of its levels, and a hair beyond them."""

from __future__ import annotations

import numpy as np
import pytest

from planner.errors import OutsideModel
from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder
from tests.tanks import NAMES, SHAPES

SHARES = np.linspace(0.0, 1.0, 21)


@pytest.mark.parametrize("shape", SHAPES, ids=NAMES)
def test_a_scaled_shape_holds_the_cube_of_the_factor_at_every_share_of_its_height(shape: TankShape) -> None:
    scaled = shape.scaled(1.5)
    assert type(scaled) is type(shape)
    for extent in ("length", "width", "height"):
        assert getattr(scaled, extent) == pytest.approx(1.5 * getattr(shape, extent), rel=1e-12)
    volumes = shape.volume_from_level(SHARES * shape.height)
    np.testing.assert_allclose(scaled.volume_from_level(SHARES * scaled.height), 1.5**3 * volumes, rtol=1e-9)
    assert scaled.capacity == pytest.approx(1.5**3 * shape.capacity, rel=1e-12)


@pytest.mark.parametrize("shape", SHAPES, ids=NAMES)
def test_level_and_volume_run_from_empty_to_the_brim_and_are_each_others_inverse(shape: TankShape) -> None:
    ends = np.array([0.0, 1.0])
    np.testing.assert_allclose(shape.volume_from_level(ends * shape.height), ends * shape.capacity, atol=1e-18)
    # A lying cylinder's area hardly grows at its floor and its brim, so the level is looser there.
    levels = shape.level_from_volume(ends * shape.capacity)
    np.testing.assert_allclose(levels, ends * shape.height, atol=1e-8 * shape.height)
    levels = shape.level_from_volume(SHARES * shape.capacity)
    np.testing.assert_allclose(shape.volume_from_level(levels), SHARES * shape.capacity, atol=1e-11 * shape.capacity)


@pytest.mark.parametrize("shape", SHAPES, ids=NAMES)
def test_rounding_beyond_the_ends_is_taken_as_the_end_and_more_is_refused(shape: TankShape) -> None:
    for ask, top in ((shape.volume_from_level, shape.height), (shape.level_from_volume, shape.capacity)):
        assert float(ask(top * (1 + 5e-10))) == float(ask(top))
        assert float(ask(-5e-13 * top)) == float(ask(0.0))
        for beyond in (top * (1 + 1e-8), -1e-11 * top, np.nan):
            with pytest.raises(OutsideModel, match=rf"is outside the tank, which has 0 to {top}"):
                ask(beyond)


def test_extents_are_along_the_car_across_it_and_upward() -> None:
    along, across = LyingCylinder(0.2, 0.5), LyingCylinder(0.2, 0.5, "y")
    assert (along.length, along.width, along.height) == (0.5, 0.2, 0.2)
    assert (across.length, across.width, across.height) == (0.2, 0.5, 0.2)
    upright = UprightCylinder(0.2, 0.3)
    assert (upright.length, upright.width, upright.height) == (0.2, 0.2, 0.3)
    dips = DipTable((0.0, 0.1, 0.3), (0.0, 0.001, 0.002), 0.4, 0.25)
    assert (dips.length, dips.width, dips.height, dips.capacity) == (0.4, 0.25, 0.3, 0.002)
    assert Box(0.3, 0.2, 0.1).capacity == pytest.approx(0.006)
    assert (along.scaled(2.0).axis, across.scaled(2.0).axis) == ("x", "y")


def test_a_lying_cylinder_of_any_diameter_has_a_volume_at_its_ends_and_at_the_numbers_next_to_them() -> None:
    for diameter in np.random.default_rng(6).uniform(0.05, 0.5, 4000):
        tank = LyingCylinder(float(diameter), 0.3)
        near = np.nextafter(tank.height, 0.0)
        volumes = tank.volume_from_level(np.array([0.0, 5e-324, tank.height / 2, near, tank.height]))
        assert np.all(np.isfinite(volumes))
        assert volumes[[0, -1]] == pytest.approx([0.0, tank.capacity], rel=1e-12, abs=1e-15)
        assert np.all(np.isfinite(tank.level_from_volume(np.array([0.0, tank.capacity]))))
