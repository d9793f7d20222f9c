"""What a user types about sizes, space and gaps, read into SI; each fault says what would be right."""

from __future__ import annotations

import re

from planner.compare_tanks import Space
from planner.errors import UnitError
from planner.units import quantity

SMALLEST, LARGEST = 0.05e-3, 0.5
"""Capacities [m3] that are taken for a tank's."""


def capacity_from_text(text: str) -> float:
    """A capacity [m3] from a text such as "1 gal". Raises UnitError."""
    value = quantity(text, "volume")
    if not SMALLEST <= value <= LARGEST:
        raise UnitError("a tank holds 0.05 L to 500 L; check the number and its unit")
    return value


def capacities_from_text(text: str) -> tuple[float, ...]:
    """Capacities [m3] from a list such as "1 gal, 8 L"; none from an empty text. Raises UnitError."""
    return tuple(capacity_from_text(part) for part in re.split(r"[,;\n]", text) if part.strip())


def long_gap_from_text(text: str) -> float:
    """A gap's length [min] from a text such as "45 min". Raises UnitError."""
    minutes = quantity(text, "time") / 60
    if minutes < 0:
        raise UnitError('must be at least zero; write a time such as "45 min"')
    return minutes


def space_from_text(text: str) -> Space:
    """Length, width and height [m] from a text such as "400 mm x 200 mm x 200 mm". Raises UnitError."""
    sizes = [part for part in re.split(r"\s*[x×*]\s*", text.strip()) if part]
    if len(sizes) != 3:
        raise UnitError('write length x width x height, such as "400 mm x 200 mm x 200 mm"')
    length, width, height = (quantity(size, "length") for size in sizes)
    if min(length, width, height) <= 0:
        raise UnitError("every length must be more than zero")
    return length, width, height
