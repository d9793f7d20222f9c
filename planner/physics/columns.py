"""A tank as thin vertical columns: for what the exact surface does not give, where the fluid's weight stands."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from planner.physics.surface import slope_from_acceleration, surface_height
from planner.physics.tank import DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump

Array = np.ndarray

COLUMNS = 48
"""Columns each way: a box's offset of weight is then within 0.1 mm."""


@lru_cache(maxsize=64)
def _places(shape: TankShape) -> tuple[Array, Array, Array]:
    """Middles x, y [m] of the columns and their areas [m2], each (n,); those outside the footprint left out."""
    middle = (np.arange(COLUMNS) + 0.5) / COLUMNS - 0.5
    x, y = (grid.ravel() for grid in np.meshgrid(middle * shape.length, middle * shape.width, indexing="ij"))
    inside = np.ones(x.size, dtype=bool)
    if isinstance(shape, UprightCylinder):
        inside = np.hypot(x, y) <= shape.diameter / 2
    area = np.full(x.size, shape.length * shape.width / x.size)
    return x[inside], y[inside], area[inside]


def _held(shape: TankShape, y_or_x: Array, plane: Array) -> Array:
    """Fluid [m] in each column beneath a plane's height [m] there, (..., n): its depth, or the dip table's share."""
    if isinstance(shape, DipTable):
        return np.interp(plane, shape.levels, shape.volumes) / (shape.length * shape.width)
    if not isinstance(shape, LyingCylinder):
        return np.clip(plane, 0.0, shape.height)
    radius = shape.diameter / 2
    arch = np.sqrt(radius**2 - y_or_x**2)
    return np.clip(plane, radius - arch, radius + arch) - (radius - arch)


def _moments(shape: TankShape, plane: Array, slope_x: float, slope_y: float) -> tuple[Array, Array, Array]:
    """Volume [m3] beneath planes at heights (m,) [m], and its moments [m4] about y and x, (m,) each."""
    if isinstance(shape, WithSump):
        over_sump = plane + slope_x * shape.ahead + slope_y * shape.left
        low, low_x, low_y = _moments(shape.sump, over_sump, slope_x, slope_y)
        high, high_x, high_y = _moments(shape.main, plane - shape.sump.height, slope_x, slope_y)
        return low + high, low_x + low * shape.ahead + high_x, low_y + low * shape.left + high_y
    x, y, area = _places(shape)
    across = x if isinstance(shape, LyingCylinder) and shape.axis == "y" else y
    weight = _held(shape, across, plane[:, None] + slope_x * x + slope_y * y) * area
    return weight.sum(axis=1), weight @ x, weight @ y


def fluid_offset(shape: TankShape, volume: Array, ax: float, ay: float) -> tuple[Array, Array]:
    """Where the middle of the fluid's weight stands, x and y [m] from the tank's middle, (m,) each.

    volume: (m,) [m3], above 0; ax, ay [m/s2] of the still surface. Raises OutsideModel beyond the tank.
    """
    volume = np.atleast_1d(np.asarray(volume, dtype=float))
    slope_x, slope_y = (float(slope_from_acceleration(a)) for a in (ax, ay))
    total, about_y, about_x = _moments(shape, surface_height(shape, volume, ax, ay), slope_x, slope_y)
    return about_y / total, about_x / total
