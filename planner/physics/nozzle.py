"""Flow of spray nozzles by the orifice law.

Source: Q = Cd A sqrt(2 dp / rho), Lefebvre, Atomization and Sprays (from memory); the rating fixes Cd A.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

Array = np.ndarray

RATING_DENSITY = 998.2
"""Density [kg/m3] of the water that nozzles are rated with, at 20 degC."""


@dataclass(frozen=True, slots=True)
class Stage:
    """Nozzles that open together: rated_flow [m3/s] of all of them with water at rated_pressure [Pa].

    after_throttle tells where they spray; opens_at is the boost [Pa gauge] from which the stage is open, or None.
    """

    rated_flow: float
    rated_pressure: float
    after_throttle: bool = False
    opens_at: float | None = None


def nozzle_flow(
    pressure_drop: Array | float,
    rated_flow: float,
    rated_pressure: float,
    *,
    density: float = RATING_DENSITY,
    opening_pressure: float = 0.0,
    exponent: float = 0.5,
) -> Array:
    """Flow [m3/s] at a pressure_drop [Pa] across the nozzle; none at or below the opening_pressure [Pa].

    rated_flow [m3/s] of water at rated_pressure [Pa]; density [kg/m3] of the fluid; exponent [1] is 0.5 by the
    orifice law, 0.44 to 0.46 for some full-cone tips. Any shape.
    """
    drop = np.asarray(pressure_drop, dtype=float)
    share = np.maximum(drop, 0.0) / rated_pressure * (RATING_DENSITY / density)
    flow = rated_flow * (np.sqrt(share) if exponent == 0.5 else share**exponent)
    return np.where(drop > opening_pressure, flow, 0.0)


def back_pressure(stage: Stage, boost: Array) -> Array:
    """Pressure [Pa gauge] that a stage sprays into, (n,): the manifold, or the charge pipe, never below outside air."""
    return boost if stage.after_throttle else np.maximum(boost, 0.0)


def stages_flow(
    pressure: Array, boost: Array, stages: Sequence[Stage], *, density: float, opening_pressure: float = 0.0
) -> Array:
    """Flow [m3/s] of all open stages, (n,), at a pressure [Pa gauge] before the nozzles and a boost [Pa gauge]."""
    total = np.zeros_like(boost)
    for stage in stages:
        flow = nozzle_flow(
            pressure - back_pressure(stage, boost),
            stage.rated_flow,
            stage.rated_pressure,
            density=density,
            opening_pressure=opening_pressure,
        )
        total += flow if stage.opens_at is None else np.where(boost >= stage.opens_at, flow, 0.0)
    return total
