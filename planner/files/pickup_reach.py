"""How far from the tank's centre a pickup may be: what its walls and its sump leave at a height."""

from __future__ import annotations

import math

from planner.car import Pickup
from planner.physics.tank import LyingCylinder, TankShape, UprightCylinder, WithSump

Reach = tuple[tuple[float, float], tuple[float, float]]


def _round_reach(radius: float, pickup: Pickup) -> tuple[float, float]:
    return math.sqrt(max(radius**2 - pickup.left**2, 0.0)), math.sqrt(max(radius**2 - pickup.ahead**2, 0.0))


def _lying_reach(shape: LyingCylinder, pickup: Pickup) -> tuple[float, float]:
    radius = shape.diameter / 2
    across = math.sqrt(max(radius**2 - (pickup.height - radius) ** 2, 0.0))
    return (shape.axial_length / 2, across) if shape.axis == "x" else (across, shape.axial_length / 2)


def in_sump(shape: TankShape, pickup: Pickup) -> bool:
    """Whether the pickup's mouth is below the rim of the tank's sump."""
    return isinstance(shape, WithSump) and pickup.height < shape.sump.height


def pickup_reach(shape: TankShape, pickup: Pickup) -> Reach:
    """Places (least, most) [m] ahead and to the left of the tank's centre, given the pickup's other coordinates."""
    if isinstance(shape, WithSump) and in_sump(shape, pickup):
        half_x, half_y = shape.sump.length / 2, shape.sump.width / 2
        return (shape.ahead - half_x, shape.ahead + half_x), (shape.left - half_y, shape.left + half_y)
    main = shape.main if isinstance(shape, WithSump) else shape
    if isinstance(main, LyingCylinder):
        x, y = _lying_reach(main, pickup)
    elif isinstance(main, UprightCylinder):
        x, y = _round_reach(main.diameter / 2, pickup)
    else:
        x, y = main.length / 2, main.width / 2
    return (-x, x), (-y, y)
