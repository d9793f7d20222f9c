"""The smallest size of the car's own shape that does it, to 0.1 L, over all the days at once.

A larger tank of the same shape is taken to do whatever a smaller one does; sizes are halved between one that fails
and one that holds, and only the days that still fail are planned again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from planner.compare_tanks import Days, Planner, scaled_tank
from planner.compare_tanks.work import Pair
from planner.planning.tank_choice import Candidate, TankDay

STEP = 1e-4
LARGEST_SHARE, SMALLEST_SHARE = 16.0, 1 / 32


@dataclass(frozen=True, slots=True)
class Smallest:
    """Smallest capacities [m3]: without a stop, with stops in long gaps alone, with any plan; None beyond 16 times
    today's tank."""

    without_stops: float | None
    in_long_gaps: float | None
    feasible: float | None


_HOLDS: tuple[Callable[[TankDay], bool], ...] = (
    lambda day: day.feasible and day.stops == 0,
    lambda day: day.in_long_gaps,
    lambda day: day.feasible,
)


class _Search:
    """One answer's bracket in steps of 0.1 L: `low` fails on the days in `failing`, `high` holds on all."""

    def __init__(self, holds: Callable[[TankDay], bool], days: Days, candidates: Sequence[Candidate]) -> None:
        self.holds, self.most = holds, int(LARGEST_SHARE * days.car.tank.capacity / STEP)
        self.low = max(int(SMALLEST_SHARE * days.car.tank.capacity / STEP), 1)
        self.high: int | None = None
        self.failing = list(range(len(days.events)))
        for one in candidates:
            failing = [k for k, day in enumerate(one.days) if not holds(day)]
            if not failing:
                self.high = -int(-one.capacity / STEP // 1)
                break
            self.low, self.failing = max(self.low, int(one.capacity / STEP)), failing

    @property
    def wanted(self) -> int | None:
        """The next size to try, or None where the answer is known."""
        if self.high is None:
            return None if self.low >= self.most else min(2 * self.low, self.most)
        return None if self.high - self.low <= 1 else (self.low + self.high) // 2

    def hear(self, size: int, days: dict[int, TankDay]) -> None:
        """Take in what a size came to on the failing days."""
        failing = [k for k in self.failing if not self.holds(days[k])]
        if failing:
            self.low, self.failing = size, failing
        else:
            self.high = size


def smallest(days: Days, candidates: Sequence[Candidate], planner: Planner) -> Smallest:
    """The three answers, between and beyond the candidates that have the car's own shape."""
    own = [one for one in candidates if one.scaled and not one.turned]
    searches = [_Search(holds, days, own) for holds in _HOLDS]
    while any(search.wanted for search in searches):
        _step(searches, days, planner)
    return Smallest(*(None if search.high is None else search.high * STEP for search in searches))


def _step(searches: Sequence[_Search], days: Days, planner: Planner) -> None:
    """Plan the sizes that the searches want, each day once, and let them hear."""
    wanted = sorted({(search.wanted, k) for search in searches if search.wanted for k in search.failing})
    pairs: list[Pair] = []
    for size, k in wanted:
        assert size is not None
        pairs.append(days.pairs(scaled_tank(days.car, size * STEP))[k])
    found: dict[int, dict[int, TankDay]] = {}
    for (size, k), day in zip(wanted, planner.days(pairs), strict=True):
        assert size is not None
        found.setdefault(size, {})[k] = day
    for search in searches:
        if search.wanted:
            search.hear(search.wanted, found[search.wanted])
