"""A tank with a sump: level and volume, and what its two parts say on their own."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import OutsideModel
from planner.physics.columns import fluid_offset
from planner.physics.slosh import equivalent_box, first_mode_frequency, moving_share, rest_share
from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump
from tests.tanks import sumps

MAIN, SUMP = Box(0.25, 0.15, 0.18), Box(0.08, 0.09, 0.05)
SHAPE = WithSump(MAIN, SUMP, 0.02, 0.03)


@given(sumps(), st.floats(0.0, 1.0))
def test_level_and_volume_are_each_others_inverse(shape: WithSump, share: float) -> None:
    volume = share * shape.capacity
    level = shape.level_from_volume(volume)
    assert float(shape.volume_from_level(level)) == pytest.approx(volume, rel=1e-9, abs=1e-15)
    assert shape.capacity == pytest.approx(float(shape.volume_from_level(shape.height)))


def test_the_sump_fills_first() -> None:
    np.testing.assert_allclose(SHAPE.volume_from_level(np.array([0.03, 0.05])), [0.03 * 0.0072, SUMP.capacity])
    assert float(SHAPE.volume_from_level(0.15)) == pytest.approx(SUMP.capacity + 0.1 * 0.0375)
    with pytest.raises(OutsideModel, match="outside the tank"):
        SHAPE.volume_from_level(0.24)


def test_scaling_scales_every_length() -> None:
    twice = SHAPE.scaled(2.0)
    assert twice.capacity == pytest.approx(8 * SHAPE.capacity)
    assert (twice.ahead, twice.left, twice.height) == (0.04, 0.06, pytest.approx(0.46))


def test_it_sloshes_as_the_part_where_its_surface_stands_and_the_sumps_fluid_rests() -> None:
    in_sump, above = 0.5 * SUMP.capacity, 0.4 * MAIN.capacity
    volumes = np.array([in_sump, SUMP.capacity + above])
    expected = [float(first_mode_frequency(part, v, "y")) for part, v in ((SUMP, in_sump), (MAIN, above))]
    np.testing.assert_allclose(first_mode_frequency(SHAPE, volumes, "y"), expected)
    share = moving_share(SHAPE, volumes, "y")
    assert float(share[0]) == pytest.approx(float(moving_share(SUMP, in_sump, "y")))
    assert float(share[1]) == pytest.approx(float(moving_share(MAIN, above, "y")) * above / volumes[1])
    cylinder = UprightCylinder(0.2, 0.2)
    assert rest_share(WithSump(cylinder, SUMP)) == rest_share(cylinder)
    with pytest.raises(OutsideModel, match="no one box"):
        equivalent_box(SHAPE, volumes, "y")


def test_its_weight_stands_where_its_parts_put_it() -> None:
    x, y = fluid_offset(SHAPE, np.array([SUMP.capacity / 2, SHAPE.capacity]), 0.0, 0.0)
    assert (float(x[0]), float(y[0])) == (pytest.approx(0.02), pytest.approx(0.03))
    share = SUMP.capacity / SHAPE.capacity
    assert (float(x[1]), float(y[1])) == (pytest.approx(0.02 * share), pytest.approx(0.03 * share))


@pytest.mark.parametrize(
    "shape",
    [MAIN, UprightCylinder(0.2, 0.2), LyingCylinder(0.2, 0.3), DipTable((0.0, 0.1), (0.0, 0.004), 0.3, 0.2), SHAPE],
    ids=["box", "upright", "lying", "dips", "sump"],
)
def test_a_level_or_a_volume_beyond_a_tank_is_refused_by_its_name(shape: TankShape) -> None:
    with pytest.raises(OutsideModel, match=r"^level \[m\]"):
        shape.volume_from_level(shape.height * 1.01)
    with pytest.raises(OutsideModel, match=r"^volume \[m3\]"):
        shape.level_from_volume(shape.capacity * 1.01)
