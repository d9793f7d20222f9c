"""The tilted surface in a box against worked cases and exact solutions found another way.

Sources: equilibrium of a fluid under uniform acceleration (any textbook of fluid mechanics); the four regimes of a
two-dimensional box follow from it by areas and stand below in full; in two directions, the hull of the corners and
edge cuts beneath the plane is measured by Qhull (Barber, Dobkin and Huhdanpaa 1996).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from planner.physics.surface import STANDARD_GRAVITY, surface_height
from planner.physics.tank import Box
from tests.tanks import column_volume

G = STANDARD_GRAVITY
EIGHT_LITRES = Box(0.25, 0.15, 0.2133)


@pytest.mark.parametrize(
    ("share", "inner", "centre", "outer"),
    [(0.25, -86.7, 38.3, 163.3), (0.50, -18.4, 106.7, 231.7), (0.75, 50.0, 175.0, 300.0)],
)
def test_worked_cases_of_an_eight_litre_box_at_one_g(share: float, inner: float, centre: float, outer: float) -> None:
    """Heights in mm along the 250 mm at 1 g, computed from the regimes and given to 0.1 mm."""
    middle = 1e3 * float(surface_height(EIGHT_LITRES, share * EIGHT_LITRES.capacity, -G, 0.0))
    assert middle == pytest.approx(centre, abs=0.1)
    assert middle - 125 == pytest.approx(inner, abs=0.1)
    assert middle + 125 == pytest.approx(outer, abs=0.1)


def middle_height(length: float, height: float, share: float, slope: float) -> float:
    """Surface height in the middle of a two-dimensional box, by its four regimes; slope above 0."""
    depth, room = share * height, (1 - share) * height
    if slope > height**2 / (2 * min(depth, room) * length):  # floor dry and lid wet
        return height / 2 + slope * (share * length - length / 2)
    if slope > 2 * depth / length and depth <= room:  # inner floor dry
        return (2 * slope * depth * length) ** 0.5 - slope * length / 2
    if slope > 2 * room / length:  # outer lid wet
        return height - (2 * slope * room * length) ** 0.5 + slope * length / 2
    return depth


def test_a_thousand_boxes_tilted_in_one_direction() -> None:
    random = np.random.default_rng(11)
    for _ in range(1000):
        box = Box(*random.uniform(0.08, 0.5, 3))
        share, slope = random.uniform(0.02, 0.98), abs(random.normal(0, 1.0)) + 1e-3
        exact = middle_height(box.length, box.height, share, slope)
        found = float(surface_height(box, share * box.capacity, -slope * G, 0.0))
        assert found == pytest.approx(exact, abs=1e-7)


def hull_volume(box: Box, height: float, slope_x: float, slope_y: float) -> float:
    """Volume beneath the plane: the hull of the corners below it and of the edges' cuts."""
    ends = [np.array([a, b, c]) for a in (-0.5, 0.5) for b in (-0.5, 0.5) for c in (0.0, 1.0)]
    corners = [end * (box.length, box.width, box.height) for end in ends]
    above = [corner[2] - height - slope_x * corner[0] - slope_y * corner[1] for corner in corners]
    points = [corner for corner, over in zip(corners, above, strict=True) if over <= 0]
    for i in range(8):
        for j in range(i):
            if np.sum(ends[i] != ends[j]) == 1 and above[i] * above[j] < 0:
                points.append(corners[i] + above[i] / (above[i] - above[j]) * (corners[j] - corners[i]))
    return float(ConvexHull(points).volume)


def test_a_thousand_boxes_tilted_in_two_directions() -> None:
    """The goal is 0.5 mm; the surface is within 10 micrometres of the exact one."""
    random = np.random.default_rng(12)
    for _ in range(1000):
        box = Box(*random.uniform(0.08, 0.5, 3))
        volume = random.uniform(0.02, 0.98) * box.capacity
        ax, ay = random.normal(0, 8.0, 2)
        height = float(surface_height(box, volume, ax, ay))
        low, high = (hull_volume(box, height + off, -ax / G, -ay / G) for off in (-1e-5, 1e-5))
        assert low <= volume <= high


def test_twenty_columns_each_way_agree_as_well_as_columns_can() -> None:
    """A coarse column method is known to be within 0.3 mm on a box; so it must see our volume that near."""
    random = np.random.default_rng(13)
    for _ in range(200):
        share, (sx, sy) = random.uniform(0.05, 0.95), random.normal(0, 0.6, 2)
        height = float(surface_height(EIGHT_LITRES, share * EIGHT_LITRES.capacity, -sx * G, -sy * G))
        low, high = (column_volume(EIGHT_LITRES, height + off, sx, sy, count=20) for off in (-3e-4, 3e-4))
        assert low <= share * EIGHT_LITRES.capacity <= high
