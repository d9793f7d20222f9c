"""The day as it goes: from the event, the car, the log's entries and a clock to what stands on the board."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import lru_cache
from zoneinfo import ZoneInfo

from planner.car import Car
from planner.day import DayPlan, car_factor, use_of_course
from planner.entry import Entry, with_undone
from planner.errors import BadInput, Fault
from planner.event import Event, Session
from planner.follow.action import Action, action_of, alarms_of
from planner.follow.ahead import Ahead, plan_ahead, plan_before
from planner.follow.past import Past, level_now, past_of
from planner.follow.words import change_of
from planner.planning.alarms import SHORT_STEPS, Alarm, Coming, Detectability, detectability
from planner.planning.timeline import ANOTHER_DAY, LONG_AFTER, Timeline, seconds, timeline
from planner.use.learning import DIP_ERROR, Belief, factor_mean, factor_sd, level_mean, level_sd, reading_sd
from planner.use.spread import CarFactor

OVERDUE = 20 * 60.0  # [s] for which a session that nobody logged as done is asked after


@dataclass(frozen=True, slots=True, eq=False)
class DayState:
    """Where the day stands at `now`.

    timeline, past, ahead: sessions, what was learnt, the plan for the rest (None when nothing is ahead); belief: about
    factor and level at this moment; before: the plan made before the day; prior: the car's factor before it;
    stock_left: blend in the jugs [m3]; change: what the last entry changed, in a sentence.
    """

    event: Event
    car: Car
    now: datetime
    entries: tuple[Entry, ...]
    timeline: Timeline
    past: Past
    belief: Belief
    before: DayPlan
    prior: CarFactor
    ahead: Ahead | None
    action: Action
    alarms: tuple[Alarm, ...]
    stock_left: float
    change: str
    notices: tuple[str, ...]

    @property
    def level(self) -> float:
        """Level expected now [m3]."""
        return max(level_mean(self.belief), 0.0)

    @property
    def level_sd(self) -> float:
        """Standard deviation of the level now [m3]."""
        return level_sd(self.belief)

    @property
    def factor(self) -> tuple[float, float]:
        """Mean and standard deviation of the car's factor [1]."""
        return factor_mean(self.belief), factor_sd(self.belief)


def follow_day(event: Event, car: Car, entries: Sequence[Entry], now: datetime, *, entering: bool = False) -> DayState:
    """The day at `now` (aware), from the log's entries in the order stored.

    entering: an entry is being made now, so no session is on. Raises BadInput for a `now` without a zone and for
    recordings that cannot be used.
    """
    if now.tzinfo is None:
        raise BadInput([Fault("", "now", now.isoformat(), 'a time needs an offset, such as "2026-05-16T12:05+01:00"')])
    state = state_of(event, car, entries, now, entering=entering)
    if not entries:
        return state
    earlier = state_of(event, car, entries[:-1], now, entering=entering)
    return replace(state, change=change_of(with_undone(entries)[-1], earlier, state))


def state_of(event: Event, car: Car, entries: Sequence[Entry], now: datetime, *, entering: bool = False) -> DayState:
    """As `follow_day`, but without saying what the last entry changed, which takes half the time."""
    now = now.astimezone(ZoneInfo(event.timezone))
    day = timeline(event, entries, now, entering=entering)
    prior = _prior(car)
    plan = plan_before(event, car, prior)
    past = past_of(event, car, day, prior, plan)
    ahead = plan_ahead(event, car, day, past, now=now, stops_planned=_stops_ahead(plan, day, past))
    belief = level_now(event, car, day, past, now)
    left = _stock_left(plan, past)
    return DayState(
        event,
        car,
        now,
        with_undone(entries),
        day,
        past,
        belief,
        plan,
        prior,
        ahead,
        action_of(event, car, day, ahead, now),
        tuple(alarms_of(event, day, past, ahead, left)),
        left,
        "",
        tuple(_notices(event, day, past, ahead, now)),
    )


@lru_cache(maxsize=32)
def _prior(car: Car) -> CarFactor:
    return car_factor(car)


def _stops_ahead(plan: DayPlan, day: Timeline, past: Past) -> int:
    """Stops of the plan before the day that are still to come."""
    place = day.position + day.running
    return sum(stop > place or (stop == place and stop not in past.filled_before) for stop in plan.refills.best.stops)


def _stock_left(plan: DayPlan, past: Past) -> float:
    """Blend [m3] left in the jugs: as last counted, else as the plan said to bring, less what was poured since."""
    counted = plan.brought.parts.blend if past.stock_left is None else past.stock_left
    return max(counted - past.drawn, 0.0)


def _notices(event: Event, day: Timeline, past: Past, ahead: Ahead | None, now: datetime) -> list[str]:
    found = list(past.notices)
    if ahead is not None and 1 - SHORT_STEPS[0] < ahead.confidence < event.reserve.confidence:
        advice = " Leave out runs, or find one more stop." if ahead.forced else ""
        found.append(
            f"The plan for the rest of the day holds with {ahead.confidence:.1%}, less than the "
            f"{event.reserve.confidence:.0%} asked for.{advice}"
        )
    last = day.outings[day.position - 1] if day.position else None
    if last and last.assumed and 0 <= seconds(last.session.end, now) < OVERDUE:
        found.append(
            f"{last.session.name} should be over since {last.session.end:%H:%M}; log it as done, or say how late it is."
        )
    following = day.next
    if following and following.late >= ANOTHER_DAY.total_seconds():
        found.append("The log's entries are from another date than the event's; the day is followed as they stand.")
    elif following and following.late >= 60:
        found.append(f"{following.session.name} starts {following.late / 60:.0f} min later than planned.")
    return found


def detectability_of(state: DayState, share: float = 0.7) -> Detectability:
    """Whether flow falling to a share [1] would be found within the next two readings, one after each session ahead."""
    mean, sd = state.factor
    uses = [use_of_course(state.car, state.event.course(s.course)) for s in _next_two(state)]
    takes = [use.drawn * session.runs * mean for use, session in zip(uses, _next_two(state), strict=True)]
    tank = state.car.tank
    dip = reading_sd(tank.shape, float(tank.shape.level_from_volume(tank.capacity / 2)), DIP_ERROR)
    fills = state.action.kind in ("fill", "refill")
    coming = Coming(
        use=sum(takes) / len(takes),
        run_spread=max(use.variation for use in uses),
        dip=dip,
        start=dip if fills else min(state.level_sd, dip),
        filled=state.ahead is not None and state.ahead.before + 1 in state.ahead.plan.refills.best.stops,
    )
    return detectability(CarFactor(mean, sd / mean), coming, readings=len(state.event.sessions), share=share)


def _next_two(state: DayState) -> list[Session]:
    """The next two sessions, or the last of the day where fewer are ahead."""
    ahead = [outing.session for outing in state.timeline.ahead]
    return ahead[:2] if len(ahead) > 1 else list(state.event.sessions[-2:])


def clock_for(event: Event, entries: Sequence[Entry], now: datetime) -> datetime:
    """The moment to show: `now`, or for a day long past the moment of its last entry, as the board stood then."""
    if not entries or seconds(event.sessions[-1].end, now) < LONG_AFTER.total_seconds():
        return now
    last = max((entry.at for entry in entries), key=lambda moment: moment.astimezone(UTC))
    return last if seconds(last, now) > LONG_AFTER.total_seconds() else now
