"""Pressure lost in the hose, by Darcy and Weisbach.

Laminar below a Reynolds number of 2040 (Avila et al., Science 333 (2011) 192), f = 64/Re; above it the smooth-pipe
law of Prandtl and von Karman, the limit of Colebrook's equation: 1/sqrt(f) = 2 log10(Re sqrt(f) / 2.51).
"""

from __future__ import annotations

import numpy as np

Array = np.ndarray

LAMINAR_BELOW = 2040.0


def friction_factor(reynolds: Array) -> Array:
    """Darcy friction factor [1] of a smooth pipe at Reynolds numbers [1], any shape."""
    clipped = np.maximum(reynolds, LAMINAR_BELOW)
    root = 1.8 * np.log10(clipped / 6.9)
    for _ in range(3):
        residual = root - 2.0 * np.log10(clipped / (2.51 * root))
        root = root - residual / (1.0 + 2.0 / (np.log(10.0) * root))
    return np.where(reynolds < LAMINAR_BELOW, 64.0 / np.maximum(reynolds, 1e-12), root**-2)


def line_loss(flow: Array, length: float, inner_diameter: float, *, density: float, viscosity: float) -> Array:
    """Pressure loss [Pa] at a flow [m3/s], any shape, in a hose of length [m] and inner_diameter [m].

    density [kg/m3], viscosity [Pa s]. No loss at no flow or no length.
    """
    flow = np.asarray(flow, dtype=float)
    velocity = flow / (np.pi / 4 * inner_diameter**2)
    reynolds = density * velocity * inner_diameter / viscosity
    loss = friction_factor(reynolds) * (length / inner_diameter) * density * velocity**2 / 2
    return np.where(flow > 0, loss, 0.0)
