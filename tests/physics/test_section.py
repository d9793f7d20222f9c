"""Cuts through the tank: their outlines, and the fluid beneath the surface in them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import OutsideModel
from planner.physics.section import beneath, polygon_area, tank_outline
from planner.physics.surface import STANDARD_GRAVITY, surface_height
from planner.physics.tank import Box, LyingCylinder, UprightCylinder, WithSump

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


def test_above_the_outline_is_all_of_it_and_below_none() -> None:
    outline = tank_outline(BOX, "y")
    np.testing.assert_array_equal(beneath(outline, 1.0, 0.3), outline)
    assert beneath(outline, -1.0, 0.3).shape == (0, 2)
    assert polygon_area(beneath(outline, -1.0, 0.3)) == 0.0


def test_a_cut_beside_the_tank_is_refused() -> None:
    with pytest.raises(OutsideModel, match="footprint"):
        tank_outline(BOX, "x", 0.2)
