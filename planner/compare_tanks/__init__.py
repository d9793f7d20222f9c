"""Tanks side by side over many days: each planned as `plan_day` plans it, on every core, and kept for a second look."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from planner.car import Car, Tank
from planner.compare_tanks.cache import Kept
from planner.compare_tanks.pool import Workers
from planner.compare_tanks.work import Pair
from planner.day import SEED, with_tank_scaled
from planner.errors import BadInput
from planner.event import Event
from planner.physics.blend import density
from planner.planning.tank_choice import Answer, Candidate, TankDay, answer_of
from planner.use.spread import CarFactor
from planner.use.tank_changes import turned

Space = tuple[float, float, float]
Progress = Callable[[int, int], None]

USUAL_SHARES = (0.5, 0.6, 0.7, 0.8, 0.9, 1.1, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0)
"""Sizes that are tried where none is asked, as shares of today's tank (a design choice)."""
LONG_GAP = 45.0
"""A gap [min] longer than this counts as long where nothing else is asked (a design choice)."""


@dataclass(frozen=True, slots=True)
class Days:
    """The days to compare over, each with the car that drives it, and what is asked of the comparison.

    long_gap [min]; space: length, width, height [m] that a tank must fit in, or None; may_turn: whether it may be
    turned by 90 degrees for that.
    """

    events: tuple[tuple[Event, Car], ...]
    long_gap: float = LONG_GAP
    space: Space | None = None
    may_turn: bool = False

    @property
    def car(self) -> Car:
        """The car whose tank is today's: the first event's."""
        return self.events[0][1]

    def pairs(self, tank: Tank, factor: CarFactor | None = None) -> list[Pair]:
        """Each day with a tank."""
        return [Pair(event, replace(car, tank=tank), factor, 1, self.long_gap) for event, car in self.events]


@dataclass(frozen=True, slots=True)
class NamedTank:
    """A tank to try, under the name that the user knows it by."""

    name: str
    tank: Tank
    scaled: bool = False
    today: bool = False


class Planner:
    """Plans pairs: from what is kept where it can, else on every core; tells how far it is and heeds a stop."""

    def __init__(
        self,
        workers: Workers,
        *,
        kept_in: Path | None = None,
        draws: int | None = None,
        seed: int = SEED,
        progress: Progress = lambda done, total: None,
        stop: Callable[[], bool] = lambda: False,
    ) -> None:
        self._workers, self._draws, self._seed = workers, draws, seed
        self._kept = Kept(kept_in, draws=draws, seed=seed)
        self._progress, self._stop = progress, stop
        self._done = self._total = 0

    def days(self, pairs: Sequence[Pair]) -> list[TankDay]:
        """What each pair comes to, in order. Raises BadInput for what cannot be used, Stopped where it is stopped."""
        found = self._kept.find(pairs)
        missing = [k for k, day in enumerate(found) if day is None]
        self._total += len(pairs)
        self._tell(len(pairs) - len(missing))
        asked = [pairs[k] for k in missing]
        outcomes = self._workers.run(asked, draws=self._draws, seed=self._seed, done=self._tell, stop=self._stop)
        fresh = []
        for outcome in outcomes:
            if isinstance(outcome, tuple):
                raise BadInput(outcome)
            fresh.append(outcome)
        self._kept.keep(asked, fresh)
        for k, day in zip(missing, fresh, strict=True):
            found[k] = day
        return [day for day in found if day is not None]

    def _tell(self, more: int) -> None:
        self._done += more
        self._progress(self._done, self._total)


def scaled_tank(car: Car, capacity: float) -> Tank:
    """The car's own tank in another size [m3], pickup and proportions kept; walls are taken as thick as they are."""
    factor = float(capacity / car.tank.capacity) ** (1 / 3)
    tank = with_tank_scaled(car, factor).tank
    return tank if tank.empty_mass is None else replace(tank, empty_mass=tank.empty_mass * factor**2)


def usual_capacities(car: Car) -> list[float]:
    """Sizes [m3] around today's tank, in round numbers of 0.1, 0.5 or 1 L."""
    found = set()
    for share in USUAL_SHARES:
        litres = share * car.tank.capacity * 1e3
        step = 0.1 if litres < 5 else 0.5 if litres < 20 else 1.0
        found.add(round(round(litres / step) * step, 1) / 1e3)
    return sorted(size for size in found if size > 0 and abs(size / car.tank.capacity - 1) > 0.02)


def size_name(capacity: float) -> str:
    """A size [m3] as a tank is called by it."""
    return f"{capacity * 1e3:.3g} L"


def own_sizes(car: Car, capacities: Sequence[float]) -> list[NamedTank]:
    """Today's tank and the same shape at other capacities [m3], the smallest first."""
    others = sorted({c for c in capacities if abs(c / car.tank.capacity - 1) > 1e-6})
    sizes = [NamedTank(size_name(c), scaled_tank(car, c), scaled=True) for c in others]
    today = NamedTank(f"today's {size_name(car.tank.capacity)}", car.tank, scaled=True, today=True)
    return sorted([*sizes, today], key=lambda one: one.tank.capacity)


def fits(tank: Tank, space: Space) -> bool:
    """Whether a tank's inside fits in a space, as it stands."""
    sizes = (tank.shape.length, tank.shape.width, tank.shape.height)
    return all(size <= room * (1 + 1e-9) for size, room in zip(sizes, space, strict=True))


def placed(tank: Tank, days: Days) -> tuple[Tank, bool | None, bool]:
    """The tank as it would stand in the space asked: itself or turned, whether it fits, and whether it is turned."""
    if days.space is None:
        return tank, None, False
    if fits(tank, days.space):
        return tank, True, False
    for other in turned(tank) if days.may_turn else ():
        if fits(other, days.space):
            return other, True, True
    return tank, False, False


@dataclass(frozen=True, slots=True)
class Comparison:
    """Candidates over the days, and the choice among them."""

    days: Days
    candidates: tuple[Candidate, ...]
    answer: Answer
    notices: tuple[str, ...] = field(default=())


def candidates_of(days: Days, tanks: Sequence[NamedTank], planner: Planner) -> tuple[Candidate, ...]:
    """Each tank with what it makes of every day, the smallest first."""
    stand = [placed(one.tank, days) for one in tanks]
    pairs = [pair for tank, _, _ in stand for pair in days.pairs(tank)]
    results, count = planner.days(pairs), len(days.events)
    blend = days.car.blend
    weight = float(density(blend.alcohol_share, blend.temperature))
    found = [
        Candidate(
            one.name,
            tank,
            tuple(results[k * count : (k + 1) * count]),
            tank.limit * weight,
            tank.empty_mass,
            scaled=one.scaled,
            today=one.today,
            fits=fit,
            turned=is_turned,
        )
        for k, (one, (tank, fit, is_turned)) in enumerate(zip(tanks, stand, strict=True))
    ]
    return tuple(sorted(found, key=lambda one: one.capacity))


def compare(days: Days, tanks: Sequence[NamedTank], planner: Planner) -> Comparison:
    """Plan every day with every tank and say which are worth considering. Raises BadInput, Stopped."""
    candidates = candidates_of(days, tanks, planner)
    return Comparison(days, candidates, answer_of(candidates), _notices(days, candidates))


def _notices(days: Days, candidates: Sequence[Candidate]) -> tuple[str, ...]:
    said = []
    others = sorted({car.name for _, car in days.events} - {days.car.name})
    if others:
        names = " and ".join(others)
        said.append(f"The days are of several cars; sizes of {days.car.name}'s tank are tried in {names} too.")
    least = min(one.tank.limit for one in candidates)
    for event, _ in days.events:
        if event.stock.in_tank > least * (1 + 1e-9):
            held = f"{event.stock.in_tank * 1e3:.4g} L"
            said.append(f"{event.name} starts with {held} in the tank; a smaller tank is taken to start full.")
    if any(one.turned for one in candidates):
        said.append("A tank that fits only turned by 90 degrees is planned turned, its pickup with it.")
    if days.space is not None:
        said.append("Sizes are inside ones: allow for walls, fittings and mounts in the space.")
    if any(one.empty is None for one in candidates) and any(one.empty is not None for one in candidates):
        said.append("Some tanks have no empty_mass; the masses of those are of the fluid alone.")
    return tuple(said)
