"""False alarms and found nozzles on simulated days: `python -m tests.benchmarks.healthy_days [--days 500]`.

A true car of the demo events drives each day as the board says: it fills to the marks told, its factor and each
session's are drawn from the car's own spreads, every level is read with the default dip error. On part of the days some
gaps are closed to refills, as far as a plan still exists. It prints the share of days with a false alarm, by code: an
alarm on the use of a sound car, or one of a shortage that did not come.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import numpy as np

import events_demo
from planner.car import Car
from planner.day import car_factor, floor_of_course, plan_day, use_of_course
from planner.errors import NoPlan
from planner.event import Event
from planner.files.event_file import read_day
from planner.follow import DayState, detectability_of, state_of
from planner.follow.ahead import plan_before
from planner.follow.past import past_of
from planner.planning.alarms import LITTLE_A_DAY, MUCH_A_DAY, alarm_chance, least_chances
from planner.planning.timeline import timeline
from tests.pit_days import LITRE, TrueDay

EVENTS = ("teapot-ring-open-day", "goose-bank-sprint", "snail-society-autocross")
CLOSED = 0.3  # share of the gaps closed on a day with closed gaps
VERBOSE = False  # print each day with an alarm, a shortage or a doubtful plan
VARIANTS = 8  # of closed gaps for each event


@dataclass
class Count:
    """Days simulated, on how many each claim came true, and on how many each alarm came falsely."""

    days: int = 0
    true: Counter[str] = field(default_factory=Counter)
    alarmed: int = 0
    codes: Counter[str] = field(default_factory=Counter)

    def add(self, codes: set[str], true: set[str]) -> None:
        """One day more: the alarms it had, and those that would have been right."""
        self.days += 1
        self.true.update(true)
        self.alarmed += bool(codes - true)
        self.codes.update(codes - true)

    def __str__(self) -> str:
        share = self.alarmed / max(self.days, 1)
        error = (share * (1 - share) / max(self.days, 1)) ** 0.5
        return (
            f"false on {self.alarmed} of {self.days} days, {share:.2%} (give or take {error:.2%}), {dict(self.codes)}; "
            f"came true: {dict(self.true)}"
        )


class FollowedDay(TrueDay):
    """A true day followed without the words for what changed, which takes half the time.

    true: codes of the alarms that the day has made right; surest: the least chance that a plan ahead kept.
    """

    def __init__(self, event: Event, car: Car, rng: np.random.Generator) -> None:
        super().__init__(event, car, rng)
        self.true: set[str] = set()
        self.surest = 1.0
        self.poured = 0.0

    def board(self, moment: datetime) -> DayState:
        """What the board shows."""
        state = state_of(self.event, self.car, self.log.entries, moment)
        self.surest = min(self.surest, state.ahead.confidence if state.ahead else 1.0)
        return state

    def gap(self, moment: datetime) -> DayState:
        """Fill if the board says so; note what was poured."""
        before = self.level
        state = super().gap(moment)
        self.poured += self.level - before
        if self.poured > state.before.brought.parts.blend:
            self.true.add("stock")
        return state

    def session(self, k: int, share: float = 1.0) -> DayState:
        """Drive and read; note whether the level fell below the session's floor, or within a run of it."""
        state = super().session(k, share)
        course = self.event.course(self.event.sessions[k].course)
        floor = floor_of_course(self.car, course, self.event.reserve.final * state.before.largest_flow).total
        if self.level < floor:
            self.true |= {"reserve", "no-plan"}
        if self.level < floor + use_of_course(self.car, course).drawn * self.factor:
            self.true.add("reserve-and-run")
        return state


def demo_day(name: str) -> tuple[Event, Car]:
    """A demo event with its car."""
    return read_day(events_demo.FOLDER / "events" / f"{name}.toml")


def with_closed_gaps(event: Event, car: Car, rng: np.random.Generator) -> Event:
    """The event with some of its gaps closed to refills, so that a plan still exists."""
    while True:
        closed = rng.random(len(event.sessions)) < CLOSED
        closed[0] = False
        sessions = tuple(
            replace(session, refill=False) if shut else session
            for session, shut in zip(event.sessions, closed, strict=True)
        )
        changed = replace(event, sessions=sessions)
        try:
            plan_day(changed, car)
        except NoPlan:
            continue
        return changed


def boards(day: FollowedDay) -> Iterator[set[str]]:
    """The codes of the alarms at each look at the board of one healthy day."""
    for k, session in enumerate(day.event.sessions):
        early = session.start - timedelta(minutes=30)
        before = day.event.sessions[k - 1].end + timedelta(minutes=3) if k else early
        for state in (day.gap(max(early, before)), day.session(k)):
            yield {alarm.code for alarm in state.alarms}


def healthy(event: Event, car: Car, days: int, rng: np.random.Generator, count: Count) -> None:
    """Simulate healthy days of one event."""
    for _ in range(days):
        day = FollowedDay(event, car, rng)
        codes = set().union(*boards(day))
        count.add(codes, day.true)
        if VERBOSE and (codes or day.surest < 0.95):
            print("   ", sorted(codes), f"true {sorted(day.true)}, surest {day.surest:.3f}", flush=True)


def watched(event: Event, car: Car, rng: np.random.Generator) -> list[float]:
    """Scores of the readings of one healthy day filled at the plan's stops, without looking at the board."""
    day, prior, plan = FollowedDay(event, car, rng), car_factor(car), plan_before(event, car, car_factor(car))
    best = plan.refills.best
    marks = dict(zip((0, *best.stops), best.marks, strict=True))
    for k, session in enumerate(event.sessions):
        if k in marks:
            day.log.mark(session.start - timedelta(minutes=3), marks[k] / LITRE)
            day.level = max(day.misread(marks[k]), day.level)
        day.drive(k)
    course = timeline(event, day.log.entries, event.sessions[-1].end + timedelta(hours=1))
    return [told.score for told in past_of(event, car, course, prior, plan).watch.judged]


def alarmed(scores: list[float], readings: int) -> bool:
    """Whether the use alarms come on a day of such scores; those before the first alarm depend on no alarm."""
    limits = alarm_chance(LITTLE_A_DAY, readings), alarm_chance(MUCH_A_DAY, readings)
    chances = [least_chances(scores[: k + 1]) for k in range(len(scores))]
    return any(little <= limits[0] or much <= limits[1] for little, much in chances)


def found(event: Event, car: Car, days: int, rng: np.random.Generator, share: float = 0.7) -> tuple[int, float]:
    """On how many days flow that falls to a share before the middle session is found within two readings."""
    middle = max(len(event.sessions) // 2 - 1, 0)
    hits, told = 0, 0.0
    for _ in range(days):
        day, codes = FollowedDay(event, car, rng), set()
        for k, session in enumerate(event.sessions[: middle + 2]):
            early = session.start - timedelta(minutes=30)
            before = event.sessions[k - 1].end + timedelta(minutes=3) if k else early
            state = day.gap(max(early, before))
            told += detectability_of(state).chance / days if k == middle else 0.0
            state = day.session(k, share if k >= middle else 1.0)
            codes |= {alarm.code for alarm in state.alarms} if k >= middle else set()
        hits += "used-too-little" in codes
    return hits, told


def main() -> None:
    """Simulate and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=500, help="healthy days of each event, half with closed gaps")
    parser.add_argument("--nozzles", type=int, default=60, help="days of each event with a nozzle at 70 %%")
    parser.add_argument("--events", nargs="*", default=list(EVENTS))
    parser.add_argument("--watched", type=int, default=1000, help="days of each event for the alarms on use alone")
    args = parser.parse_args()
    for name in args.events:
        rng, (event, car) = np.random.default_rng(26), demo_day(name)
        count = sum(alarmed(watched(event, car, rng), len(event.sessions)) for _ in range(args.watched))
        print(f"{name}, use alone: an alarm on {count} of {args.watched} days", flush=True)
        plain, closed = Count(), Count()
        healthy(event, car, args.days // 2, rng, plain)
        print(f"{name}, gaps as they are: {plain}", flush=True)
        for _ in range(VARIANTS):
            healthy(with_closed_gaps(event, car, rng), car, args.days // 2 // VARIANTS, rng, closed)
        print(f"{name}, some gaps closed: {closed}", flush=True)
        hits, told = found(event, car, args.nozzles, rng)
        print(f"{name}, nozzle at 70 %: found on {hits} of {args.nozzles} days; the board tells {told:.0%}", flush=True)


if __name__ == "__main__":
    main()
