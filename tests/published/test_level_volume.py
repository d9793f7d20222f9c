"""Level and volume of every tank shape against the package `fluids` (fluids.geometry)."""

from __future__ import annotations

import numpy as np
import pytest
from fluids.geometry import TANK, V_from_h

from planner.physics.tank import Box, DipTable, LyingCylinder, UprightCylinder

SHARES = np.linspace(0.0, 1.0, 41)


def test_lying_cylinders() -> None:
    for diameter, length in ((0.13, 0.3), (0.2, 0.4), (0.09, 0.7)):
        shape = LyingCylinder(diameter, length)
        levels = SHARES * diameter
        published = [V_from_h(float(h), diameter, length, horizontal=True) for h in levels]
        np.testing.assert_allclose(shape.volume_from_level(levels), published, rtol=1e-9, atol=1e-15)
        np.testing.assert_allclose(shape.level_from_volume(published), levels, atol=1e-9)


def test_upright_cylinders() -> None:
    shape = UprightCylinder(0.12, 0.2)
    published = [V_from_h(float(h), 0.12, 0.2, horizontal=False) for h in SHARES * 0.2]
    np.testing.assert_allclose(shape.volume_from_level(SHARES * 0.2), published, rtol=1e-12, atol=1e-18)
    np.testing.assert_allclose(shape.level_from_volume(published), SHARES * 0.2, atol=1e-12)


def test_full_tanks() -> None:
    assert UprightCylinder(0.3, 0.5).capacity == pytest.approx(TANK(D=0.3, L=0.5, horizontal=False).V_total)
    assert LyingCylinder(0.3, 0.5).capacity == pytest.approx(TANK(D=0.3, L=0.5, horizontal=True).V_total)


def test_a_box_is_length_by_width_by_level() -> None:
    """By definition of volume."""
    shape = Box(0.32, 0.18, 0.14)
    np.testing.assert_allclose(shape.volume_from_level(SHARES * 0.14), 0.32 * 0.18 * 0.14 * SHARES, rtol=1e-14)
    np.testing.assert_allclose(shape.level_from_volume(shape.capacity * SHARES), SHARES * 0.14, atol=1e-15)


def test_a_dip_table_of_a_lying_cylinder_follows_it_between_dips() -> None:
    """41 dips taken from the package; halfway between dips the straight line is within 0.3 % of the capacity."""
    levels = SHARES * 0.2
    dips = [V_from_h(float(h), 0.2, 0.4, horizontal=True) for h in levels]
    shape = DipTable(tuple(levels.tolist()), tuple(dips), 0.2, 0.4)
    between = (levels[1:] + levels[:-1]) / 2
    published = [V_from_h(float(h), 0.2, 0.4, horizontal=True) for h in between]
    np.testing.assert_allclose(shape.volume_from_level(between), published, atol=3e-3 * shape.capacity)
    np.testing.assert_allclose(shape.level_from_volume(shape.volume_from_level(between)), between, atol=1e-12)
