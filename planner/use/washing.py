"""The fill levels between which a tank's fluid washes hardest."""

from __future__ import annotations

from planner.car import Tank

WASHING_FROM = 0.84
"""Share of the largest weight moment from which a fill level counts as washing (a design choice)."""


def washing_band(tank: Tank) -> tuple[float, float]:
    """Volumes (low, high) [m3] between which the weight moment f (1 - f) is at least WASHING_FROM of its largest."""
    half_width = (1 - WASHING_FROM) ** 0.5 / 2
    return (0.5 - half_width) * tank.capacity, (0.5 + half_width) * tank.capacity
