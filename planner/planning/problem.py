"""The refill problem as arrays: what each session takes, what must remain, where and how much may be poured."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from planner.event import Priority

Array = np.ndarray


@dataclass(frozen=True)
class Problem:
    """A day of S sessions with N draws, all volumes in m3.

    drain: (S, N) that each session takes from the tank; expected: (S,) its mean; unit: (S,) mean of one run or lap.
    floor: (S,) that must remain; may_fill: (S,) bool, whether the gap before a session allows a refill;
    can_pour: (S,) what fits in the gap's time; minutes: (S,) of the gap. limit: what the tank may be filled to;
    in_tank: at the start; prime: taken before session 1; confidence [1]; extra [1] runs or laps kept a leg.
    washing: the volumes (low, high) between which the fluid washes hardest; density [kg/m3].
    mark_step: marks are rounded up to multiples of it, since nobody pours to the drop; 0 leaves them exact.
    """

    drain: Array
    expected: Array
    unit: Array
    floor: Array
    may_fill: Array
    can_pour: Array
    minutes: Array
    limit: float
    in_tank: float
    prime: float
    confidence: float
    extra: float
    washing: tuple[float, float]
    density: float
    priority: Priority = "fewest stops"
    mark_step: float = 0.0

    @property
    def sessions(self) -> int:
        """Number of sessions S."""
        return self.drain.shape[0]

    @property
    def draws(self) -> int:
        """Number of draws N."""
        return self.drain.shape[1]

    @cached_property
    def needed(self) -> int:
        """How many of the draws must hold for the confidence asked."""
        return int(np.ceil(self.confidence * self.draws - 1e-9))

    def pour_binds(self, stops: tuple[int, ...]) -> bool:
        """Whether the gap before some of the stops, or before session 1, is too short to pour a whole tank."""
        return any(self.may_fill[k] and self.can_pour[k] < self.limit for k in self.starts(stops))

    def cap(self, first: int) -> float:
        """The most that a leg from session `first` can start with [m3]."""
        return self.limit if self.may_fill[first] else self.in_tank

    def pourable(self, mark: float) -> float:
        """A mark rounded up to the step, but never above the limit."""
        if self.mark_step <= 0:
            return min(mark, self.limit)
        return min(float(np.ceil(mark / self.mark_step - 1e-6)) * self.mark_step, self.limit)

    def starts(self, stops: tuple[int, ...]) -> tuple[int, ...]:
        """First sessions (from 0) of the legs that refills before `stops` make."""
        return (0, *stops)

    def leg_demand(self, first: int, last: int) -> Array:
        """Mark (N,) that would have just sufficed for the leg: the largest of use so far plus floor."""
        used = np.full(self.draws, self.prime if first == 0 else 0.0)
        demand = np.zeros(self.draws)
        for k in range(first, last + 1):
            used += self.drain[k]
            np.maximum(demand, used + self.floor[k], out=demand)
        return demand

    def leg_expected_needs(self, first: int) -> Array:
        """Marks for the expected use, the extra runs and the floors of the legs from `first` to each session on."""
        used = (self.prime if first == 0 else 0.0) + np.cumsum(self.expected[first:])
        spare = self.extra * np.maximum.accumulate(self.unit[first:])
        return np.maximum.accumulate(used + spare + self.floor[first:])

    def leg_expected_need(self, first: int, last: int) -> float:
        """Mark for the leg's expected use, its extra runs and its floors."""
        return float(self.leg_expected_needs(first)[last - first])
