"""How sure the choice is: what would flip if the car were found to use less or more, and what would settle it.

The car's factor is one unknown number. A measurement narrows it; the answer is settled where, after it, the 10 to 90 %
range of the factor lies on one side of the factor at which the answer flips. The chance of that is known beforehand,
since the mean after a measurement is itself normal on the log scale.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from planner.car import Car
from planner.compare_tanks import Days, Planner
from planner.day import car_factor, use_of_course
from planner.event import Event
from planner.planning.tank_choice import Candidate, TankDay
from planner.use.learning import DIP_ERROR, reading_sd
from planner.use.spread import STANDARD_NORMAL, CarFactor, log_sd

LOW, HIGH = 0.10, 0.90
FLOW_TEST_ERROR = 0.03
HALVINGS = 4
_REACH = STANDARD_NORMAL.inv_cdf(HIGH)


@dataclass(frozen=True, slots=True)
class Measurement:
    """A measurement of the car's factor: its name and its relative error [1], the session's own spread included."""

    name: str
    error: float


@dataclass(frozen=True, slots=True)
class Flip:
    """A tank's answer on a day that may change: stops (None: no plan) at the low factor, as planned, at the high one.

    factor: about where it changes, a multiple of today's mean [1]; chance: that the factor lies beyond, on the other
    side than the plan's; settled: the chance [1] that each measurement settles it.
    """

    tank: int
    event: int
    low: int | None
    planned: int | None
    high: int | None
    factor: float
    chance: float
    settled: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Sureness:
    """The factor's 10 and 90 % points, the measurements that could be taken, and every answer that may flip."""

    low: float
    high: float
    measurements: tuple[Measurement, ...]
    flips: tuple[Flip, ...]

    @property
    def best(self) -> int | None:
        """The measurement that settles most of the answers that may flip; None where none may."""
        if not self.flips:
            return None
        means = [sum(flip.settled[k] for flip in self.flips) for k in range(len(self.measurements))]
        return means.index(max(means))


def narrowed(factor: CarFactor, mean: float, error: float) -> CarFactor:
    """The factor after a measurement of relative error [1] that left it with a mean [1]; conjugate on the log scale."""
    precision = log_sd(factor.variation) ** -2 + log_sd(error) ** -2
    return CarFactor(mean, math.sqrt(math.expm1(1 / precision)))


def settle_chance(factor: CarFactor, error: float, threshold: float) -> float:
    """Chance [1] that after a measurement the factor's 10 to 90 % range lies on one side of a threshold [1]."""
    prior = log_sd(factor.variation) ** 2
    after = 1 / (1 / prior + log_sd(error) ** -2)
    moves = math.sqrt(max(prior - after, 1e-12))
    middle, reach = math.log(threshold) - factor.log_mean, _REACH * math.sqrt(after)
    return STANDARD_NORMAL.cdf((middle - reach) / moves) + 1 - STANDARD_NORMAL.cdf((middle + reach) / moves)


def dip_after(event: Event, car: Car) -> tuple[int, float]:
    """After how many sessions a dip tells most while today's tank lasts, and its relative error [1].

    The tank is filled to a known mark before them; both the mark and the dip are read by hand, and each session has
    its own spread. Sessions count as long as their mean use leaves the tank above the floor on level ground.
    """
    room = car.tank.limit - float(car.tank.shape.volume_from_level(car.tank.pickup.height))
    reading = math.sqrt(2) * reading_sd(car.tank.shape, car.tank.shape.height / 2, DIP_ERROR)
    used, variance, best = 0.0, 0.0, (1, 1.0)
    for number, session in enumerate(event.sessions, 1):
        use = use_of_course(car, event.course(session.course))
        used += use.drawn * session.runs
        variance += (use.variation * use.drawn * session.runs) ** 2
        if used <= 0 or (used > room and number > 1):
            break
        best = min(best, (number, min(math.sqrt(variance + reading**2) / used, 1.0)), key=lambda one: one[1])
    return best


def measurements(days: Days) -> tuple[Measurement, ...]:
    """What could be measured before buying: a flow test, and one dip on the first of the days."""
    event, car = days.events[0]
    sessions, error = dip_after(event, car)
    dip = f"one dip after {event.sessions[sessions - 1].name} of {event.name}, filled to a mark before"
    return Measurement("a flow test", FLOW_TEST_ERROR), Measurement(dip, error)


def _stops(day: TankDay) -> int | None:
    return day.stops if day.feasible else None


def how_sure(days: Days, candidates: Sequence[Candidate], worth: Sequence[int], *, planner: Planner) -> Sureness:
    """Which answers of the tanks worth considering may flip within the factor's 10 to 90 % range."""
    factor, ways = car_factor(days.car), measurements(days)
    if factor.variation <= 0:
        return Sureness(factor.mean, factor.mean, ways, ())
    sd = log_sd(factor.variation)
    low, high = (factor.mean * math.exp(side * _REACH * sd) for side in (-1, 1))
    places = [(tank, event) for tank in worth for event in range(len(days.events))]

    def answers(asked: Sequence[tuple[int, int]], mean: float) -> list[int | None]:
        """Stops at places, as they would be planned had a flow test left the factor with this mean [1]."""
        known = narrowed(factor, mean, FLOW_TEST_ERROR)
        return [_stops(day) for day in planner.days([days.pairs(candidates[k].tank, known)[e] for k, e in asked])]

    found = []
    for place, *sides in zip(places, answers(places, low), answers(places, high), strict=True):
        if sides[0] != sides[1]:
            at = _threshold(lambda mean, where=place: answers([where], mean)[0], low, high, least=sides[0])  # type: ignore[misc]
            planned = _stops(candidates[place[0]].days[place[1]])
            settled = tuple(settle_chance(factor, way.error, at) for way in ways)
            chance = _chance_beyond(factor, at, planned == sides[0])
            found.append(Flip(*place, sides[0], planned, sides[1], at, chance, settled))
    return Sureness(low, high, ways, tuple(found))


def _threshold(answer: Callable[[float], int | None], low: float, high: float, *, least: int | None) -> float:
    """About the mean [1], between two, at which the answer `least` of the low one is lost; by halving."""
    for _ in range(HALVINGS):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if answer(middle) == least else (low, middle)
    return math.sqrt(low * high)


def _chance_beyond(factor: CarFactor, at: float, planned_low: bool) -> float:
    """Chance [1] that the factor lies on the other side of `at` than the plan takes."""
    above = 1 - STANDARD_NORMAL.cdf((math.log(at) - factor.log_mean) / log_sd(factor.variation))
    return above if planned_low else 1 - above
