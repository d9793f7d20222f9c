"""Whether a point in a tank is covered under millions of accelerations: a table decides, the exact surface the rest.

What covers a point is one volume for each acceleration, whatever the fill. A table of it over both accelerations
is within `TOLERANCE` of the capacity; only cases nearer than that to the fill are worked out exactly.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from planner.physics.surface import STANDARD_GRAVITY, Point, volume_to_cover
from planner.physics.tank import TankShape

Array = np.ndarray

MARGIN_ABOVE = 0.05 * STANDARD_GRAVITY
"""Effective acceleration [m/s2] from which the margin is asked for."""
TOLERANCE = 2e-3
"""Bound of the table's error, share of the capacity."""
_HALF_NODES = 80
_FEW = 400


def covering_volume(shape: TankShape, point: Point, ax: Array | float, ay: Array | float, *, margin: float) -> Array:
    """Least volume [m3] that covers a point (x, y, z) [m], the margin [m] asked for only above MARGIN_ABOVE.

    ax, ay [m/s2]: arrays that broadcast. Raises OutsideModel for a point outside the tank.
    """
    asked = np.where(np.hypot(ax, ay) > MARGIN_ABOVE, margin, 0.0)
    return volume_to_cover(shape, point, ax, ay, margin=asked)


def _bent(acceleration: Array) -> Array:
    """All accelerations [m/s2] to -1 to 1, so that one table holds them."""
    return acceleration / (STANDARD_GRAVITY + np.abs(acceleration))


def _unbent(bent: Array) -> Array:
    return STANDARD_GRAVITY * bent / (1 - np.abs(bent))


@lru_cache(maxsize=64)
def _table(shape: TankShape, point: Point, margin: float) -> Array:
    """Covering volumes [m3], (2, nodes, nodes), without and with the margin, over bent ax and ay."""
    nodes = np.linspace(-1.0, 1.0, 2 * _HALF_NODES + 1)
    nodes[[0, -1]] = -0.9999, 0.9999
    ax, ay = _unbent(nodes)[:, None], _unbent(nodes)[None, :]
    return np.stack([volume_to_cover(shape, point, ax, ay, margin=asked) for asked in (0.0, margin)])


def table_volume(shape: TankShape, point: Point, ax: Array, ay: Array, *, margin: float) -> Array:
    """`covering_volume` from the table, (n,): straight between nodes."""
    table = _table(shape, point, margin)
    count = table.shape[-1]
    u, v = (_bent(ax) + 1) * _HALF_NODES, (_bent(ay) + 1) * _HALF_NODES
    i, j = u.astype(np.intp), v.astype(np.intp)
    u -= i
    v -= j
    place = i * count + j + (ax**2 + ay**2 > MARGIN_ABOVE**2) * count**2
    flat = table.ravel()
    low = flat[place] * (1 - v) + flat[place + 1] * v
    high = flat[place + count] * (1 - v) + flat[place + count + 1] * v
    return low + (high - low) * u


def uncovered(shape: TankShape, point: Point, volume: Array | float, ax: Array, ay: Array, *, margin: float) -> Array:
    """Whether fluid of a volume [m3] leaves the point (x, y, z) [m] bare or under less than the margin [m].

    volume: one, or one for each row of ax, ay (m, n) [m/s2], as (m, 1). Booleans of the accelerations' shape.
    """
    volume = np.broadcast_to(np.asarray(volume, dtype=float), ax.shape)
    if ax.size <= _FEW:
        return covering_volume(shape, point, ax, ay, margin=margin) > volume
    surplus = table_volume(shape, point, ax, ay, margin=margin) - volume
    bare = surplus > 0
    near = np.abs(surplus) < TOLERANCE * shape.capacity
    bare[near] = covering_volume(shape, point, ax[near], ay[near], margin=margin) > volume[near]
    return bare
