"""The one thing to do next, the alarms that stand, and what the last entry changed, in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

import numpy as np

from planner.car import Car
from planner.day import DayPlan
from planner.event import Event
from planner.follow.ahead import Ahead
from planner.follow.past import Past
from planner.planning.alarms import SHORT_STEPS, Alarm, level_alarms, stock_alarm
from planner.planning.timeline import Outing, Timeline, moved, seconds

Array = np.ndarray
Kind = Literal["fill", "refill", "go", "over"]
ENOUGH = 1e-4
"""Volume [m3]: a fill that cannot turn out larger is none; one likely to be smaller is for a lower reading only."""


@dataclass(frozen=True, slots=True)
class Action:
    """What to do next: a fill before the day, a refill, nothing but the next session, or nothing at all.

    session: number of the session it comes before; mark [m3], its level [m], add [m3] as likely and at most, and
    seconds needed for a fill; by: when to begin, or when the session starts.
    """

    kind: Kind
    text: str
    session: int | None = None
    name: str = ""
    mark: float | None = None
    mark_level: float | None = None
    add: float | None = None
    most: float | None = None
    needed: float | None = None
    by: datetime | None = None
    start: datetime | None = None


def clock(moment: datetime) -> str:
    """A time of day as it is spoken, such as 09:05."""
    return moment.strftime("%H:%M")


def action_of(event: Event, car: Car, day: Timeline, ahead: Ahead | None, now: datetime) -> Action:
    """The next action at `now`."""
    if ahead is None:
        last = f"{day.on.session.name} is the last session." if day.on else "The day is over."
        return Action("over", f"{last} Read the level and log it, so that the next day is known better.")
    outing = ahead.outings[0]
    filled = _fill(event, car, ahead, now)
    if filled is None or (filled.most or 0.0) < ENOUGH:
        return _go(ahead, outing)
    return filled


def _fill(event: Event, car: Car, ahead: Ahead, now: datetime) -> Action | None:
    """The fill before the next session, if the plan has one there."""
    row, best = ahead.before, ahead.plan.refills.best
    starts = ahead.plan.problem.starts(best.stops)
    if row not in starts or not ahead.plan.problem.may_fill[row]:
        return None
    outing, mark = ahead.outings[0], best.marks[starts.index(row)]
    add = np.clip(ahead.plan.refills.levels.added(ahead.plan.problem, row), 0.0, mark)
    likely, most = np.quantile(add, (0.5, 0.99)).tolist()
    needed = event.refill.setup + most / event.refill.pour_rate
    by = moved(outing.session.start, -timedelta(seconds=np.ceil(needed / 60) * 60))
    level = float(car.tank.shape.level_from_volume(mark))
    when = f"start by {clock(by)}" if seconds(now, by) > 0 else "start now"
    pour = f"about {likely * 1e3:.1f} L" if likely >= ENOUGH else f"only if it reads less, {most * 1e3:.1f} L at most"
    text = (
        f"{'Fill' if ahead.opening else 'Refill'} to {mark * 1e3:.2f} L ({level * 1e3:.0f} mm) before "
        f"{outing.session.name}: {pour}, {np.ceil(needed / 60):.0f} min, {when}."
    )
    kind: Kind = "fill" if ahead.opening else "refill"
    return Action(
        kind, text, outing.number, outing.session.name, mark, level, likely, most, needed, by, outing.session.start
    )


def _go(ahead: Ahead, outing: Outing) -> Action:
    session, later = outing.session, _next_stop(ahead)
    text = f"Nothing to fill before {session.name} at {clock(session.start)}."
    if later is not None:
        stop, mark = later
        text += f" Next refill: before {stop.session.name}, to {mark * 1e3:.2f} L."
    return Action("go", text, outing.number, session.name, by=session.start, start=session.start)


def _next_stop(ahead: Ahead) -> tuple[Outing, float] | None:
    best = ahead.plan.refills.best
    if not best.stops:
        return None
    return ahead.outings[best.stops[0] - ahead.before], best.marks[1]


def alarms_of(event: Event, day: Timeline, past: Past, ahead: Ahead | None, left: float) -> list[Alarm]:
    """The alarms that stand, gravest first; left: blend in the jugs [m3]."""
    found = [past.watch.alarm] if past.watch.alarm else []
    if ahead is not None:
        found += _on_the_way(day, ahead)
        stock = stock_alarm(least_needed(ahead.plan), left)
        found += [stock] if stock else []
        found += [_no_plan(event, ahead)] if 1 - ahead.confidence >= SHORT_STEPS[0] else []
    order = ("danger", "warning", "caution", "notice")
    return sorted(found, key=lambda alarm: order.index(alarm.level))


def least_needed(plan: DayPlan) -> Array:
    """Blend [m3] that each draw (N,) must still pour to end every session above its floor, spill included."""
    problem = plan.problem
    ends = np.cumsum(problem.drain, axis=0) + problem.floor[:, None] + problem.prime
    short = np.maximum(ends.max(axis=0) - problem.in_tank, 0.0)
    return short + plan.event.refill.spill * len(plan.refills.best.stops) * (short > 0)


def _on_the_way(day: Timeline, ahead: Ahead) -> list[Alarm]:
    """Level alarms up to the next stop, and up to the stop after it where the next one is now."""
    plan, stops = ahead.plan, [*ahead.plan.refills.best.stops, ahead.plan.problem.sessions]
    first = 0 if ahead.opening or day.on else 1
    last = next(stop for stop in stops if stop > first)
    rows = slice(first, last)
    names = [session.name for session in plan.sessions[rows]]
    return level_alarms(plan.refills.levels.end[rows], plan.problem.floor[rows], plan.problem.unit[rows], names)


def _no_plan(event: Event, ahead: Ahead) -> Alarm:
    chance = 1 - ahead.confidence
    text = (
        f"No plan keeps a chance of {event.reserve.confidence:.0%} for the sessions ahead; filled to the limit at "
        f"every stop the day holds with {ahead.confidence:.1%}. Leave out runs, or find one more stop."
    )
    return Alarm("danger" if chance >= SHORT_STEPS[1] else "warning", "no-plan", chance, text)
