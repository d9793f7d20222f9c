"""The day ahead, planned again from the level now, what is known of the car, and the time that is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import lru_cache

import numpy as np
from scipy.special import ndtr

from planner.car import Car
from planner.day import DayPlan, Rows, Situation, floor_of_course, plan_day, refill_problem, use_of_course
from planner.errors import NoPlan
from planner.event import Event, Session
from planner.follow.past import Past
from planner.planning.floor import Floor
from planner.planning.gaps import Gap, gaps_of
from planner.planning.legs import Levels
from planner.planning.mends import all_stops, best_chance
from planner.planning.problem import Problem
from planner.planning.refill import RefillPlan, choice_of, plan_refills
from planner.planning.stock import bring
from planner.planning.timeline import Outing, Timeline, moved, seconds, timeline
from planner.planning.watch import Watch
from planner.use.consumption import CourseUse
from planner.use.flow_curve import flow_curve
from planner.use.learning import draw, factor_mean, factor_summary, level_mean, start_belief
from planner.use.spread import CarFactor, log_sd, normal_draws

Array = np.ndarray

DRAWS = 8_000
SEED = 20_260_517
NOTHING = CourseUse(0.0, 0.0, 0.0, ())


@dataclass(frozen=True, slots=True, eq=False)
class Ahead:
    """What is ahead: a plan whose first session is what is on now, or nothing at all.

    outings: the sessions of the plan from its second on (from its first where `opening`); first_mark: the level [m3] to
    fill to if a fill is made before the next session; confidence: the chance the plan keeps; forced: no plan keeps the
    chance asked for, so every allowed stop fills to the limit.
    """

    plan: DayPlan
    outings: tuple[Outing, ...]
    opening: bool
    first_mark: float | None
    confidence: float
    forced: bool

    @property
    def before(self) -> int:
        """How many rows of the plan stand before the first session ahead."""
        return 0 if self.opening else 1


def plan_ahead(event: Event, car: Car, day: Timeline, past: Past, *, now: datetime, stops_planned: int) -> Ahead | None:
    """The sessions that have not begun, planned again; None if there is none.

    stops_planned: stops that the plan before the day still has ahead; a plan that keeps twice the allowed risk is
    kept rather than adding a stop to it.
    """
    ahead = day.ahead
    if not ahead:
        return None
    opening = day.position == 0 and day.on is None and 0 not in past.filled_before
    if opening:
        plan = planned(*_opening(event, car, ahead, past, now))
        if isinstance(plan, DayPlan):
            mark = plan.refills.best.marks[0] if plan.problem.may_fill[0] else None
            return Ahead(plan, ahead, True, mark, event.reserve.confidence, False)
    parts = _parts(event, car, day, past, ahead, now=now, opening=opening)
    refills, kept, forced = _refills(parts.problem, stops_planned)
    first = parts.problem.limit if opening else _fill_first(parts.problem)
    return Ahead(_plan(event, car, past, parts, refills), ahead, opening, first, kept, forced)


def plan_before(event: Event, car: Car, prior: CarFactor) -> DayPlan:
    """The plan made before the day; where none keeps the chance asked for, every allowed stop fills to the limit."""
    plan = planned(event, car)
    return plan if isinstance(plan, DayPlan) else _limit_plan(event, car, prior)


@lru_cache(maxsize=8)
def _limit_plan(event: Event, car: Car, prior: CarFactor) -> DayPlan:
    day = timeline(event, [], moved(event.sessions[0].start, -timedelta(days=1)))
    past = Past(Watch(start_belief(prior, event.stock.in_tank, 0.0), readings=1))
    parts = _parts(
        event, car, day, past, day.ahead, now=moved(event.sessions[0].start, -timedelta(days=1)), opening=True
    )
    return _plan(event, car, past, parts, _limit_refills(parts.problem))


def planned(event: Event, car: Car, situation: Situation | None = None) -> DayPlan | NoPlan:
    """The plan of a day, or why there is none; kept until the car, the event or a recording changes."""
    stamps = tuple(path.stat().st_mtime_ns for course in event.courses for path in course.logs)
    return _planned(event, car, situation, stamps)


@lru_cache(maxsize=32)
def _planned(event: Event, car: Car, situation: Situation | None, stamps: tuple[int, ...]) -> DayPlan | NoPlan:
    try:
        return plan_day(event, car, situation)
    except NoPlan as reason:
        return reason


def _opening(
    event: Event, car: Car, ahead: Sequence[Outing], past: Past, now: datetime
) -> tuple[Event, Car, Situation]:
    """The whole day, planned from the level now; the time left counts only where it is short."""
    sessions = tuple(outing.session for outing in ahead)
    enough = event.refill.setup + car.tank.limit / event.refill.pour_rate
    ready = now if seconds(now, sessions[0].start) < enough else None
    factor = factor_summary(past.watch.belief) if past.watch.judged else None
    level = max(level_mean(past.watch.belief), 0.0)
    return replace(event, sessions=sessions), car, Situation(0, level, factor, ready)


@dataclass(frozen=True, slots=True, eq=False)
class _Parts:
    """The rows of the plan ahead, and the problem they make."""

    sessions: tuple[Session, ...]
    uses: tuple[CourseUse, ...]
    floors: tuple[Floor, ...]
    gaps: tuple[Gap, ...]
    problem: Problem


def _parts(
    event: Event,
    car: Car,
    day: Timeline,
    past: Past,
    ahead: Sequence[Outing],
    *,
    now: datetime,
    opening: bool,
) -> _Parts:
    """The sessions ahead behind one row for what is on now, so that a fill before the next one is a stop."""
    sessions = tuple(outing.session for outing in ahead)
    uses = [use_of_course(car, event.course(session.course)) for session in sessions]
    final = event.reserve.final * flow_curve(car).largest * factor_mean(past.watch.belief)
    floors = [floor_of_course(car, event.course(session.course), final) for session in sessions]
    ready = day.on.session.end if day.on else now
    gaps = gaps_of(sessions, event.refill, ready)
    if opening:
        problem = _problem(event, car, past, Rows(sessions, uses, floors, gaps), first=True)
        return _Parts(sessions, tuple(uses), tuple(floors), gaps, problem)
    left, use, floor = _row_on(event, car, day, now, final)
    rows = Rows((left, *sessions), (use, *uses), (floor, *floors), (_closed(gaps[0]), *gaps))
    problem = _problem(event, car, past, rows, first=day.position == 0)
    return _Parts(tuple(rows.sessions), tuple(rows.uses), tuple(rows.floors), tuple(rows.gaps), problem)


def _row_on(event: Event, car: Car, day: Timeline, now: datetime, final: float) -> tuple[Session, CourseUse, Floor]:
    """The row for what is on now: all of the session that is on, or nothing."""
    if day.on is None:
        rest = replace(day.ahead[0].session, runs=0.0, start=now, length=0.0)
        return rest, NOTHING, Floor(0.0, 0.0, 0.0, 0.0)
    session = day.on.session
    course = event.course(session.course)
    return session, use_of_course(car, course), floor_of_course(car, course, final)


def _closed(gap: Gap) -> Gap:
    """The time before what is on now, in which nobody can refill."""
    return replace(gap, before_session=0, seconds=0.0, refill_possible=False, can_pour=0.0, reason="it has begun")


def _problem(event: Event, car: Car, past: Past, rows: Rows, *, first: bool) -> Problem:
    """The refill problem of rows, drawn from the belief; first: whether the priming is still to come."""
    belief = past.watch.belief
    normal = normal_draws(len(rows.sessions) + 2, DRAWS, SEED)
    factor, level = draw(belief, ndtr(normal[[0, -2, -1]]).T)
    run_sd = np.array([log_sd(use.variation) for use in rows.uses])[:, None]
    drain = rows.expected[:, None] * factor * np.exp(run_sd * normal[1:-2] - run_sd**2 / 2)
    start = max(level_mean(belief), 0.0)
    if not rows.gaps[0].refill_possible:
        drain[0] += start - level  # what is not known of the level now is carried by the first row
    now = Situation(0 if first else 1, start)
    return refill_problem(event, car, rows, now, drain=drain, mean=factor_mean(belief))


def _refills(problem: Problem, stops_planned: int) -> tuple[RefillPlan, float, bool]:
    """The refills, the chance they keep, and whether no plan keeps what is asked."""
    strict = plan_refills(problem)
    if strict is not None and len(strict.best.stops) <= stops_planned:
        return strict, problem.confidence, False
    relaxed = replace(problem, confidence=max(1 - 2 * (1 - problem.confidence), 0.5))
    kept = plan_refills(relaxed)
    if kept is not None and (strict is None or len(kept.best.stops) < len(strict.best.stops)):
        return kept, relaxed.confidence, False
    if strict is not None:
        return strict, problem.confidence, False
    return _limit_refills(problem), best_chance(problem), True


def _limit_refills(problem: Problem) -> RefillPlan:
    """Every allowed stop, filled to the limit: the level is as high as it can be in every draw."""
    stops = all_stops(problem)
    choice = choice_of(problem, stops, tuple(problem.limit for _ in problem.starts(stops)))
    return RefillPlan(choice, (choice,), True, Levels(problem, choice.stops, choice.marks))


def _fill_first(problem: Problem) -> float | None:
    """The mark [m3] that a fill before the next session would have, whether the plan needs one there or not."""
    if problem.sessions < 2 or not problem.may_fill[1]:
        return None
    rest = replace(
        problem,
        drain=problem.drain[1:],
        expected=problem.expected[1:],
        unit=problem.unit[1:],
        floor=problem.floor[1:],
        may_fill=problem.may_fill[1:],
        can_pour=problem.can_pour[1:],
        minutes=problem.minutes[1:],
        prime=0.0,
    )
    plan = plan_refills(rest)
    return plan.best.marks[0] if plan else problem.limit


def _plan(event: Event, car: Car, past: Past, parts: _Parts, refills: RefillPlan) -> DayPlan:
    needed = np.maximum(needed_ahead(event, parts.problem, refills), 0.0)
    amount = float(np.quantile(needed, event.reserve.confidence, method="higher"))
    factor = factor_summary(past.watch.belief)
    return DayPlan(
        event,
        car,
        factor,
        0,
        parts.sessions,
        parts.uses,
        parts.floors,
        parts.gaps,
        parts.problem,
        refills,
        bring(amount, car.blend, event.stock),
        needed,
        flow_curve(car).largest * factor.mean,
    )


def needed_ahead(event: Event, problem: Problem, refills: RefillPlan) -> Array:
    """Blend [m3] that each draw (N,) takes from the jugs from now on, what is spilled at each fill included."""
    needed = np.zeros(problem.draws)
    for first in problem.starts(refills.best.stops):
        if problem.may_fill[first]:
            poured = np.clip(refills.levels.added(problem, first), 0.0, problem.limit)
            needed += poured + event.refill.spill * (poured > 1e-9)
    return needed
