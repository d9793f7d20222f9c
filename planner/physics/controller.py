"""What the controller makes of boost: the pump's speed as a share of full."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

Array = np.ndarray


def ramp_speed(boost: Array, start: float, full: float, minimum_speed: float) -> Array:
    """Speed share [1], (n,): off below start [Pa gauge], minimum_speed [1] there, straight to 1 at full [Pa gauge]."""
    share = minimum_speed + (1.0 - minimum_speed) * (boost - start) / (full - start)
    return np.where(boost >= start, np.minimum(share, 1.0), 0.0)


def switch_speed(boost: Array, start: float) -> Array:
    """Speed share [1], (n,): off below start [Pa gauge], full from there on."""
    return np.where(boost >= start, 1.0, 0.0)


def table_speed(boost: Array, points: Sequence[tuple[float, float]]) -> Array:
    """Speed share [1], (n,), straight between points (boost [Pa gauge], speed); off below the first, held above."""
    boosts, speeds = zip(*points, strict=True)
    return np.where(boost >= boosts[0], np.interp(boost, boosts, speeds), 0.0)
