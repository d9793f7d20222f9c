"""A displacement pump at part speed: displacement scales with speed, slip depends on pressure alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

Array = np.ndarray


def shutoff_pressure(curve_pressure: Sequence[float], curve_flow: Sequence[float]) -> float:
    """Pressure [Pa gauge] at which the full-speed curve reaches no flow.

    A curve that ends with flow is continued by its last slope; one that ends flat stops at its last pressure.
    """
    drop = curve_flow[-2] - curve_flow[-1]
    if drop <= 0:
        return float(curve_pressure[-1])
    run = curve_pressure[-1] - curve_pressure[-2]
    return float(curve_pressure[-1] + curve_flow[-1] * run / drop)


def full_speed_flow(pressure: Array | float, curve_pressure: Sequence[float], curve_flow: Sequence[float]) -> Array:
    """Flow [m3/s] at full speed against a pressure [Pa gauge], any shape; below the curve its first flow."""
    beyond = max(shutoff_pressure(curve_pressure, curve_flow), np.nextafter(curve_pressure[-1], np.inf))
    return np.asarray(np.interp(pressure, [*curve_pressure, beyond], [*curve_flow, 0.0]))


def pump_flow(
    pressure: Array | float, speed: Array | float, curve_pressure: Sequence[float], curve_flow: Sequence[float]
) -> Array:
    """Flow [m3/s] at a speed share [1] against a pressure [Pa gauge]: `max(0, s Q(0, 1) - (Q(0, 1) - Q(p, 1)))`."""
    unloaded = full_speed_flow(0.0, curve_pressure, curve_flow)
    slip = unloaded - full_speed_flow(pressure, curve_pressure, curve_flow)
    return np.maximum(0.0, np.asarray(speed) * unloaded - slip)
