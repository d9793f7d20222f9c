"""After the day: what was forecast against what happened, what the day taught of the car, and whether bands hold."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from math import comb, hypot
from typing import Any

import numpy as np

from planner.entry import standing
from planner.event import Event
from planner.follow import DayState
from planner.follow.past import Happened
from planner.planning.timeline import Outing, seconds

BAND = 0.90  # the band that is judged
NORMAL_REACH = 1.645  # standard deviations to either side that hold it
DAY_TO_DAY = 0.03
"""What a kept factor is widened by [1], since voltage, filter and fluid change overnight; a design choice."""

FEWEST = 10  # readings from which a band is judged
LITRES = 1e3


@dataclass(frozen=True, slots=True)
class Result:
    """What a day says of the factor for later days: mean, coefficient of variation [1], and from how many readings."""

    mean: float
    variation: float
    readings: int

    @property
    def sd(self) -> float:
        """Standard deviation [1]."""
        return self.mean * self.variation


@dataclass(frozen=True, slots=True)
class Logged:
    """A logged day in figures: factor before and after it as mean and standard deviation [1], and its readings.

    inside of judged: how many levels read after a session lay within their band; alarm: whether one on the use stood
    at its end, so that the factor is a faulty car's.
    """

    name: str
    date: date
    before: tuple[float, float]
    factor: tuple[float, float]
    readings: int
    kept: bool
    inside: int
    judged: int
    alarm: bool = False


def result_of(state: DayState) -> Result | str:
    """What could be kept of the day, or why nothing can."""
    watch = state.past.watch
    if watch.sound is not None:
        return "an alarm on the use stands, and a day with a fault says nothing of the sound car"
    if not watch.learnt:
        return "no reading has taught anything yet; log levels before and after a session first"
    mean, sd = state.factor
    return Result(round(mean, 4), round(hypot(sd / mean, DAY_TO_DAY), 4), watch.learnt)


def end_of(event: Event, entered: Iterable[datetime], now: datetime) -> datetime:
    """The moment to look back from: the last session's end or the last entry, or `now` while that is to come."""
    last = event.sessions[-1].end
    for moment in entered:
        last = moment if seconds(last, moment) > 0 else last
    return last if seconds(last, now) > 0 else now


def logged(state: DayState) -> Logged:
    """A day in figures."""
    told = [done for done in state.past.happened if _is_judged(done)]
    kept = any(entry.kind == "kept" for entry in standing(state.entries))
    prior = state.prior
    return Logged(
        state.event.name,
        state.event.date,
        (prior.mean, prior.mean * prior.variation),
        state.factor,
        state.past.watch.learnt,
        kept,
        sum(_inside(done) for done in told),
        len(told),
        state.past.watch.sound is not None,
    )


def day_row(day: Logged) -> dict[str, Any]:
    """A logged day as plain data."""
    return {
        "name": day.name,
        "date": day.date.isoformat(),
        "mean": round(day.factor[0], 4),
        "sd": round(day.factor[1], 4),
        "readings": day.readings,
        "before_mean": round(day.before[0], 4),
        "before_sd": round(day.before[1], 4),
        "kept": day.kept,
        "alarm": day.alarm,
    }


def after_json(state: DayState, days: Iterable[Logged]) -> dict[str, Any]:
    """Forecast against what happened, session by session; whether bands hold over all logged days; what can be kept.

    A session has `planned_use_L` with its band from before the day, `use_L` as the levels say it, the level expected
    after it with its band as followed on the day, the level read, the chance of a level as low or lower, and whether it
    lay within the band. It is `assumed` where it is over by the clock alone.
    """
    happened = {done.outing.number: done for done in state.past.happened}
    rows = [_row(state, outing, happened.get(outing.number)) for outing in state.timeline.outings]
    own, result = logged(state), result_of(state)
    mean, sd = state.factor
    return {
        "event": state.event.name,
        "car": state.car.name,
        "now": state.now.isoformat(),
        "sessions": rows,
        "car_factor": {
            "before_mean": round(own.before[0], 4),
            "before_sd": round(own.before[1], 4),
            "mean": round(mean, 4),
            "sd": round(sd, 4),
            "readings": own.readings,
        },
        "calibration": calibration(days),
        "keep": None if isinstance(result, str) else keep_json(state, result),
        "keep_refusal": result if isinstance(result, str) else None,
        "text": _sentence(rows, own),
    }


def keep_json(state: DayState, result: Result) -> dict[str, Any]:
    """What would be kept, with the question to ask before."""
    prior = state.prior
    text = (
        f"Keep this day's result? {_count(result.readings, 'reading')}: {state.car.name} uses {result.mean:.2f} times "
        f"its plan, give or take {result.sd:.2f} from day to day; before the day it was {prior.mean:.2f}, give or take "
        f"{prior.mean * prior.variation:.2f}. Later days are then planned with it. Keep it only if nozzles, filter, "
        "pump and blend stay as they were."
    )
    return {"mean": result.mean, "sd": round(result.sd, 4), "readings": result.readings, "text": text}


def calibration(days: Iterable[Logged]) -> dict[str, Any]:
    """Whether the band held as often as it says, over logged days: counts, and what chance gives."""
    listed = [day for day in days if day.judged]
    inside, judged = sum(day.inside for day in listed), sum(day.judged for day in listed)
    least, most = chance_range(judged, BAND)
    return {
        "band": BAND,
        "days": len(listed),
        "readings": judged,
        "inside": inside,
        "share": round(inside / judged, 4) if judged else None,
        "least": least,
        "most": most,
        "holds": None if judged < FEWEST else least <= inside <= most,
        "text": _calibration_text(inside, judged, len(listed), (least, most)),
    }


def chance_range(count: int, share: float) -> tuple[int, int]:
    """The central 95 % of a binomial of `count` tries with a chance `share` [1]: least and most."""
    total, least, most = 0.0, None, count
    for k in range(count + 1):
        total += comb(count, k) * share**k * (1 - share) ** (count - k)
        if least is None and total > 0.025:
            least = k
        if total >= 0.975:
            most = k
            break
    return least or 0, most


def _calibration_text(inside: int, judged: int, days: int, chance: tuple[int, int]) -> str:
    if not judged:
        return "No level has been read after a session yet, so the forecast's bands cannot be judged."
    head = f"{inside} of {_count(judged, 'reading')} on {_count(days, 'day')} lay within their 90 % band"
    if judged < FEWEST:
        return f"{head}; too few to judge the bands by."
    if inside < chance[0]:
        return (
            f"{head}, where chance gives {chance[0]} at the least: the forecast is surer than it should be. Check how "
            "levels are read, and raise [spread] run in the car's file."
        )
    if inside > chance[1]:
        return f"{head}, where chance gives {chance[1]} at the most: the bands are wider than they need be."
    return f"{head}; chance gives {chance[0]} to {chance[1]}, so the bands hold."


def _row(state: DayState, outing: Outing, done: Happened | None) -> dict[str, Any]:
    drain = state.before.problem.drain[outing.number - 1]
    row: dict[str, Any] = {
        "number": outing.number,
        "name": outing.session.name,
        "status": outing.status,
        "assumed": outing.assumed,
        "runs_planned": outing.planned.runs,
        "runs": outing.session.runs if done else None,
        "planned_use_L": _litres(float(np.mean(drain))),
        "planned_use_low_L": _litres(float(np.quantile(drain, (1 - BAND) / 2))),
        "planned_use_high_L": _litres(float(np.quantile(drain, (1 + BAND) / 2))),
    }
    blank = ("expected_use_L", "use_L", "level_expected_L", "level_low_L", "level_high_L", "level_read_L", "chance")
    return row | (_as_it_went(done) if done else dict.fromkeys((*blank, "inside")))


def _as_it_went(done: Happened) -> dict[str, Any]:
    told, (start, _), (end, sd) = done.read, done.start, done.end
    expected, spread = (told.expected, told.sd) if told else (end, sd)
    judged = _is_judged(done)
    return {
        "expected_use_L": _litres(start - end),
        "use_L": _litres(start - told.reading) if told and judged and done.start_known else None,
        "level_expected_L": _litres(max(expected, 0.0)),
        "level_low_L": _litres(max(expected - NORMAL_REACH * spread, 0.0)),
        "level_high_L": _litres(max(expected + NORMAL_REACH * spread, 0.0)),
        "level_read_L": _litres(told.reading) if told else None,
        "chance": round(told.lower, 4) if told else None,
        "inside": _inside(done) if judged else None,
    }


def _is_judged(done: Happened) -> bool:
    """Whether a level was read after a session that a forgotten fill does not explain."""
    if done.read is None:
        return False
    return not (done.read.reading > done.start[0] and done.read.lower > 0.999)


def _inside(done: Happened) -> bool:
    assert done.read is not None
    return (1 - BAND) / 2 <= done.read.lower <= (1 + BAND) / 2


def _sentence(rows: list[dict[str, Any]], own: Logged) -> str:
    over = [row for row in rows if row["status"] == "done" and not row["assumed"]]
    if not over:
        return "The log says of no session that it is over."
    planned = sum(row["planned_use_L"] for row in over)
    expected = sum(row["expected_use_L"] for row in over)
    mean, sd = own.factor
    head = f"{_count(len(over), 'session')} over; planned use {planned:.1f} L"
    if not own.judged:
        return f"{head}. No level was read after a session, so what was used is not known."
    fault = " An alarm on the use stands, so this is no sound car's figure." if own.alarm else ""
    return (
        f"{head}, about {expected:.1f} L as followed. The car used {mean:.2f} times its plan, give or take {sd:.2f} "
        f"({own.before[0]:.2f}, give or take {own.before[1]:.2f}, before the day); {own.inside} of "
        f"{_count(own.judged, 'reading')} lay within their 90 % band.{fault}"
    )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _litres(volume: float) -> float:
    return round(float(volume) * LITRES, 3)
