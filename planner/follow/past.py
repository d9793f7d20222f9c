"""The day so far: the log's entries and the sessions between them, taken in one after the other under watch."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime

from planner.car import Car
from planner.day import DayPlan, use_of_course
from planner.entry import Entry
from planner.event import Event
from planner.planning.floor import level_ground_floor
from planner.planning.timeline import Outing, Timeline, seconds
from planner.planning.watch import Watch, filled, poured, read, used
from planner.use.learning import (
    DIP_ERROR,
    POUR_ERROR,
    Belief,
    Predicted,
    level_mean,
    level_sd,
    reading_sd,
    start_belief,
)
from planner.use.spread import CarFactor

LITRE = 1e-3
ASSUMED_FILL_ERROR = 0.03
"""Standard deviation of a fill that nobody logged, as a share of the tank; a design choice."""


@dataclass(frozen=True, slots=True)
class Happened:
    """A session that is over: level [m3] with standard deviation before and after it as followed at the time.

    read: the first level read after it and before the next [m3], with its place among what was expected, or None.
    start_known: whether the level before it was read or filled to, with no session since.
    """

    outing: Outing
    start: tuple[float, float]
    end: tuple[float, float]
    mean_use: float
    read: Predicted | None = None
    start_known: bool = True


@dataclass(slots=True, eq=False)
class Past:
    """The day so far: watch; what each session did; blend poured and spilled [m3]; last level read; notices.

    drawn: what was taken from the jugs [m3] since `stock_left` was last counted, or since the day began.
    """

    watch: Watch
    happened: list[Happened] = field(default_factory=list)
    drawn: float = 0.0
    stock_left: float | None = None
    read: tuple[float, datetime] | None = None
    filled_before: set[int] = field(default_factory=set)
    notices: list[str] = field(default_factory=list)


def past_of(event: Event, car: Car, day: Timeline, prior: CarFactor, plan: DayPlan) -> Past:
    """The day so far from its timeline; plan: the plan before the day, whose fills are assumed where none is logged."""
    in_tank = event.stock.in_tank
    sd = reading_sd(car.tank.shape, _level(car, in_tank)) if in_tank > 0 else 0.0
    empty = level_ground_floor(car)
    past = Past(Watch(start_belief(prior, in_tank, sd), readings=len(event.sessions), empty=empty))
    follower = _Follower(event, car, day, plan, past)
    for place, group in enumerate(day.entries):
        follower.gap(place, group)
        if place < len(day.outings) and day.outings[place].status == "done":
            follower.session(day.outings[place])
    return past


def level_now(event: Event, car: Car, day: Timeline, past: Past, now: datetime) -> Belief:
    """Belief about the level at this moment, the session that is on used up as far as its time has passed."""
    outing = day.on
    if outing is None:
        return past.watch.belief
    use = use_of_course(car, event.course(outing.session.course))
    watch = past.watch
    if outing.number == 1:
        watch = poured(watch, -event.reserve.prime, 0.0)
    runs = outing.session.runs * share_passed(outing, now)
    return used(watch, use.drawn * runs, use.variation).belief


def share_passed(outing: Outing, now: datetime) -> float:
    """Share [1] of a session's time that has passed."""
    return min(max(seconds(outing.session.start, now) / outing.session.length, 0.0), 1.0)


class _Follower:
    """Takes gaps and sessions into a Past."""

    def __init__(self, event: Event, car: Car, day: Timeline, plan: DayPlan, past: Past) -> None:
        self.event, self.car, self.day, self.plan, self.past = event, car, day, plan, past
        logged = [entry.kind for group in day.entries for entry in group]
        self.silent = not {"level", "fill"} & set(logged)
        self.take: dict[str, Callable[[Entry, int], None]] = {
            "level": self._level_read,
            "fill": self._fill,
            "stock": self._stock,
        }

    def gap(self, place: int, group: tuple[Entry, ...]) -> None:
        """The entries before a session (place from 0), and the fill that was planned there if none is logged."""
        over = place < len(self.day.outings) and self.day.outings[place].status in ("done", "running")
        said = {entry.kind for entry in group}
        if over and not said & {"level", "fill"} and (self.silent or place == 0):
            self._assume_fill(place)
        for entry in group:
            self.take[entry.kind](entry, place)

    def session(self, outing: Outing) -> None:
        """A session that is over."""
        if outing.number == 1:
            self.past.watch = poured(self.past.watch, -self.event.reserve.prime, 0.0)
        use = use_of_course(self.car, self.event.course(outing.session.course))
        mean = use.drawn * outing.session.runs
        start, known = self._known(), self.past.watch.belief.used == 0
        self.past.watch = used(self.past.watch, mean, use.variation)
        self.past.happened.append(Happened(outing, start, self._known(), mean, start_known=known))

    def _known(self) -> tuple[float, float]:
        return level_mean(self.past.watch.belief), level_sd(self.past.watch.belief)

    def _assume_fill(self, place: int) -> None:
        """The plan's fill before a session (place from 0) that nobody logged: taken as made, give or take."""
        if place not in (0, *self.plan.refills.best.stops):
            return
        best = self.plan.refills.best
        mark = best.marks[(0, *best.stops).index(place)]
        self._to_mark(mark, ASSUMED_FILL_ERROR * self.car.tank.capacity, place)
        name = self.day.outings[place].session.name
        self.past.notices.append(
            f"The fill before {name} is not in the log; it is taken as made to {mark * 1e3:.2f} L. Log it to be sure."
        )

    def _level_read(self, entry: Entry, place: int) -> None:
        reading, error = float(entry.value["level_L"]) * LITRE, float(entry.value.get("error_mm", DIP_ERROR * 1e3))
        sd = reading_sd(self.car.tank.shape, _level(self.car, reading), max(error, 0.1) * 1e-3)
        self.past.watch = read(self.past.watch, min(reading, self.car.tank.capacity), sd)
        self.past.read = (reading, entry.at)
        last = self.past.happened[-1] if self.past.happened else None
        if last is not None and last.read is None and last.outing.number == place:
            self.past.happened[-1] = replace(last, read=self.past.watch.judged[-1])

    def _fill(self, entry: Entry, place: int) -> None:
        if not entry.value["to_mark"]:
            volume = float(entry.value["add_L"]) * LITRE
            self.past.watch = poured(self.past.watch, volume, POUR_ERROR * volume)
            self._took(volume, place)
            return
        mark = float(entry.value["mark_L"]) * LITRE
        if "add_L" in entry.value:  # the mark less what was poured is a reading of the level before
            before = mark - float(entry.value["add_L"]) * LITRE
            self.past.watch = read(self.past.watch, max(before, 0.0), self._mark_sd(mark))
        self._to_mark(mark, self._mark_sd(mark), place)

    def _mark_sd(self, mark: float) -> float:
        return reading_sd(self.car.tank.shape, _level(self.car, mark))

    def _to_mark(self, mark: float, sd: float, place: int) -> None:
        self._took(max(mark - max(level_mean(self.past.watch.belief), 0.0), 0.0), place)
        self.past.watch = filled(self.past.watch, mark, sd)

    def _took(self, volume: float, place: int) -> None:
        self.past.drawn += volume + self.event.refill.spill
        self.past.filled_before.add(place)

    def _stock(self, entry: Entry, place: int) -> None:
        self.past.stock_left, self.past.drawn = float(entry.value["left_L"]) * LITRE, 0.0


def _level(car: Car, volume: float) -> float:
    """Level [m] of a volume [m3], a reading beyond the tank taken as full."""
    return float(car.tank.shape.level_from_volume(min(max(volume, 0.0), car.tank.capacity)))
