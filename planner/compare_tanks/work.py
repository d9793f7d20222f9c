"""What a car makes of an event with a tank, worked out in any process: the same plan as `plan_day` makes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from planner.car import Car, Tank
from planner.day import Situation, car_factor, day_problem, needed_blend, use_of_course, usual_draws
from planner.driving.course import course_stamp, course_traces
from planner.driving.trace import Trace
from planner.errors import BadInput, Fault, OutsideModel
from planner.event import Course, Event
from planner.physics.tank import Box
from planner.planning.floor import Floor, session_floor
from planner.planning.gaps import gaps_of
from planner.planning.legs import Levels, full_levels
from planner.planning.mends import all_stops, breaking_session, holds_session_by_session, is_feasible
from planner.planning.problem import Problem
from planner.planning.refill import RefillPlan, mean_levels, plan_refills, washing_share
from planner.planning.tank_choice import TankDay
from planner.use.flow_curve import flow_curve
from planner.use.spread import CarFactor
from planner.use.washing import washing_band


@dataclass(frozen=True, slots=True)
class Pair:
    """An event with a car and the tank to try in it.

    factor: what is known of the car's factor, None for what its file says; in_series: how many such tanks feed one
    another, the last holding the pickup; long_gap [min]: gaps longer than it count as long.
    """

    event: Event
    car: Car
    factor: CarFactor | None = None
    in_series: int = 1
    long_gap: float = 45.0


@dataclass(frozen=True, slots=True, eq=False)
class _DayWork:
    """What does not depend on the tank: the problem but for floors and limit, courses, the final reserve [m3]."""

    problem: Problem
    courses: tuple[Course, ...]
    final_reserve: float


_ANY_TANK = Tank(Box(0.1, 0.1, 0.1))
_NO_FLOOR = Floor(0.0, 0.0, 0.0, 0.0)


@lru_cache(maxsize=32)
def _day_work(
    event: Event, car: Car, factor: CarFactor, *, stamps: tuple[object, ...], draws: int, seed: int
) -> _DayWork:
    courses = tuple(event.course(session.course) for session in event.sessions)
    uses = [use_of_course(car, course) for course in courses]
    gaps = gaps_of(event.sessions, event.refill)
    floors = [_NO_FLOOR for _ in courses]
    problem = day_problem(event, car, Situation(), event.sessions, uses, floors, gaps, factor, draws=draws, seed=seed)
    return _DayWork(problem, courses, event.reserve.final * flow_curve(car).largest * factor.mean)


@lru_cache(maxsize=32)
def _traces(course: Course, stamp: object) -> tuple[Trace, ...]:
    return course_traces(course)


@lru_cache(maxsize=512)
def _floor(car: Car, course: Course, stamp: object, *, final_reserve: float) -> Floor:
    return session_floor(car, _traces(course, stamp), course.per, final_reserve=final_reserve)


def _base_car(car: Car) -> Car:
    """The car with a tank that all candidates share, so that what no tank changes is worked out once."""
    return replace(car, tank=_ANY_TANK)


@lru_cache(maxsize=32)
def _factor(car: Car) -> CarFactor:
    return car_factor(car)


def problem_of(pair: Pair, draws: int | None, seed: int) -> tuple[Problem, list[Floor]]:
    """The refill problem of a pair, and the floor of each session."""
    event, car, courses = pair.event, pair.car, pair.event.courses
    base, stamps = _base_car(car), tuple(course_stamp(course) for course in courses)
    factor = pair.factor or _factor(base)
    work = _day_work(event, base, factor, stamps=stamps, draws=draws or usual_draws(event), seed=seed)
    final = work.final_reserve
    known = {c: _floor(car, c, stamp, final_reserve=final) for c, stamp in zip(courses, stamps, strict=True)}
    floors = [known[course] for course in work.courses]
    limit = car.tank.limit * pair.in_series
    problem = replace(
        work.problem,
        floor=np.array([floor.total for floor in floors]),
        limit=limit,
        in_tank=min(event.stock.in_tank, limit),
        washing=washing_band(car.tank),
    )
    return problem, floors


def tank_day(pair: Pair, *, draws: int | None, seed: int) -> TankDay:
    """What the pair's car makes of its event. Raises BadInput for what cannot be read or worked out."""
    try:
        problem, floors = problem_of(pair, draws, seed)
    except OutsideModel as reason:
        raise BadInput([Fault(pair.car.name, "tank", "", str(reason))]) from reason
    refills = plan_refills(problem, ())
    highest = max(floors, key=lambda floor: floor.total)
    if refills is None:
        return _impossible(problem, highest)
    return _possible(pair, problem, refills, highest=highest)


def _margins(problem: Problem, levels: Levels) -> np.ndarray:
    """Over the floor at the tightest session of each draw, (N,) [m3]."""
    least = levels.end[0] - problem.floor[0]
    for k in range(1, problem.sessions):
        np.minimum(least, levels.end[k] - problem.floor[k], out=least)
    return least


def _possible(pair: Pair, problem: Problem, refills: RefillPlan, *, highest: Floor) -> TankDay:
    best, levels, refill = refills.best, refills.levels, pair.event.refill
    margins = _margins(problem, levels)
    minutes = [float(problem.minutes[k]) for k in best.stops]
    poured = [float(np.quantile(levels.start[k] - levels.end[k - 1], 0.99)) for k in best.stops]
    needs = [(refill.setup + volume / refill.pour_rate) / 60 for volume in poured]
    needed = needed_blend(pair.event, problem, refills)
    return TankDay(
        feasible=True,
        stops=len(best.stops),
        stop_gaps=tuple(minutes),
        spare_time=min((gap - need for gap, need in zip(minutes, needs, strict=True)), default=None),
        in_long_gaps=all(gap > pair.long_gap for gap in minutes) or _holds_in_long_gaps(problem, pair.long_gap),
        short_chance=float(np.mean(margins < 0)),
        least_margin=float(np.median(margins)),
        spare=problem.limit - max(best.marks),
        carried=best.carried,
        washing=best.washing,
        floor=highest.total,
        floor_by=highest.set_by,
        left=float(levels.end[-1].mean()),
        bring=max(float(np.quantile(needed, pair.event.reserve.confidence, method="higher")), 0.0),
        use=float(problem.expected.sum()),
    )


def _holds_in_long_gaps(problem: Problem, long_gap: float) -> bool:
    long = problem.may_fill & (problem.minutes > long_gap)
    return is_feasible(replace(problem, may_fill=long))


def _impossible(problem: Problem, highest: Floor) -> TankDay:
    stops = all_stops(problem)
    levels = full_levels(problem, stops)
    margins = _margins(problem, levels)
    start, end = mean_levels(problem, stops, tuple(problem.limit for _ in problem.starts(stops)))
    return TankDay(
        feasible=False,
        stops=len(stops),
        stop_gaps=tuple(float(problem.minutes[k]) for k in stops),
        spare_time=None,
        in_long_gaps=False,
        short_chance=float(np.mean(margins < 0)),
        least_margin=float(np.median(margins)),
        spare=None,
        carried=float((start + end).mean() / 2) * problem.density,
        washing=float(washing_share(start, end, problem.washing)),
        floor=highest.total,
        floor_by=highest.set_by,
        left=float(levels.end[-1].mean()),
        bring=None,
        use=float(problem.expected.sum()),
        breaks=breaking_session(problem, levels) + 1,
        with_every_gap=holds_session_by_session(problem),
    )


Outcome = TankDay | tuple[Fault, ...]


def work_off(pairs: Sequence[Pair], draws: int | None, seed: int) -> list[Outcome]:
    """What becomes of each pair, or its faults: an exception of ours does not come whole through a process's door."""
    outcomes: list[Outcome] = []
    for pair in pairs:
        try:
            outcomes.append(tank_day(pair, draws=draws, seed=seed))
        except BadInput as reason:
            outcomes.append(reason.faults)
    return outcomes
