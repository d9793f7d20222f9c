"""Covered or bare: the table with its exact fallback gives what the exact surface gives."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import OutsideModel
from planner.physics.cover import MARGIN_ABOVE, TOLERANCE, covering_volume, table_volume, uncovered
from planner.physics.surface import depth_over
from planner.physics.tank import TankShape
from tests.tanks import BOX, NAMES, SHAPES, shapes

RANDOM = np.random.default_rng(3)
AX, AY = RANDOM.normal(0, 8, (2, 3000))


@settings(max_examples=25, deadline=None)
@given(shapes(), st.floats(-0.3, 0.3), st.floats(-0.3, 0.3), st.floats(0.05, 0.3))
def test_the_table_is_within_its_tolerance(shape: TankShape, x: float, y: float, z: float) -> None:
    point = (x * shape.length, y * shape.width, z * shape.height + 0.5 * shape.height * (abs(x) + abs(y)) / 2)
    exact = covering_volume(shape, point, AX, AY, margin=0.01)
    table = table_volume(shape, point, AX, AY, margin=0.01)
    assert np.max(np.abs(exact - table)) <= TOLERANCE * shape.capacity


@pytest.mark.parametrize("shape", SHAPES, ids=NAMES)
def test_bare_is_decided_as_by_the_exact_surface(shape: TankShape) -> None:
    point, share = (0.02, 0.03, 0.02), RANDOM.uniform(0.02, 0.95, (6, 1))
    exact = covering_volume(shape, point, AX, AY, margin=0.01)
    for order in ("C", "F"):
        ax, ay = (np.array(np.tile(a, (6, 1)), order=order) for a in (AX, AY))
        bare = uncovered(shape, point, share * shape.capacity, ax, ay, margin=0.01)
        np.testing.assert_array_equal(bare, exact > share * shape.capacity)


def test_few_cases_are_decided_by_depth() -> None:
    ax, ay = AX[:50], AY[:50]
    bare = uncovered(BOX, (0.05, 0.0, 0.01), 0.003, ax, ay, margin=0.01)
    depth = depth_over(BOX, (0.05, 0.0, 0.01), 0.003, ax=ax, ay=ay)
    np.testing.assert_array_equal(bare, depth < 0.01)
    assert bare.any()
    assert not bare.all()


def test_the_margin_is_asked_for_only_above_a_twentieth_of_g() -> None:
    flat = BOX.length * BOX.width
    calm, lively = (
        float(covering_volume(BOX, (0.0, 0.0, 0.01), np.float64(a), np.float64(0), margin=0.01))
        for a in (0.99 * MARGIN_ABOVE, 1.01 * MARGIN_ABOVE)
    )
    assert calm == pytest.approx(0.01 * flat, rel=1e-9)
    assert lively == pytest.approx(0.02 * flat, rel=1e-9)


def test_a_pickup_outside_the_tank_is_refused() -> None:
    with pytest.raises(OutsideModel, match="move it inside"):
        uncovered(BOX, (0.3, 0.0, 0.01), 0.003, AX, AY, margin=0.01)
