"""A day in the paddock for tests: an invented event, a log that grows, and a true car that drives it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from planner.car import Car, Pickup
from planner.day import car_factor, use_of_course
from planner.entry import Entry
from planner.event import Course, Event, Refill, Reserve, Session, Stock
from planner.follow import DayState, follow_day
from planner.use.learning import DIP_ERROR
from planner.use.spread import log_sd
from tests.cars import CAR

ZONE = ZoneInfo("Europe/London")
LITRE = 1e-3


def at(hour: int, minute: int = 0, day: int = 16) -> datetime:
    """A time of the event's day."""
    return datetime(2026, 5, day, hour, minute, tzinfo=ZONE)


def event_of(starts: list[datetime], *, runs: float = 3, minutes: float = 20, **keys: Any) -> Event:
    """An invented event of sessions on one hill: 24 s at 97 kPa of boost a run."""
    sessions = tuple(Session(f"Heat {k}", start, minutes * 60, "hill", runs) for k, start in enumerate(starts, 1))
    course = Course("hill", "run", time_at_boost=((97e3, 24.0),))
    return Event("Moth Meadow", date(2026, 5, 16), "Europe/London", Path("car.toml"), sessions, (course,), **keys)


DAY = event_of([at(9, 30), at(10, 30), at(11, 30), at(14), at(15), at(16)], reserve=Reserve(final=15.0))
SMALL = replace(CAR, tank=replace(CAR.tank, shape=replace(CAR.tank.shape, length=0.16), pickup=Pickup(0.0, 0.0, 0.008)))


class Log:
    """Entries in the order stored."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []

    def __call__(self, moment: datetime, kind: str, **value: Any) -> Log:
        number = len(self.entries) + 1
        self.entries.append(Entry(f"e{number}", moment, kind, value, number=number))
        return self

    def level(self, moment: datetime, litres: float, **value: Any) -> Log:
        """A reading."""
        return self(moment, "level", level_L=litres, level_mm=1.0, **value)

    def mark(self, moment: datetime, litres: float) -> Log:
        """A fill to a mark."""
        return self(moment, "fill", to_mark=True, mark_L=litres, mark_mm=1.0)


class TrueDay:
    """A true car on a day that follows the board: it fills when told, drives, and is read with an error."""

    def __init__(self, event: Event, car: Car, rng: np.random.Generator) -> None:
        self.event, self.car, self.rng, self.log = event, car, rng, Log()
        prior = car_factor(car)
        self.factor = float(np.exp(prior.log_mean + log_sd(prior.variation) * rng.standard_normal()))
        self.level = event.stock.in_tank

    def board(self, moment: datetime) -> DayState:
        """What the board shows."""
        return follow_day(self.event, self.car, self.log.entries, moment)

    def misread(self, volume: float) -> float:
        """A volume [m3] as a dipstick tells it: the level off by one dip error, within the tank."""
        shape = self.car.tank.shape
        level = float(shape.level_from_volume(volume)) + DIP_ERROR * float(self.rng.standard_normal())
        return float(shape.volume_from_level(min(max(level, 0.0), shape.height)))

    def gap(self, moment: datetime) -> DayState:
        """Fill if the board says so; the board after it."""
        state = self.board(moment)
        if state.action.mark is not None:
            self.log.mark(moment, state.action.mark / LITRE)
            self.level = max(self.misread(state.action.mark), self.level)
            state = self.board(moment)
        return state

    def session(self, k: int, share: float = 1.0) -> DayState:
        """Drive session k (from 0) and read the level; the board after it."""
        return self.board(self.drive(k, share))

    def drive(self, k: int, share: float = 1.0) -> datetime:
        """Drive session k (from 0) and log the level as read; the moment of the reading."""
        session = self.event.sessions[k]
        self.level -= self.event.reserve.prime if k == 0 else 0.0
        use = use_of_course(self.car, self.event.course(session.course))
        sd = log_sd(use.variation)
        own = float(np.exp(sd * self.rng.standard_normal() - sd**2 / 2))
        self.level = max(self.level - share * self.factor * own * use.drawn * session.runs, 0.0)
        after = session.end + timedelta(minutes=2)
        self.log.level(after, self.misread(self.level) / LITRE, after=k + 1)
        return after


WITH_STOPS = Refill(setup=300.0, pour_rate=2e-3 / 60)
PLENTY = Stock(containers=(0.010, 0.005))
