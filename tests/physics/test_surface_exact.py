"""The volume beneath a plane against quadrature, the plane's ends, and how near to a wall a place may lie."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

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
from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump
from tests.tanks import BOX, NAMES, SHAPES

G = STANDARD_GRAVITY
slopes = st.floats(-12, 1).map(lambda power: 10**power) | st.just(0.0)
signs = st.sampled_from([-1.0, 1.0])
heights = st.floats(-1.0, 2.0)


def ramp_mean(height: float, half: float) -> float:
    """Mean of max(0, height + t), t evenly spread from -half to half."""
    if height >= half:
        return height
    return (height + half) ** 2 / (4 * half) if height > -half else 0.0


def integral(value, low: float, high: float, *breaks: float) -> float:
    """By scipy's quadrature, broken where the integrand bends."""
    points = [p for p in breaks if low < p < high]
    edges = [low, *sorted(points), high]
    return sum(quad(value, a, b, epsabs=1e-15, epsrel=1e-12)[0] for a, b in itertools.pairwise(edges))


def box_volume(shape: Box, height: float, slope_x: float, slope_y: float) -> float:
    """Rows along x, each a trapezoid, integrated over y; the lid takes away what stands above it."""
    half = abs(slope_x) * shape.length / 2

    def above(level: float) -> float:
        def row(y: float) -> float:
            return ramp_mean(height - level + slope_y * y, half) if half > 0 else max(height - level + slope_y * y, 0.0)

        bends = [(end - height + level) / slope_y for end in (-half, half)] if slope_y else []
        return shape.length * integral(row, -shape.width / 2, shape.width / 2, *bends)

    return above(0.0) - above(shape.height)


def disc_volume(shape: UprightCylinder, height: float, slope: float) -> float:
    """Chords across the slope, each with one depth."""
    radius = shape.diameter / 2

    def slab(angle: float) -> float:
        depth = min(max(height + slope * radius * np.sin(angle), 0.0), shape.height)
        return 2 * radius**2 * np.cos(angle) ** 2 * depth

    bends = [np.arcsin(s) for s in ((e - height) / (slope * radius) for e in (0.0, shape.height)) if abs(s) < 1]
    return integral(slab, -np.pi / 2, np.pi / 2, *bends)


def lying_volume(shape: LyingCylinder, height: float, axial: float, across: float) -> float:
    """Segments of the circle, cut by the tilted chord, along the axis."""
    radius = shape.diameter / 2

    def segment(place: float) -> float:
        offset = (height + axial * place - radius) / np.sqrt(1 + across**2) / radius
        offset = min(max(offset, -1.0), 1.0)
        half_angle = np.arccos(-offset)
        return radius**2 * (half_angle - np.sin(half_angle) * np.cos(half_angle))

    reach = radius * np.sqrt(1 + across**2)
    bends = [(radius + sign * reach - height) / axial for sign in (-1, 1)] if axial else []
    return integral(segment, -shape.axial_length / 2, shape.axial_length / 2, *bends)


@given(heights, slopes, slopes, signs, signs)
def test_in_a_box_it_is_the_integral_over_rows(height: float, sx: float, sy: float, one: float, two: float) -> None:
    shape, at = Box(0.3, 0.2, 0.15), 0.15 * height
    found = float(volume_under_plane(shape, np.float64(at), np.float64(one * sx), np.float64(two * sy)))
    assert found == pytest.approx(box_volume(shape, at, one * sx, two * sy), abs=2e-11 * shape.capacity)


@given(heights, st.floats(-9, 1).map(lambda power: 10**power), st.floats(0, 6.28))
def test_in_an_upright_cylinder_it_is_the_integral_over_chords(height: float, slope: float, heading: float) -> None:
    shape, at = UprightCylinder(0.2, 0.25), 0.25 * height
    sx, sy = slope * np.cos(heading), slope * np.sin(heading)
    found = float(volume_under_plane(shape, np.float64(at), np.float64(sx), np.float64(sy)))
    assert found == pytest.approx(disc_volume(shape, at, slope), abs=1e-8 * shape.capacity)


@given(heights, slopes, slopes, signs, st.sampled_from(["x", "y"]))
def test_in_a_lying_cylinder_it_is_the_integral_over_its_axis(
    height: float, axial: float, across: float, sign: float, axis
) -> None:
    shape, at = LyingCylinder(0.2, 0.4, axis), 0.2 * height
    sx, sy = (sign * axial, across) if axis == "x" else (across, sign * axial)
    found = float(volume_under_plane(shape, np.float64(at), np.float64(sx), np.float64(sy)))
    assert found == pytest.approx(lying_volume(shape, at, sign * axial, across), abs=1e-8 * shape.capacity)


@given(heights, slopes, slopes, signs, signs)
def test_a_dip_table_is_a_stack_of_boxes_each_with_its_layers_area(
    height: float, sx: float, sy: float, one: float, two: float
) -> None:
    shape = DipTable((0.0, 0.04, 0.1, 0.2), (0.0, 0.0008, 0.0044, 0.0084), 0.3, 0.2)
    at, sx, sy = 0.2 * height, one * sx, two * sy
    expected = 0.0
    for low, high, area in ((0.0, 0.04, 0.02), (0.04, 0.1, 0.06), (0.1, 0.2, 0.04)):
        layer = Box(0.3, 0.2, high - low)
        expected += area / 0.06 * box_volume(layer, at - low, sx, sy)
    found = float(volume_under_plane(shape, np.float64(at), np.float64(sx), np.float64(sy)))
    assert found == pytest.approx(expected, abs=4e-11 * shape.capacity)


@pytest.mark.parametrize("ratio", [3e-4, 1e-4, 3e-5, 1.1e-5, 9e-6, 1e-7])
def test_a_slope_far_smaller_than_the_other_still_counts(ratio: float) -> None:
    shape = Box(0.3, 0.3, 0.15)
    for height in (0.02, -0.05, 0.13):
        for sx, sy in ((0.6, 0.6 * ratio), (-0.6 * ratio, 0.6)):
            found = float(volume_under_plane(shape, np.float64(height), np.float64(sx), np.float64(sy)))
            assert found == pytest.approx(box_volume(shape, height, sx, sy), abs=1e-11 * shape.capacity)


def test_beneath_a_sump_and_its_tank_the_plane_is_one() -> None:
    shape = WithSump(Box(0.25, 0.15, 0.18), Box(0.08, 0.09, 0.05), 0.02, -0.03)
    for height, sx, sy in ((0.03, 0.2, -0.4), (0.06, -0.5, 0.3), (0.2, 1.0, 0.7)):
        below = box_volume(shape.sump, height + 0.02 * sx - 0.03 * sy, sx, sy)
        above = box_volume(shape.main, height - 0.05, sx, sy)
        found = float(volume_under_plane(shape, np.float64(height), np.float64(sx), np.float64(sy)))
        assert found == pytest.approx(below + above, abs=1e-11 * shape.capacity)


@pytest.mark.parametrize(("sx", "sy"), [(0.3, -0.4), (-1.2, 0.0), (0.0, 0.9)])
def test_an_empty_and_a_full_tanks_plane_touches_its_outermost_point(sx: float, sy: float) -> None:
    def lying(axial: float, across: float) -> float:
        return 0.1 * (np.sqrt(1 + across**2) - 1) + abs(axial) * 0.2

    reaches = (
        (BOX, abs(sx) * 0.125 + abs(sy) * 0.075),
        (UprightCylinder(0.2, 0.25), np.hypot(sx, sy) * 0.1),
        (LyingCylinder(0.2, 0.4, "x"), lying(sx, sy)),
        (LyingCylinder(0.2, 0.4, "y"), lying(sy, sx)),
    )
    for shape, reach in reaches:
        # A lying cylinder's last drop hardly holds a volume, so its plane is looser.
        near = 2e-5 if isinstance(shape, LyingCylinder | UprightCylinder) else 1e-6
        empty, full = (float(surface_height(shape, v, -sx * G, -sy * G)) for v in (0.0, shape.capacity))
        assert empty == pytest.approx(-reach, abs=near)
        assert full == pytest.approx(shape.height + reach, abs=near)


def test_where_no_acceleration_is_said_the_surface_is_level() -> None:
    assert float(depth_over(BOX, (0.1, 0.05, 0.02), 0.4 * BOX.capacity)) == pytest.approx(0.4 * BOX.height - 0.02)
    only_x = depth_over(BOX, (0.1, 0.05, 0.02), 0.4 * BOX.capacity, ax=2.0)
    only_y = depth_over(BOX, (0.1, 0.05, 0.02), 0.4 * BOX.capacity, ay=2.0)
    assert float(only_x) == pytest.approx(0.4 * BOX.height - 0.02 - 0.1 * 2.0 / G)
    assert float(only_y) == pytest.approx(0.4 * BOX.height - 0.02 - 0.05 * 2.0 / G)
    assert float(volume_to_cover(BOX, (0.1, 0.05, 0.02), 0.0, 0.0)) == pytest.approx(0.02 * 0.25 * 0.15)


def test_the_surface_falls_along_the_acceleration() -> None:
    np.testing.assert_allclose(slope_from_acceleration([G, -2 * G, 0.0]), [-1.0, 2.0, 0.0])
    for wrong in (np.inf, -np.inf, np.nan):
        with pytest.raises(OutsideModel, match=r"^acceleration \[m/s2\] is not finite; leave such samples out or fill"):
            slope_from_acceleration(np.array([1.0, wrong]))


@pytest.mark.parametrize("shape", SHAPES, ids=NAMES)
def test_a_place_may_lie_on_the_wall_and_a_point_on_floor_or_lid_but_no_millionth_beyond(shape: TankShape) -> None:
    round_ = isinstance(shape, UprightCylinder)
    for x, y in ((0.5, 0.0), (-0.5, 0.0), (0.0, 0.5), (0.0, -0.5)):
        for beyond, inside in ((5e-10, True), (2e-9, False)):
            along, aside = (n * (size + 2 * beyond) for n, size in ((x, shape.length), (y, shape.width)))
            if inside:
                floor_and_lid(shape, along, aside)
            else:
                with pytest.raises(OutsideModel, match=r"the place x = .* m, y = .* m is outside the tank's footprint"):
                    floor_and_lid(shape, along, aside)
    if not round_:
        floor_and_lid(shape, 0.499 * shape.length, 0.499 * shape.width)
    floor, lid = (float(value) for value in floor_and_lid(shape, 0.0, 0.0))
    for z, inside in ((floor - 5e-10, True), (lid + 5e-10, True), (floor - 2e-9, False), (lid + 2e-9, False)):
        if inside:
            depth_over(shape, (0.0, 0.0, z), 0.5 * shape.capacity)
        else:
            told = rf"^the point at z = {z} m is outside the tank, which has {floor} to {lid} m there; move it inside$"
            with pytest.raises(OutsideModel, match=told):
                volume_to_cover(shape, (0.0, 0.0, z), 0.0, 0.0)


def test_floor_and_lid_of_each_shape() -> None:
    def ends(shape: TankShape, x: float, y: float) -> tuple[float, float]:
        floor, lid = floor_and_lid(shape, x, y)
        return float(floor), float(lid)

    assert ends(Box(0.3, 0.2, 0.1), 0.1, -0.1) == (0.0, 0.1)
    assert ends(UprightCylinder(0.2, 0.3), 0.06, 0.08) == (0.0, 0.3)
    arch = (pytest.approx(0.02), pytest.approx(0.18))
    assert ends(LyingCylinder(0.2, 0.4, "x"), 0.15, 0.06) == arch
    assert ends(LyingCylinder(0.2, 0.4, "y"), 0.06, 0.15) == arch
    assert ends(DipTable((0.0, 0.1), (0.0, 0.004), 0.3, 0.2), 0.1, 0.1) == (0.0, 0.1)
    sumped = WithSump(Box(0.5, 0.5, 0.5), Box(0.25, 0.125, 0.25), 0.0625, -0.0625)
    for x, y, floor in (
        (0.1875, -0.0625, 0.0),
        (-0.0625, 0.0, 0.0),
        (0.0625, -0.125, 0.0),
        (0.1876, -0.0625, 0.25),
        (-0.0626, -0.0625, 0.25),
        (0.0625, 0.0001, 0.25),
        (0.0625, -0.1251, 0.25),
    ):
        assert ends(sumped, x, y) == (floor, 0.75)


def test_the_margin_ends_at_the_lid_and_may_be_negative() -> None:
    flat, point = 0.25 * 0.15, (0.0, 0.0, 0.2)
    found = volume_to_cover(BOX, point, 0.0, 0.0, margin=np.array([-0.05, 0.0, 0.01, 0.02]))
    np.testing.assert_allclose(found, [0.15 * flat, 0.2 * flat, 0.21 * flat, BOX.capacity])
    tilted = volume_to_cover(BOX, (0.1, 0.05, 0.02), np.array([0.0, 0.1 * G]), -0.2 * G, margin=0.01)
    np.testing.assert_allclose(tilted, [(0.03 - 0.2 * 0.05) * flat, (0.03 + 0.1 * 0.1 - 0.2 * 0.05) * flat])


def test_a_volume_a_hair_beyond_the_brim_is_taken_as_full_and_more_is_refused() -> None:
    for beyond in (1 + 5e-10, 1.0):
        assert float(surface_height(BOX, beyond * BOX.capacity, 0.0, 0.0)) == pytest.approx(BOX.height, abs=1e-9)
    for volume in (1.000001 * BOX.capacity, -1e-9, np.nan):
        with pytest.raises(OutsideModel, match=r"^volume \[m3\] .* is outside the tank, which holds 0 to 0\.00"):
            surface_height(BOX, np.array([0.001, volume]), 0.0, 0.0)
