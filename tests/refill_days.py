"""Small refill problems for tests, written in round numbers."""

from __future__ import annotations

from typing import Any

import numpy as np

from planner.planning.problem import Problem


def day(drain: Any, floor: Any = 0.0, **other: Any) -> Problem:
    """A day whose sessions take `drain` (S, N), or (S,) with one draw; a whole refill fits in every gap.

    Volumes may be in any unit, the tank holds 10 of it and is empty at the start. `other` are fields of Problem.
    """
    draws = np.asarray(drain, dtype=float)
    draws = draws[:, None] if draws.ndim == 1 else draws
    count = draws.shape[0]
    fields: dict[str, Any] = {
        "drain": draws,
        "expected": draws.mean(axis=1),
        "unit": np.zeros(count),
        "floor": np.broadcast_to(np.asarray(floor, dtype=float), count),
        "may_fill": np.ones(count, dtype=bool),
        "can_pour": np.full(count, np.inf),
        "minutes": np.full(count, 60.0),
        "limit": 10.0,
        "in_tank": 0.0,
        "prime": 0.0,
        "confidence": 0.9,
        "extra": 0.0,
        "washing": (0.0, 0.0),
        "density": 1000.0,
    }
    arrays = ("expected", "unit", "can_pour", "minutes")
    given = {key: np.asarray(value, dtype=float) if key in arrays else value for key, value in other.items()}
    if "may_fill" in given:
        given["may_fill"] = np.asarray(given["may_fill"], dtype=bool)
    return Problem(**(fields | given))
