"""Covered or bare at the steps: where the margin begins, at the table's nodes and edges, few cases and many."""

from __future__ import annotations

import numpy as np
import pytest

from planner.physics.cover import MARGIN_ABOVE, TOLERANCE, covering_volume, table_volume, uncovered
from planner.physics.surface import STANDARD_GRAVITY, volume_to_cover
from planner.physics.tank import TankShape
from tests.tanks import BOX, NAMES, SHAPES

G = STANDARD_GRAVITY
POINT = (0.02, 0.03, 0.02)


def test_the_margin_is_asked_for_above_a_twentieth_of_g_in_any_direction_and_not_at_it() -> None:
    assert MARGIN_ABOVE == 0.05 * G
    plain, asked = (
        volume_to_cover(BOX, POINT, MARGIN_ABOVE, 0.0, margin=0.0),
        volume_to_cover(BOX, POINT, MARGIN_ABOVE, 0.0, margin=0.01),
    )
    assert float(covering_volume(BOX, POINT, MARGIN_ABOVE, 0.0, margin=0.01)) == float(plain)
    more = np.nextafter(MARGIN_ABOVE, 9.0)
    assert float(covering_volume(BOX, POINT, more, 0.0, margin=0.01)) == pytest.approx(float(asked))
    diagonal = 0.04 * G
    found = covering_volume(BOX, POINT, diagonal, -diagonal, margin=0.01)
    assert float(found) == pytest.approx(float(volume_to_cover(BOX, POINT, diagonal, -diagonal, margin=0.01)))


@pytest.mark.parametrize("shape", SHAPES, ids=NAMES)
def test_at_its_nodes_the_table_is_exact_without_and_with_the_margin(shape: TankShape) -> None:
    """Nodes stand evenly over a / (g + |a|): at 0, 1/3 and 3 g among 81 to each side they are met to rounding."""
    bent = np.arange(-79, 80) / 80
    ax, ay = (grid.ravel() for grid in np.meshgrid(G * bent / (1 - np.abs(bent)), G * bent[::7] / (1 - abs(bent[::7]))))
    exact = covering_volume(shape, POINT, ax, ay, margin=0.01)
    near = np.abs(np.hypot(ax, ay) - MARGIN_ABOVE) < 1e-3
    error = np.abs(table_volume(shape, POINT, ax, ay, margin=0.01) - exact)[~near]
    assert error.max() <= 1e-9 * shape.capacity
    calm = np.zeros(1)
    level = float(volume_to_cover(shape, POINT, 0.0, 0.0))
    assert float(table_volume(shape, POINT, calm, calm, margin=0.01)[0]) == pytest.approx(level, rel=1e-9)


def test_between_its_nodes_the_table_is_straight_in_both_bent_accelerations() -> None:
    def node(i: float, j: float) -> float:
        a, b = (G * n / 80 / (1 - n / 80) for n in (i, j))
        return float(covering_volume(BOX, POINT, a, b, margin=0.01))

    u, v = 20.25, 33.75
    a, b = (np.array([G * n / 80 / (1 - n / 80)]) for n in (u, v))
    expected = (
        0.75 * 0.25 * node(20, 33)
        + 0.75 * 0.75 * node(20, 34)
        + 0.25 * 0.25 * node(21, 33)
        + 0.25 * 0.75 * node(21, 34)
    )
    assert float(table_volume(BOX, POINT, a, b, margin=0.01)[0]) == pytest.approx(expected, rel=1e-9)


def test_the_hardest_accelerations_lie_within_the_table() -> None:
    """To twenty times gravity the table keeps its tolerance; far beyond, it answers within the tank."""
    hard = np.array([20.0, -20.0, 19.0, -18.0, 0.0]) * G
    found = table_volume(BOX, POINT, hard, hard[::-1], margin=0.01)
    exact = covering_volume(BOX, POINT, hard, hard[::-1], margin=0.01)
    assert np.max(np.abs(found - exact)) <= TOLERANCE * BOX.capacity
    beyond = np.array([5000.0, -5000.0, 9000.0]) * G
    found = table_volume(BOX, POINT, beyond, beyond[::-1], margin=0.01)
    assert np.all((found >= 0) & (found <= BOX.capacity * (1 + 1e-12)))


@pytest.mark.parametrize("size", [1, 399, 400, 401, 2000])
def test_few_and_many_cases_are_decided_alike_by_what_each_asks_for(size: int) -> None:
    random = np.random.default_rng(size)
    ax, ay = random.normal(0, 5, (2, size))
    needs = covering_volume(BOX, POINT, ax, ay, margin=0.01)
    volume = np.where(np.arange(size) % 2, needs * (1 + 1e-9), needs * (1 - 1e-9))
    expected = needs > volume
    np.testing.assert_array_equal(uncovered(BOX, POINT, volume, ax, ay, margin=0.01), expected)
    assert expected.sum() == (size + 1) // 2
    # A volume just enough covers.
    assert not uncovered(BOX, POINT, needs, ax, ay, margin=0.01).any()
