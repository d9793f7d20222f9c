"""A vertical cut through a tank, and the fluid beneath a straight surface in it: what a side view shows."""

from __future__ import annotations

import numpy as np

from planner.physics.slosh import Axis
from planner.physics.surface import floor_and_lid
from planner.physics.tank import LyingCylinder, TankShape, UprightCylinder, WithSump

Array = np.ndarray

_ROUND = 48


def _rectangle(reach: float, low: float, high: float, middle: float = 0.0) -> Array:
    left, right = middle - reach, middle + reach
    return np.array([[left, low], [right, low], [right, high], [left, high]])


def _sump_outline(shape: WithSump, axis: Axis, offset: float) -> Array:
    """The main tank's cut with the sump's below it, where the cut meets it."""
    main = tank_outline(shape.main, axis, offset) + np.array([0.0, shape.sump.height])
    along, aside = (shape.ahead, shape.left) if axis == "x" else (shape.left, shape.ahead)
    long, wide = shape.sump.length, shape.sump.width
    half, other = (long / 2, wide / 2) if axis == "x" else (wide / 2, long / 2)
    if abs(offset - aside) > other:
        return main
    cup = _rectangle(half, 0.0, shape.sump.height, along)[[3, 0, 1, 2]]
    return np.concatenate((main[:1], cup, main[1:]))


def tank_outline(shape: TankShape, axis: Axis, offset: float = 0.0) -> Array:
    """Outline of a vertical cut along an axis, (n, 2): place along it from the tank's middle and height [m].

    offset [m]: where the cut passes on the other axis. It runs from the low left corner to the right. A dip table is
    cut as its footprint. Raises OutsideModel for a cut beside the tank.
    """
    if isinstance(shape, WithSump):
        return _sump_outline(shape, axis, offset)
    place = (0.0, offset) if axis == "x" else (offset, 0.0)
    low, high = (float(end) for end in floor_and_lid(shape, *place))
    if isinstance(shape, LyingCylinder) and shape.axis != axis:
        turn = np.linspace(-np.pi / 2, 1.5 * np.pi, _ROUND, endpoint=False)
        radius = shape.diameter / 2
        return np.column_stack((radius * np.cos(turn), radius + radius * np.sin(turn)))
    if isinstance(shape, UprightCylinder):
        return _rectangle(float(np.sqrt(max(shape.diameter**2 / 4 - offset**2, 0.0))), low, high)
    return _rectangle((shape.length if axis == "x" else shape.width) / 2, low, high)


def beneath(outline: Array, height: float, slope: float) -> Array:
    """The part of an outline (n, 2) [m] on or below the line of `height` [m] in the middle and a slope [1], (k, 2).

    Sutherland and Hodgman's cut (Commun. ACM 17 (1974) 32); empty where all of it lies above.
    """
    over = outline[:, 1] - height - slope * outline[:, 0]
    points: list[Array] = []
    for here, there, a, b in zip(outline, np.roll(outline, -1, axis=0), over, np.roll(over, -1), strict=True):
        if a <= 0:
            points.append(here)
        if (a < 0 < b) or (b < 0 < a):
            points.append(here + a / (a - b) * (there - here))
    return np.array(points).reshape(-1, 2)
