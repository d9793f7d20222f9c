"""Cuts through the tank: their outlines, and the fluid beneath the surface in them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import OutsideModel
from planner.physics.section import beneath, tank_outline
from planner.physics.surface import STANDARD_GRAVITY, surface_height
from planner.physics.tank import Box, LyingCylinder, UprightCylinder, WithSump
from tests.tanks import polygon_area

BOX = Box(0.3, 0.2, 0.15)


@given(st.floats(0.02, 0.98), st.floats(-2.0, 2.0))
def test_a_boxs_fluid_in_the_cut_is_its_volume_over_its_width(share: float, slope: float) -> None:
    height = float(surface_height(BOX, share * BOX.capacity, -slope * STANDARD_GRAVITY, 0.0))
    fluid = beneath(tank_outline(BOX, "x"), height, slope)
    assert polygon_area(fluid) == pytest.approx(share * BOX.capacity / BOX.width, rel=1e-6)


def test_a_lying_cylinder_is_round_across_and_a_band_along() -> None:
    shape = LyingCylinder(0.2, 0.5, "x")
    assert polygon_area(tank_outline(shape, "y")) == pytest.approx(np.pi * 0.01, rel=3e-3)
    assert polygon_area(tank_outline(shape, "x")) == pytest.approx(0.5 * 0.2)
    assert polygon_area(tank_outline(shape, "x", 0.06)) == pytest.approx(0.5 * 0.16)


def test_an_upright_cylinder_is_narrower_off_its_middle() -> None:
    shape = UprightCylinder(0.2, 0.3)
    assert polygon_area(tank_outline(shape, "y", 0.06)) == pytest.approx(0.16 * 0.3)


def test_a_sump_shows_where_the_cut_meets_it() -> None:
    shape = WithSump(BOX, Box(0.08, 0.06, 0.04), 0.05, 0.02)
    assert polygon_area(tank_outline(shape, "x", 0.02)) == pytest.approx(0.3 * 0.15 + 0.08 * 0.04)
    assert polygon_area(tank_outline(shape, "x", -0.05)) == pytest.approx(0.3 * 0.15)
    assert polygon_area(tank_outline(shape, "y", 0.05)) == pytest.approx(0.2 * 0.15 + 0.06 * 0.04)
    low = beneath(tank_outline(shape, "x", 0.02), 0.02, 0.0)
    assert polygon_area(low) == pytest.approx(0.08 * 0.02)


SUMPED = WithSump(BOX, Box(0.08, 0.06, 0.04), 0.05, -0.03)


def test_a_sumps_cut_runs_round_tank_and_sump_against_the_clock() -> None:
    along = [
        [-0.15, 0.04],
        [0.01, 0.04],
        [0.01, 0.0],
        [0.09, 0.0],
        [0.09, 0.04],
        [0.15, 0.04],
        [0.15, 0.19],
        [-0.15, 0.19],
    ]
    aside = [[-0.1, 0.04], [-0.06, 0.04], [-0.06, 0.0], [0.0, 0.0], [0.0, 0.04], [0.1, 0.04], [0.1, 0.19], [-0.1, 0.19]]
    np.testing.assert_allclose(tank_outline(SUMPED, "x", -0.03), along, atol=1e-12)
    np.testing.assert_allclose(tank_outline(SUMPED, "y", 0.05), aside, atol=1e-12)


def test_a_cut_meets_the_sump_to_its_walls_and_no_further() -> None:
    plain, reach = 0.3 * 0.15, 0.08 * 0.04
    for offset, met in ((-0.059, True), (-0.001, True), (-0.061, False), (0.001, False)):
        assert polygon_area(tank_outline(SUMPED, "x", offset)) == pytest.approx(plain + reach * met)
    for offset, met in ((0.011, True), (0.089, True), (0.009, False), (0.091, False)):
        assert polygon_area(tank_outline(SUMPED, "y", offset)) == pytest.approx(0.2 * 0.15 + 0.06 * 0.04 * met)


def test_under_an_upright_cylinder_a_cut_through_the_sump_is_as_wide_as_the_cylinder_there() -> None:
    shape = WithSump(UprightCylinder(0.2, 0.3), Box(0.06, 0.06, 0.04), 0.0, 0.06)
    assert polygon_area(tank_outline(shape, "x", 0.06)) == pytest.approx(0.16 * 0.3 + 0.06 * 0.04)


def test_a_lying_cylinders_cut_off_its_middle_lies_where_the_tank_does() -> None:
    across = tank_outline(LyingCylinder(0.2, 0.5, "x"), "y", 0.2)
    assert across[0] == pytest.approx([0.0, 0.0])
    assert len(across) == len(np.unique(np.round(across, 9), axis=0))
    band = tank_outline(LyingCylinder(0.2, 0.5, "y"), "y", 0.06)
    np.testing.assert_allclose(band[:, 1], [0.02, 0.02, 0.18, 0.18])


@given(st.floats(0.01, 0.14), st.floats(-0.9, 0.9))
def test_the_fluid_in_a_cut_is_what_lies_under_the_line_and_within_the_tank(height: float, slope: float) -> None:
    fluid = beneath(tank_outline(BOX, "x"), height, slope)
    assert np.all(fluid[:, 1] <= height + slope * fluid[:, 0] + 1e-9)
    x = np.linspace(-0.15, 0.15, 20_001)
    under = np.clip(height + slope * x, 0.0, 0.15)
    assert polygon_area(fluid) == pytest.approx(float(np.trapezoid(under, x)), rel=1e-6, abs=1e-9)


def test_above_the_outline_is_all_of_it_and_below_none() -> None:
    outline = tank_outline(BOX, "y")
    np.testing.assert_array_equal(beneath(outline, 1.0, 0.3), outline)
    assert beneath(outline, -1.0, 0.3).shape == (0, 2)
    assert polygon_area(beneath(outline, -1.0, 0.3)) == 0.0


def test_a_cut_beside_the_tank_is_refused() -> None:
    with pytest.raises(OutsideModel, match="footprint"):
        tank_outline(BOX, "x", 0.2)


def test_corners_on_the_line_belong_to_the_fluid_and_stand_there_once() -> None:
    square = np.array([[-1.0, 0.0], [1.0, 0.0], [1.0, 1.0], [-1.0, 1.0]])
    np.testing.assert_array_equal(beneath(square, 0.5, 0.5), square[:3])


def test_a_cut_along_the_sumps_wall_shows_the_sump() -> None:
    shape = WithSump(Box(1.0, 1.0, 1.0), Box(0.5, 0.5, 0.25))
    assert polygon_area(tank_outline(shape, "x", 0.25)) == 1.0 + 0.5 * 0.25


def test_a_round_cut_has_48_corners_evenly_on_the_circle() -> None:
    """An inscribed n-cornered outline has the area n/2 R^2 sin(2 pi / n)."""
    outline = tank_outline(LyingCylinder(0.2, 0.5, "x"), "y")
    np.testing.assert_allclose(np.hypot(outline[:, 0], outline[:, 1] - 0.1), 0.1)
    assert polygon_area(outline) == pytest.approx(24 * 0.01 * np.sin(np.pi / 24))
