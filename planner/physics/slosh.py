"""The first sloshing mode of a tank's fluid: its frequency, the mass that moves, and the effective acceleration.

Linear theory, rigid tank, no splashing. Box: NASA SP-106 (Abramson, ed., The Dynamic Behavior of Liquids in Moving
Containers, 1966) ch. 2 and 6; Dodge, The New "Dynamic Behavior of Liquids in Moving Containers", SwRI 2000,
eqs. 1.19 and 3.10. Upright cylinder: SP-106 table 6.1. A lying cylinder and a dip table are taken as the box with
the same surface and the same volume beneath it; for a lying cylinder across its axis that is within 1.1 % in
frequency at half full and 6.3 % at 10 %.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np

from planner.errors import OutsideModel
from planner.physics.oscillator import driven_response
from planner.physics.surface import STANDARD_GRAVITY
from planner.physics.tank import DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump

Array = np.ndarray
Axis = Literal["x", "y"]

CYLINDER_ROOT = 1.8411837813406593
"""First zero of the derivative of the Bessel function J1 (Abramowitz and Stegun, table 9.5)."""
BOX_REST_SHARE = 8 / np.pi**2
"""Share of the wall height under a steady acceleration that a box's first mode carries."""
CYLINDER_REST_SHARE = 2 / (CYLINDER_ROOT**2 - 1)


def box_frequency(
    length: Array | float, depth: Array | float, number: int = 1, gravity: float = STANDARD_GRAVITY
) -> Array:
    """Frequency [Hz] of a box's mode: `w^2 = g k tanh(k h)`, k = number pi / L; odd numbers throw the fluid sideways.

    length [m] along the motion and depth [m], any shape; gravity [m/s2].
    """
    k = number * np.pi / np.asarray(length, dtype=float)
    return np.sqrt(gravity * k * np.tanh(k * depth)) / (2 * np.pi)


def box_moving_share(length: Array | float, depth: Array | float, number: int = 1) -> Array:
    """Share [1] of a box's fluid that moves with its odd mode `number`; length, depth [m], any shape."""
    ratio = np.asarray(depth, dtype=float) / length
    return 8 * np.tanh(number * np.pi * ratio) / (np.pi**3 * number**3 * ratio)


def cylinder_frequency(diameter: Array | float, depth: Array | float, gravity: float = STANDARD_GRAVITY) -> Array:
    """Frequency [Hz] of an upright cylinder's first mode; diameter, depth [m], any shape; gravity [m/s2]."""
    radius = np.asarray(diameter, dtype=float) / 2
    squared = gravity * CYLINDER_ROOT / radius * np.tanh(CYLINDER_ROOT * depth / radius)
    return np.sqrt(squared) / (2 * np.pi)


def cylinder_moving_share(diameter: Array | float, depth: Array | float) -> Array:
    """Share [1] of an upright cylinder's fluid that moves with its first mode; diameter, depth [m], any shape."""
    ratio = np.asarray(depth, dtype=float) / (np.asarray(diameter, dtype=float) / 2)
    root = CYLINDER_ROOT
    return 2 * np.tanh(root * ratio) / (root * (root**2 - 1) * ratio)


def _part_full(shape: TankShape, volume: Array | float) -> Array:
    volumes = np.asarray(volume, dtype=float)
    if not np.all((volumes > 0) & (volumes < shape.capacity)):
        raise OutsideModel(f"volume [m3] {volumes} has no free surface; give one above 0 and below {shape.capacity}")
    return volumes


def equivalent_box(shape: TankShape, volume: Array | float, axis: Axis) -> tuple[Array, Array]:
    """Length along the axis and depth [m] of the box that sloshes as the tank does, arrays of the volumes' [m3] shape.

    Raises OutsideModel for a volume without a free surface.
    """
    volumes = _part_full(shape, volume)
    extent = np.full_like(volumes, shape.length if axis == "x" else shape.width)
    if isinstance(shape, LyingCylinder):
        level = shape.level_from_volume(volumes)
        width = 2 * np.sqrt(level * (shape.diameter - level))
        depth = volumes / shape.axial_length / width
        return (extent if axis == shape.axis else width), depth
    if isinstance(shape, WithSump):
        raise OutsideModel("a tank with a sump is no one box; ask for its frequency or moving share")
    if isinstance(shape, DipTable):
        layer = np.searchsorted(shape.volumes, volumes, side="left") - 1
        return extent, volumes / (np.diff(shape.volumes) / np.diff(shape.levels))[layer]
    return extent, shape.level_from_volume(volumes)


def _of_parts(shape: WithSump, volume: Array | float, answer: Callable[[TankShape, Array], Array]) -> Array:
    """An answer for a tank with a sump, any shape: of the part where the free surface stands."""
    volumes = _part_full(shape, volume)
    low, above = volumes < shape.sump.capacity, volumes - shape.sump.capacity
    found = np.empty_like(volumes)
    found[low] = answer(shape.sump, volumes[low])
    found[~low] = answer(shape.main, np.maximum(above[~low], 1e-9 * shape.main.capacity))
    return found


def first_mode_frequency(shape: TankShape, volume: Array | float, axis: Axis) -> Array:
    """Frequency [Hz] of the first mode along an axis at volumes [m3], any shape. OutsideModel when full or empty."""
    if isinstance(shape, WithSump):
        return _of_parts(shape, volume, lambda part, volumes: first_mode_frequency(part, volumes, axis))
    length, depth = equivalent_box(shape, volume, axis)
    return cylinder_frequency(length, depth) if isinstance(shape, UprightCylinder) else box_frequency(length, depth)


def moving_share(shape: TankShape, volume: Array | float, axis: Axis) -> Array:
    """Share [1] of the fluid that moves with the first mode along an axis at volumes [m3], any shape.

    Fluid in a sump below the free surface rests. Raises OutsideModel when full or empty.
    """
    if isinstance(shape, WithSump):
        part = _of_parts(shape, volume, lambda part, volumes: volumes * moving_share(part, volumes, axis))
        return part / volume
    length, depth = equivalent_box(shape, volume, axis)
    if isinstance(shape, UprightCylinder):
        return cylinder_moving_share(length, depth)
    return box_moving_share(length, depth)


def rest_share(shape: TankShape) -> float:
    """Share [1] of a steady tilt at the wall that the first mode carries; the remainder follows at once."""
    main = shape.main if isinstance(shape, WithSump) else shape
    return CYLINDER_REST_SHARE if isinstance(main, UprightCylinder) else BOX_REST_SHARE


def effective_acceleration(
    acceleration: Array, step: float, frequency: Array, *, damping: float, rest: float = BOX_REST_SHARE
) -> Array:
    """Acceleration [m/s2], (m, n), whose still surface is the moving one: `rest G1(a) + (1 - rest) a`.

    acceleration: (n,) [m/s2] every `step` [s]; frequency: (m,) [Hz] of the first mode; damping [1]; rest: `rest_share`.
    G1 has unit gain at rest and starts at rest under the first sample. Within 2 to 4 mm rms of 30 modes in a box.
    """
    moving = driven_response(acceleration, step, frequency, damping=damping)
    return rest * moving + (1 - rest) * acceleration


def mount_force(acceleration: Array, step: float, frequency: Array, *, share: Array, damping: float) -> Array:
    """Sideways force per mass of fluid [N/kg], (m, n), along one axis: the resting mass, and spring and damper.

    acceleration: (n,) [m/s2] every `step` [s]; frequency: (m,) [Hz] and moving share (m,) [1] of the first mode.
    """
    rate_time = 2 * damping / (2 * np.pi * np.asarray(frequency))
    moving = driven_response(acceleration, step, frequency, damping=damping, rate_time=rate_time)
    share = np.atleast_1d(share)[:, None]
    return share * moving + (1 - share) * acceleration
