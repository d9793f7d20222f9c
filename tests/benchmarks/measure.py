"""Medians over repeats, and ratios pair by pair, so that a busy machine disturbs both sides alike."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median


@dataclass(frozen=True, slots=True)
class Row:
    """One goal: what was measured, its values over the repeats, the goal and its unit ("x" for a ratio)."""

    what: str
    values: tuple[float, ...]
    goal: float
    unit: str = "x"
    at_least: bool = False

    def line(self) -> str:
        """The row as text."""
        middle = median(self.values)
        reached = middle >= self.goal if self.at_least else middle <= self.goal
        spread = f"{min(self.values):.3g} to {max(self.values):.3g} over {len(self.values)}"
        sign = ">=" if self.at_least else "<="
        verdict = "yes" if reached else "NO"
        return f"{self.what:64} {middle:8.3g} {self.unit} {sign}{self.goal:6.3g} {self.unit}  {verdict:7}  {spread}"


Clock = Callable[[], float]


def seconds(work: Callable[[], object], clock: Clock = time.perf_counter) -> float:
    """How long one call takes [s]."""
    begin = clock()
    work()
    return clock() - begin


def on_one_core(work: Callable[[], object], repeats: int = 5) -> tuple[float, ...]:
    """Processor times [s] of repeated calls, after one that does not count: what a goal "on one core" asks for."""
    work()
    return tuple(seconds(work, time.process_time) for _ in range(repeats))


def ratios(work: Callable[[], object], yardstick: Callable[[], object], repeats: int = 5) -> tuple[float, ...]:
    """Ratios of work to yardstick, pair by pair, after one pair that does not count."""
    work(), yardstick()
    return tuple(seconds(work) / seconds(yardstick) for _ in range(repeats))
