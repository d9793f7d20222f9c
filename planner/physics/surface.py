"""The still surface of a fluid under a steady acceleration, in every tank shape, with floor and lid respected.

The free surface is a plane `z = height + slope_x x + slope_y y` with slopes -ax/g and -ay/g (x forward, y left,
z up from the middle of the floor). The volume beneath such a plane is exact for every shape: a layer of constant
area is a truncated prism over a rectangle (three-dimensional form of Scardovelli and Zaleski, J. Comput. Phys. 164
(2000) 228, from memory) or over a disc, and the cut of a lying cylinder is the integral of a circle's segment.
The inverse, height from volume, brackets a monotone function, which cannot fail.

The plane through one point answers the common question without any inverse: the volume beneath it is the least
that covers the point (`volume_to_cover`).

A dip table says nothing about where a tank is narrow: every column of its footprint is taken to hold the same share
at each height. This is cautious for tanks that narrow toward the floor.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from planner.errors import OutsideModel
from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump

Array = np.ndarray
Point = tuple[float, float, float]

STANDARD_GRAVITY = 9.80665
"""Acceleration of gravity [m/s2], ISO 80000-3."""
_FLAT = 1e-5
_STEPS = 64


def slope_from_acceleration(acceleration: Array | float) -> Array:
    """Slope [1] of the surface along an axis, any shape, from the acceleration [m/s2] along it; OutsideModel on NaN."""
    values = np.asarray(acceleration, dtype=float)
    if not np.all(np.isfinite(values)):
        raise OutsideModel("acceleration [m/s2] is not finite; leave such samples out or fill them")
    return -values / STANDARD_GRAVITY


def _line_mean(height: Array, half: Array) -> Array:
    """Mean [m] of max(0, height + t) with t evenly spread over -half to half [m]."""
    return np.where(np.abs(height) < half, (height + half) ** 2 / (4 * half), np.maximum(height, 0.0))


def _rectangle_mean(height: Array, half_x: Array, half_y: Array) -> Array:
    """Mean [m] of max(0, height + t), t the plane's rise over a rectangle with half rises half_x, half_y [m]."""
    large, small = np.maximum(half_x, half_y), np.minimum(half_x, half_y)
    large = np.maximum(large, 1e-30)
    flat = small < _FLAT * large
    small = np.where(flat, large, small)
    outer, inner = large + small, large - small
    cubes = np.maximum(height + outer, 0.0) ** 3 - np.maximum(height + inner, 0.0) ** 3
    cubes += np.maximum(height - outer, 0.0) ** 3 - np.maximum(height - inner, 0.0) ** 3
    mean = np.where(np.abs(height) < outer, cubes / (24 * large * small), np.maximum(height, 0.0))
    return np.where(flat, _line_mean(height, large), mean) if np.any(flat) else mean


def _disc_mean(height: Array, half: Array) -> Array:
    """Mean [m] of max(0, height + t), t the plane's rise over a disc with the rise `half` [m] at its rim."""
    half = np.maximum(half, 1e-30)
    share = np.clip(height / half, -1.0, 1.0)
    root = np.sqrt(1.0 - share**2)
    inner = (share * (np.pi / 2 + np.arcsin(share) + share * root) + 2 / 3 * root**3) / np.pi
    return np.where(np.abs(height) < half, half * inner, np.maximum(height, 0.0))


def _layers(shape: Box | UprightCylinder | DipTable) -> tuple[Array, Array]:
    """Heights [m] where the tank's level area changes, (k,), and the changes [m2] there, (k,)."""
    if isinstance(shape, DipTable):
        areas = np.diff(shape.volumes) / np.diff(shape.levels)
        return np.asarray(shape.levels), np.diff(areas, prepend=0.0, append=0.0)
    area = shape.capacity / shape.height
    return np.array([0.0, shape.height]), np.array([area, -area])


def _prism_volume(shape: Box | UprightCylinder | DipTable, height: Array, slope_x: Array, slope_y: Array) -> Array:
    """Volume [m3] beneath the plane in a shape whose footprint is a rectangle or a disc."""
    total: Array | float = 0.0
    for level, change in zip(*_layers(shape), strict=True):
        if change == 0:
            continue
        if isinstance(shape, UprightCylinder):
            mean = _disc_mean(height - level, np.hypot(slope_x, slope_y) * shape.diameter / 2)
        else:
            half_x, half_y = np.abs(slope_x) * shape.length / 2, np.abs(slope_y) * shape.width / 2
            mean = _rectangle_mean(height - level, half_x, half_y)
        total = total + change * mean
    return np.asarray(total)


def _segment(offset: Array) -> Array:
    """Area [1] of a unit circle below a chord at an offset [1] from its centre, clipped to -1 to 1."""
    w = np.clip(offset, -1.0, 1.0)
    return np.pi / 2 + np.arcsin(w) + w * np.sqrt(1 - w**2)


def _segment_integral(offset: Array) -> Array:
    """Integral of `_segment` from -1 to an offset [1]."""
    w = np.clip(offset, -1.0, 1.0)
    root = np.sqrt(1 - w**2)
    inside = w * (np.pi / 2 + np.arcsin(w)) + root - root**3 / 3
    return inside + np.pi * np.maximum(offset - 1.0, 0.0)


def _lying_volume(shape: LyingCylinder, height: Array, slope_x: Array, slope_y: Array) -> Array:
    """Volume [m3] beneath the plane in a lying cylinder: its chord moves along the axis, the circle stays."""
    radius = shape.diameter / 2
    axial, across = (slope_x, slope_y) if shape.axis == "x" else (slope_y, slope_x)
    stretch = radius * np.sqrt(1 + across**2)
    middle = (height - radius) / stretch
    rise = np.abs(axial) * shape.axial_length / 2 / stretch
    tilted = np.maximum(rise, _FLAT)
    mean = (_segment_integral(middle + tilted) - _segment_integral(middle - tilted)) / (2 * tilted)
    return radius**2 * shape.axial_length * np.where(rise < _FLAT, _segment(middle), mean)


def volume_under_plane(shape: TankShape, height: Array, slope_x: Array, slope_y: Array) -> Array:
    """Volume [m3] of the tank beneath planes, arrays that broadcast.

    height: of the plane above the middle of the floor [m], also beyond floor and lid; slope_x, slope_y [1].
    Exact to 1e-11 of the capacity.
    """
    if isinstance(shape, LyingCylinder):
        return _lying_volume(shape, height, slope_x, slope_y)
    if isinstance(shape, WithSump):
        over_sump = height + slope_x * shape.ahead + slope_y * shape.left
        below = _prism_volume(shape.sump, over_sump, slope_x, slope_y)
        return below + _prism_volume(shape.main, height - shape.sump.height, slope_x, slope_y)
    return _prism_volume(shape, height, slope_x, slope_y)


def _plane_reach(shape: TankShape, slope_x: Array, slope_y: Array) -> Array:
    """How far [m] planes just outside the tank lie, in the middle, below its floor or above its lid."""
    if isinstance(shape, UprightCylinder):
        return np.hypot(slope_x, slope_y) * shape.diameter / 2
    if isinstance(shape, LyingCylinder):
        axial, across = (slope_x, slope_y) if shape.axis == "x" else (slope_y, slope_x)
        rim = shape.diameter / 2 * (np.sqrt(1 + across**2) - 1)
        return rim + np.abs(axial) * shape.axial_length / 2
    return np.abs(slope_x) * shape.length / 2 + np.abs(slope_y) * shape.width / 2


def _rising_root(residual: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Where rising functions of the arrays between low and high are zero, (n,): regula falsi, halved when it lags."""
    at_low, at_high = residual(low), residual(high)
    for step in range(_STEPS):
        falsi = high - at_high * (high - low) / np.where(at_high > at_low, at_high - at_low, 1.0)
        middle = np.where((step % 3 == 2) | ~((falsi > low) & (falsi < high)), (low + high) / 2, falsi)
        value = residual(middle)
        above = value > 0
        # The end that stays has its value halved (Illinois), so that both ends close in.
        at_low, at_high = np.where(above, at_low / 2, value), np.where(above, value, at_high / 2)
        low, high = np.where(above, low, middle), np.where(above, middle, high)
        if np.all(high - low <= 1e-13 * np.maximum(1.0, np.abs(high))):
            break
    return (low + high) / 2


def surface_height(shape: TankShape, volume: Array | float, ax: Array | float, ay: Array | float) -> Array:
    """Height [m] of the still surface's plane above the middle of the floor; arrays that broadcast.

    volume [m3] of fluid; ax, ay [m/s2] forward and to the left. Beyond floor or lid the plane is dry or the lid wet.
    Volume is conserved to 1e-10 of the capacity. Raises OutsideModel for a volume that the tank cannot hold.
    """
    amount, slope_x, slope_y = np.broadcast_arrays(volume, slope_from_acceleration(ax), slope_from_acceleration(ay))
    amount = np.asarray(amount, dtype=float)
    if np.any(~(amount >= 0)) or np.any(amount > shape.capacity * (1 + 1e-9)):
        raise OutsideModel(f"volume [m3] {amount} is outside the tank, which holds 0 to {shape.capacity}")
    reach = _plane_reach(shape, slope_x, slope_y)
    wanted = np.minimum(amount, shape.capacity)

    def surplus(height: Array) -> Array:
        return volume_under_plane(shape, height, slope_x, slope_y) - wanted

    return _rising_root(surplus, -reach, shape.height + reach)


def floor_and_lid(shape: TankShape, x: Array | float, y: Array | float) -> tuple[Array, Array]:
    """Heights [m] of the tank's floor and lid at places x, y [m] of the middle. Raises OutsideModel outside it."""
    x, y = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
    beyond = np.maximum(np.abs(x) - shape.length / 2, np.abs(y) - shape.width / 2)
    if isinstance(shape, UprightCylinder) or (isinstance(shape, WithSump) and isinstance(shape.main, UprightCylinder)):
        beyond = np.hypot(x, y) - shape.length / 2
    if np.any(~(beyond <= 1e-9)):
        raise OutsideModel(f"the place x = {x} m, y = {y} m is outside the tank's footprint; move it inside")
    if isinstance(shape, WithSump):
        beside = np.maximum(
            np.abs(x - shape.ahead) - shape.sump.length / 2, np.abs(y - shape.left) - shape.sump.width / 2
        )
        return np.where(beside <= 1e-9, 0.0, shape.sump.height), np.full_like(x, shape.height)
    if not isinstance(shape, LyingCylinder):
        return np.zeros_like(x), np.full_like(x, shape.height)
    radius = shape.diameter / 2
    arch = np.sqrt(np.maximum(radius**2 - (y if shape.axis == "x" else x) ** 2, 0.0))
    return radius - arch, radius + arch


def depth_over(
    shape: TankShape, point: Point, volume: Array | float, *, ax: Array | float = 0.0, ay: Array | float = 0.0
) -> Array:
    """Depth [m] of fluid above a point (x, y, z) [m], up to the lid; negative where the surface lies below it.

    volume [m3], ax, ay [m/s2]: arrays that broadcast. Raises OutsideModel for a point outside the tank.
    """
    x, y, z = _inside(shape, point)
    lid = floor_and_lid(shape, x, y)[1]
    plane = surface_height(shape, volume, ax, ay)
    plane = plane + slope_from_acceleration(ax) * x + slope_from_acceleration(ay) * y
    return np.minimum(plane, lid) - z


def _inside(shape: TankShape, point: Point) -> Point:
    x, y, z = point
    floor, lid = floor_and_lid(shape, x, y)
    if not floor - 1e-9 <= z <= lid + 1e-9:
        raise OutsideModel(
            f"the point at z = {z} m is outside the tank, which has {float(floor)} to {float(lid)} m there; "
            "move it inside"
        )
    return point


def volume_to_cover(
    shape: TankShape, point: Point, ax: Array | float, ay: Array | float, *, margin: Array | float = 0.0
) -> Array:
    """Least volume [m3] whose still surface lies `margin` [m] or more above a point (x, y, z) [m] in the tank.

    ax, ay [m/s2], margin: arrays that broadcast. The margin ends at the lid. A negative margin asks for less.
    Raises OutsideModel for a point outside the tank.
    """
    x, y, z = _inside(shape, point)
    slope_x, slope_y = slope_from_acceleration(ax), slope_from_acceleration(ay)
    at_point = np.minimum(z + np.asarray(margin, dtype=float), floor_and_lid(shape, x, y)[1])
    return volume_under_plane(shape, at_point - slope_x * x - slope_y * y, slope_x, slope_y)
