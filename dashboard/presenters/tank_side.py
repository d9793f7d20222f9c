"""The car's tank as the side view wants it."""

from __future__ import annotations

import math

import numpy as np

from dashboard.presenters.display import Display
from planner.car import Tank
from planner.physics.tank import LyingCylinder, TankShape, WithSump


def tick_volumes(capacity: float, step: float) -> list[float]:
    """Volumes [L] of a graduation every `step` up to the capacity [L]."""
    return [step * k for k in range(1, math.floor(capacity / step + 1e-9) + 1)]


def _sump(shape: TankShape) -> tuple[float, float, float] | None:
    """Back and front end of a sump ahead of the tank's centre, and its depth [mm]."""
    if not isinstance(shape, WithSump):
        return None
    half = shape.sump.length / 2
    return (shape.ahead - half) * 1e3, (shape.ahead + half) * 1e3, shape.sump.height * 1e3


def tank_side(tank: Tank, display: Display) -> dict[str, object]:
    """Length, height, pickup [mm] and graduation of a tank, as keywords of figures.tank_drawing.TankSide."""
    shape = tank.shape
    capacity = shape.capacity * 1e3
    step = 0.5 if capacity < 4 else 1.0
    per_unit = 1 / display.number(1.0, "volume")
    volumes = [
        volume * per_unit
        for volume in tick_volumes(capacity / per_unit, step if display.system == "metric" else step / 4)
    ]
    heights = shape.level_from_volume(np.array(volumes) / 1e3) * 1e3 if volumes else np.array([])
    return {
        "length": shape.length * 1e3,
        "height": shape.height * 1e3,
        "circle": isinstance(shape, LyingCylinder) and shape.axis == "y",
        "sump": _sump(shape),
        "pickup_ahead": tank.pickup.ahead * 1e3,
        "pickup_height": tank.pickup.height * 1e3,
        "ticks": tuple((float(height), "") for height in heights),
    }


def level_mm(tank: Tank, litres: float) -> float:
    """Height of a volume [L] on the dipstick [mm]; nothing above the tank or below its floor."""
    inside = min(max(litres / 1e3, 0.0), tank.capacity)
    return float(tank.shape.level_from_volume(inside)) * 1e3
