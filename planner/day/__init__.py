"""The day: from a car and an event to the plan. All that the command line and the dashboard call."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache

import numpy as np

from planner.car import Car
from planner.driving.course import Stamp, course_stamp, course_traces
from planner.errors import BadInput, Fault, OutsideModel
from planner.event import Course, Event, Session
from planner.physics.blend import density
from planner.planning.floor import Floor, session_floor
from planner.planning.gaps import Gap, gaps_of
from planner.planning.mends import no_plan
from planner.planning.problem import Problem
from planner.planning.refill import RefillPlan, plan_refills
from planner.planning.stock import Bring, bring
from planner.use.consumption import CourseUse, course_use
from planner.use.flow_curve import flow_curve, full_speed_flow_at_rest
from planner.use.spread import CarFactor, factor_from_flow_test, prior_factor, use_draws
from planner.use.washing import washing_band

Array = np.ndarray

MOST_DRAWS, FEWEST_DRAWS = 40_000, 10_000
SEED = 20_260_516
MARK_STEP = 5e-5
"""Marks are multiples of this [m3], rounded up: a jug is read to 0.05 L (a design choice)."""


@dataclass(frozen=True, slots=True)
class Situation:
    """Where a day stands when it is planned again: sessions done, level [m3] now, what is known of the car.

    ready is when a refill can begin (None: as early as wanted).
    """

    sessions_done: int = 0
    level: float | None = None
    factor: CarFactor | None = None
    ready: datetime | None = None


@dataclass(frozen=True, slots=True, eq=False)
class DayPlan:
    """A plan and all it came from; sessions, gaps and floors hold what is still to come, in order."""

    event: Event
    car: Car
    factor: CarFactor
    first_number: int
    sessions: tuple[Session, ...]
    uses: tuple[CourseUse, ...]
    floors: tuple[Floor, ...]
    gaps: tuple[Gap, ...]
    problem: Problem
    refills: RefillPlan
    brought: Bring
    needed_blend: Array
    largest_flow: float


def car_factor(car: Car) -> CarFactor:
    """The car's factor before the day: its file's spread or kept result, corrected and narrowed by a flow test.

    Raises BadInput for a test that the car's hardware makes impossible.
    """
    prior, test = prior_factor(car), car.telling_flow_test
    if test is None:
        return prior
    try:
        return factor_from_flow_test(prior, test.volume / test.time, full_speed_flow_at_rest(car), test.error)
    except OutsideModel as reason:
        remedy = "no nozzle is open at no boost, so a flow test cannot be compared; leave [flow_test] out"
        raise BadInput([Fault(car.name, "flow_test", "", remedy)]) from reason


@lru_cache(maxsize=256)
def _course_use(car: Car, course: Course, stamp: Stamp) -> CourseUse:
    try:
        return course_use(flow_curve(car), course_traces(course), course.per, car.spread.run)
    except OutsideModel as reason:
        raise BadInput([Fault(car.name, f"course {course.name}", "", str(reason))]) from reason


def use_of_course(car: Car, course: Course) -> CourseUse:
    """Use of a course by a car, kept until the car, the course or a recording changes."""
    return _course_use(car, course, course_stamp(course))


@lru_cache(maxsize=256)
def _course_floor(car: Car, course: Course, stamp: Stamp, final_reserve: float) -> Floor:
    return session_floor(car, course_traces(course), course.per, final_reserve=final_reserve)


def floor_of_course(car: Car, course: Course, final_reserve: float) -> Floor:
    """Floor of a session on a course; final_reserve [m3]. Kept until the car, the course or a recording changes."""
    return _course_floor(car, course, course_stamp(course), final_reserve)


def usual_draws(event: Event) -> int:
    """How many days are simulated: as many as keep marks within about 0.02 L from seed to seed."""
    return int(np.clip(400_000 // max(len(event.sessions), 1), FEWEST_DRAWS, MOST_DRAWS))


def plan_day(
    event: Event, car: Car, situation: Situation | None = None, *, draws: int | None = None, seed: int = SEED
) -> DayPlan:
    """Plan a day, or what is left of it.

    draws: how many days are simulated; by default as many as keep marks within about 0.02 L from seed to seed.
    Raises NoPlan where none exists, with the session that breaks it and what would mend it; BadInput for
    recordings that cannot be read or used.
    """
    now = situation or Situation()
    draws = draws or usual_draws(event)
    sessions = event.sessions[now.sessions_done :]
    courses = [event.course(session.course) for session in sessions]
    factor = now.factor or car_factor(car)
    largest = flow_curve(car).largest * factor.mean
    by_name = {course.name: course for course in courses}
    known = {
        name: (use_of_course(car, course), floor_of_course(car, course, event.reserve.final * largest))
        for name, course in by_name.items()
    }
    uses, floors = zip(*(known[course.name] for course in courses), strict=True)
    gaps = gaps_of(sessions, event.refill, now.ready, first_number=now.sessions_done + 1)
    problem = day_problem(event, car, now, sessions, uses, floors, gaps, factor, draws=draws, seed=seed)
    refills = plan_refills(problem)
    if refills is None:
        raise no_plan(
            problem,
            [session.name for session in sessions],
            gaps,
            capacity=car.tank.capacity,
            problem_at=lambda scale: _scaled_problem(problem, car, courses, scale, floors[0].final_reserve),
        )
    needed = needed_blend(event, problem, refills)
    amount = float(np.quantile(needed, event.reserve.confidence, method="higher"))
    return DayPlan(
        event,
        car,
        factor,
        now.sessions_done + 1,
        tuple(sessions),
        uses,
        floors,
        gaps,
        problem,
        refills,
        bring(max(amount, 0.0), car.blend, event.stock),
        needed,
        largest,
    )


def day_problem(
    event: Event,
    car: Car,
    now: Situation,
    sessions: Sequence[Session],
    uses: Sequence[CourseUse],
    floors: Sequence[Floor],
    gaps: Sequence[Gap],
    factor: CarFactor,
    *,
    draws: int,
    seed: int,
) -> Problem:
    """The refill problem of the sessions still to come, from what was worked out for each of them."""
    rows = Rows(sessions, uses, floors, gaps)
    drain = use_draws(rows.expected, np.array([use.variation for use in uses]), factor, draws, seed)
    return refill_problem(event, car, rows, now, drain=drain, mean=factor.mean)


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of a refill problem: sessions, and what was worked out for each."""

    sessions: Sequence[Session]
    uses: Sequence[CourseUse]
    floors: Sequence[Floor]
    gaps: Sequence[Gap]

    @property
    def unit(self) -> Array:
        """(S,) use of one run, lap or minute [m3] at a factor of 1."""
        return np.array([use.drawn for use in self.uses])

    @property
    def expected(self) -> Array:
        """(S,) use of each session [m3] at a factor of 1."""
        return self.unit * np.array([session.runs for session in self.sessions])


def refill_problem(event: Event, car: Car, rows: Rows, now: Situation, *, drain: Array, mean: float) -> Problem:
    """The refill problem of rows that drain (S, N) [m3] in each draw; mean: of the car's factor [1]."""
    return Problem(
        drain=drain,
        expected=rows.expected * mean,
        unit=rows.unit * mean,
        floor=np.array([floor.total for floor in rows.floors]),
        may_fill=np.array([gap.refill_possible for gap in rows.gaps]),
        can_pour=np.array([gap.can_pour for gap in rows.gaps]),
        minutes=np.array([gap.seconds / 60 for gap in rows.gaps]),
        limit=car.tank.limit,
        in_tank=event.stock.in_tank if now.level is None else now.level,
        prime=event.reserve.prime if now.sessions_done == 0 else 0.0,
        confidence=event.reserve.confidence,
        extra=event.reserve.extra,
        washing=washing_band(car.tank),
        density=float(density(car.blend.alcohol_share, car.blend.temperature)),
        priority=event.refill.priority,
        mark_step=MARK_STEP,
    )


def _scaled_problem(
    problem: Problem, car: Car, courses: Sequence[Course], scale: float, final_reserve: float
) -> Problem:
    """The same day with the tank's volume multiplied by `scale` [1], its floors worked out anew."""
    bigger = with_tank_scaled(car, scale ** (1 / 3))
    floors = [floor_of_course(bigger, course, final_reserve).total for course in courses]
    return replace(problem, floor=np.array(floors), limit=bigger.tank.limit, washing=washing_band(bigger.tank))


def needed_blend(event: Event, problem: Problem, refills: RefillPlan) -> Array:
    """Blend [m3] that each draw (N,) takes from the containers, what is spilled at each fill included."""
    needed = np.zeros(problem.draws)
    for first in problem.starts(refills.best.stops):
        added = refills.levels.added(problem, first)
        needed += added + event.refill.spill * (added > 0)
    return needed


def with_tank_scaled(car: Car, factor: float) -> Car:
    """The car with its tank's shape and pickup scaled by `factor` [1] in every length."""
    tank, pickup = car.tank, car.tank.pickup
    moved = replace(pickup, ahead=pickup.ahead * factor, left=pickup.left * factor, height=pickup.height * factor)
    return replace(car, tank=replace(tank, shape=tank.shape.scaled(factor), pickup=moved))
