"""The still surface: volume conserved, floor and lid respected, every shape, any acceleration."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import OutsideModel
from planner.physics.surface import (
    STANDARD_GRAVITY,
    depth_over,
    floor_and_lid,
    slope_from_acceleration,
    surface_height,
    volume_to_cover,
    volume_under_plane,
)
from planner.physics.tank import Box, LyingCylinder, TankShape, UprightCylinder, WithSump
from tests.tanks import BOX, NAMES, SHAPES, column_volume, shapes, sumps

G = STANDARD_GRAVITY
accelerations = st.floats(-25.0, 25.0)
shares = st.floats(0.0, 1.0)


@pytest.mark.parametrize("shape", SHAPES, ids=NAMES)
def test_the_volume_beneath_a_plane_is_that_of_many_thin_columns(shape: TankShape) -> None:
    random = np.random.default_rng(7)
    for _ in range(12):
        slope_x, slope_y = random.normal(0, 0.8, 2)
        height = random.uniform(-0.3, 1.3) * shape.height
        exact = float(volume_under_plane(shape, np.float64(height), np.float64(slope_x), np.float64(slope_y)))
        assert exact == pytest.approx(column_volume(shape, height, slope_x, slope_y), abs=3e-4 * shape.capacity)


@given(shapes() | sumps(), shares, accelerations, accelerations)
def test_volume_is_conserved(shape: TankShape, share: float, ax: float, ay: float) -> None:
    volume = share * shape.capacity
    height = surface_height(shape, volume, ax, ay)
    back = volume_under_plane(shape, height, slope_from_acceleration(ax), slope_from_acceleration(ay))
    assert abs(float(back) - volume) <= 1e-9 * shape.capacity


@given(shapes() | sumps(), st.floats(0.001, 0.999))
def test_without_acceleration_the_surface_is_the_level(shape: TankShape, share: float) -> None:
    volume = share * shape.capacity
    level = float(shape.level_from_volume(volume))
    assert float(surface_height(shape, volume, 0.0, 0.0)) == pytest.approx(level, abs=2e-9)


@given(shapes(), st.floats(0.02, 0.98), accelerations, accelerations)
def test_a_tiny_acceleration_hardly_moves_the_surface(shape: TankShape, share: float, ax: float, ay: float) -> None:
    volume = share * shape.capacity
    heights = [float(surface_height(shape, volume, scale * ax, scale * ay)) for scale in (0.0, 1e-9, 1e-6, 1e-5)]
    assert max(heights) - min(heights) <= 1e-5


@given(shapes(), shares, accelerations, accelerations)
def test_mirrored_accelerations_mirror_the_surface(shape: TankShape, share: float, ax: float, ay: float) -> None:
    volume = share * shape.capacity
    heights = [float(surface_height(shape, volume, sx * ax, sy * ay)) for sx in (1, -1) for sy in (1, -1)]
    assert max(heights) - min(heights) <= 1e-9


@given(shapes() | sumps(), accelerations, accelerations, st.floats(0.01, 0.99), st.floats(0.01, 0.99))
def test_more_fluid_never_lowers_the_surface(
    shape: TankShape, ax: float, ay: float, share: float, other: float
) -> None:
    less, more = sorted((share * shape.capacity, other * shape.capacity))
    assert float(surface_height(shape, less, ax, ay)) <= float(surface_height(shape, more, ax, ay)) + 1e-10


def test_a_left_hand_corner_throws_the_fluid_to_the_right_and_braking_throws_it_forward() -> None:
    half = BOX.capacity / 2
    right, left = (0.0, -0.05, 0.02), (0.0, 0.05, 0.02)
    assert depth_over(BOX, right, half, ay=G) > depth_over(BOX, right, half) > depth_over(BOX, left, half, ay=G)
    front, rear = (0.1, 0.0, 0.02), (-0.1, 0.0, 0.02)
    assert depth_over(BOX, front, half, ax=-G) > depth_over(BOX, rear, half, ax=-G)


@given(shapes(), st.floats(-0.4, 0.4), st.floats(-0.4, 0.4), st.floats(0.1, 0.9), accelerations, accelerations)
def test_the_covering_volume_brings_the_surface_to_the_point(
    shape: TankShape, x: float, y: float, z: float, ax: float, ay: float
) -> None:
    x, y = x * shape.length, y * shape.width
    if isinstance(shape, UprightCylinder):
        x, y = x * 0.8, y * 0.8
    floor, lid = (float(value) for value in floor_and_lid(shape, x, y))
    point = (x, y, floor + z * (lid - floor))
    volume = float(volume_to_cover(shape, point, ax, ay))
    if 1e-6 < volume / shape.capacity < 1 - 1e-6:
        # A sliver of a corner has hardly any area, so a depth there is loose where the volume is exact.
        assert float(depth_over(shape, point, volume, ax=ax, ay=ay)) == pytest.approx(0.0, abs=2e-6)
    wanted = float(volume_to_cover(shape, point, ax, ay, margin=0.01))
    assert volume <= wanted <= shape.capacity * (1 + 1e-12)


def test_a_sump_has_its_own_floor_and_the_tank_beside_it_another() -> None:
    shape = WithSump(Box(0.25, 0.15, 0.18), Box(0.08, 0.09, 0.05), 0.02, 0.03)
    assert [float(value) for value in floor_and_lid(shape, 0.02, 0.03)] == [0.0, pytest.approx(0.23)]
    assert [float(value) for value in floor_and_lid(shape, -0.1, 0.0)] == [0.05, pytest.approx(0.23)]
    with pytest.raises(OutsideModel, match="move it inside"):
        volume_to_cover(shape, (-0.1, 0.0, 0.02), 0.0, 0.0)
    with pytest.raises(OutsideModel, match="footprint"):
        floor_and_lid(WithSump(UprightCylinder(0.2, 0.2), Box(0.05, 0.05, 0.03)), 0.09, 0.09)


def test_depth_ends_at_the_lid() -> None:
    assert float(depth_over(BOX, (0.1, 0.0, 0.01), 0.9 * BOX.capacity, ax=-2 * G)) == pytest.approx(0.2033)


def test_many_cases_are_answered_at_once() -> None:
    volume = np.linspace(0.001, 0.007, 5)[:, None]
    lateral = np.linspace(-9, 9, 7)
    depth = depth_over(BOX, (0.05, 0.02, 0.01), volume, ay=lateral)
    assert depth.shape == (5, 7)
    one = depth_over(BOX, (0.05, 0.02, 0.01), volume[2, 0], ay=lateral[4])
    assert float(one) == pytest.approx(float(depth[2, 4]), abs=1e-9)


def test_questions_without_an_answer_are_refused() -> None:
    with pytest.raises(OutsideModel, match=r"volume \[m3\] .* holds 0 to"):
        surface_height(BOX, 1.01 * BOX.capacity, 0.0, 0.0)
    with pytest.raises(OutsideModel, match="not finite"):
        surface_height(BOX, 0.001, np.nan, 0.0)
    with pytest.raises(OutsideModel, match="outside the tank's footprint; move it inside"):
        depth_over(BOX, (0.2, 0.0, 0.01), 0.001)
    with pytest.raises(OutsideModel, match=r"at z = 0.001 m is outside the tank"):
        volume_to_cover(LyingCylinder(0.2, 0.4), (0.0, 0.09, 0.001), 0.0, 0.0)
    with pytest.raises(OutsideModel, match="footprint"):
        floor_and_lid(UprightCylinder(0.2, 0.2), 0.09, 0.09)
