"""The day: frozen records in SI with aware datetimes. They read no files; courses name theirs."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Literal
from zoneinfo import ZoneInfo

Per = Literal["run", "lap", "minute"]
Priority = Literal["fewest stops", "lightest car", "calmest tank"]
PRIORITIES: tuple[Priority, ...] = ("fewest stops", "lightest car", "calmest tank")


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of driving: time [s], boost [Pa gauge], accelerations [m/s2] or None where the file names none."""

    time: float
    boost: float
    lateral: float | None = None
    longitudinal: float | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """How to read a course's recordings where guessing is not enough.

    columns maps a meaning (time, boost, lateral, longitudinal, ...) to a column's name; units maps a meaning to
    a unit; absolute True or False settles the pressure's kind; ambient [Pa] the outside air; rate [Hz] the rows'.
    split says how one recording becomes runs or laps: by the value of a column, at stops longer than a time [s],
    or by windows (start, end) [s].
    """

    columns: tuple[tuple[str, str], ...] = ()
    units: tuple[tuple[str, str], ...] = ()
    absolute: bool | None = None
    ambient: float | None = None
    rate: float | None = None
    split_column: str | None = None
    split_stops: float | None = None
    split_windows: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Course:
    """What a car does per run, lap or minute; one of logs, pieces or time_at_boost (boost [Pa], time [s]).

    boost_factor [1] multiplies every boost above outside air, to try another tune; no file holds it.
    """

    name: str
    per: Per
    logs: tuple[Path, ...] = ()
    pieces: tuple[Piece, ...] = ()
    time_at_boost: tuple[tuple[float, float], ...] = ()
    spool: float = 0.0
    reading: Reading = field(default_factory=Reading)
    boost_factor: float = 1.0


@dataclass(frozen=True, slots=True)
class Session:
    """One outing: aware start, length [s], course's name, and how many runs, laps or minutes of it."""

    name: str
    start: datetime
    length: float
    course: str
    runs: float
    driver: str | None = None
    gap: str | None = None
    refill: bool | None = None

    @property
    def end(self) -> datetime:
        """Aware end; elapsed time is counted on UTC, so a clock change within the session is respected."""
        utc = self.start.astimezone(ZoneInfo("UTC")) + timedelta(seconds=self.length)
        return utc.astimezone(self.start.tzinfo)


@dataclass(frozen=True, slots=True)
class Reserve:
    """confidence [1], final [s] at the car's largest flow, extra runs or laps a leg, prime [m3]."""

    confidence: float = 0.99
    final: float = 45.0
    extra: float = 1.0
    prime: float = 0.0


@dataclass(frozen=True, slots=True)
class Refill:
    """setup [s], pour_rate [m3/s], spill [m3] a fill, priority, and the gaps' names where refilling is possible."""

    setup: float = 360.0
    pour_rate: float = 2e-3 / 60
    spill: float = 0.0
    priority: Priority = "fewest stops"
    stop_at: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class Stock:
    """in_tank [m3], container sizes [m3], prices [currency/m3] or None."""

    in_tank: float = 0.0
    containers: tuple[float, ...] = ()
    alcohol_price: float | None = None
    water_price: float | None = None


@dataclass(frozen=True, slots=True)
class Event:
    """A day of sessions for one car; `path` is the file it came from, if any, `car_path` its car's."""

    name: str
    date: date
    timezone: str
    car_path: Path
    sessions: tuple[Session, ...]
    courses: tuple[Course, ...]
    reserve: Reserve = field(default_factory=Reserve)
    refill: Refill = field(default_factory=Refill)
    stock: Stock = field(default_factory=Stock)
    path: Path | None = None
    assumed: frozenset[str] = frozenset()

    def course(self, name: str) -> Course:
        """The course of that name. Raises KeyError."""
        return next(course for course in self.courses if course.name == name)
