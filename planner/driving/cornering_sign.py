"""Which way an acceleration counts: found from speed, and from yaw rate or GPS course, where they are recorded."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.driving.signals import Signals
from planner.driving.spelling import unit_of

Array = np.ndarray

_AGREE = 0.4  # correlation
_STEP = 0.5  # [s] between the moments that are compared
_MOST_COMPARED = 20_000
_FEWEST = 10
_COARSEST = 2.5  # [s] between refreshes of speed or course
_RADIANS = 3.0  # [rad/s], faster than any car turns


@dataclass(frozen=True, slots=True)
class Sign:
    """turned: the recorded sign is the opposite of ISO 8855; how: for the report; notices: sentences."""

    turned: bool
    how: str
    notices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Turning:
    """speed (m,) in the unit of its column in SI, turn rate (m,) [rad/s] to the left, and the meaning it is from."""

    speed: Array
    turn: Array
    meaning: str


def sign_of(signals: Signals, axis: str, values: Array) -> Sign:
    """The sign convention of a filtered acceleration (m,) [m/s2]."""
    expected, by = _expected(signals, axis)
    name = signals.columns[axis].name
    if expected is not None:
        agreement = _correlation(expected, _averaged(values, _spans(signals.clock.time)))
        if agreement > _AGREE:
            return Sign(False, f"sign confirmed by {by}")
        if agreement < -_AGREE:
            said = f'"{name}" counts the other way than {by}; its sign was turned.'
            return Sign(True, f"sign turned, as {by} says", (said,))
    positive = "left-hand corners" if axis == "lateral" else "speeding up"
    doubt = "" if expected is None else f" It does not follow {by}, so it may be another axis (--column {axis}=NAME)."
    remedy = f'the other way round is --column {axis}="-{name}"'
    return Sign(
        False, f"taken as positive in {positive}", (f'"{name}" was taken as positive in {positive}; {remedy}.{doubt}',)
    )


def _expected(signals: Signals, axis: str) -> tuple[Array | None, str]:
    """What an acceleration should follow, to a factor, averaged over spans, and by what; None if nothing tells."""
    if not signals.has("speed"):
        return None, ""
    fresh, starts = signals.refreshes("speed"), _spans(signals.clock.time)
    if fresh.interval > _COARSEST or starts.size < _FEWEST:
        return None, ""
    if axis == "longitudinal":
        return _slope(signals.clock.time[starts], _averaged(signals.on_rows(fresh), starts)), "speed"
    found = turning_of(signals)
    return (_averaged(found.speed * found.turn, starts), f"speed and {found.meaning}") if found else (None, "")


def _spans(time: Array) -> Array:
    """First rows of the half seconds of time (m,) [s]; of longer spans in a long recording."""
    count = int(min((time[-1] - time[0]) / _STEP, _MOST_COMPARED)) + 2
    starts = np.searchsorted(time, np.linspace(time[0], time[-1], count, endpoint=False))
    return starts[np.concatenate(([True], np.diff(starts) > 0)) & (starts < time.size)]


def _averaged(values: Array, starts: Array) -> Array:
    return np.add.reduceat(values, starts) / np.diff(np.append(starts, values.size))


def _correlation(a: Array, b: Array) -> float:
    a, b = a - a.mean(), b - b.mean()
    size = float(np.sqrt(np.sum(a * a) * np.sum(b * b)))
    return float(np.sum(a * b)) / size if size > 1e-9 else 0.0


def _slope(time: Array, values: Array) -> Array:
    return np.gradient(values, time) if time.size > 1 else np.zeros_like(values)


def turning_of(signals: Signals) -> Turning | None:
    """How the car turns, from course or yaw rate; None where speed or both of them are unknown."""
    if not signals.has("speed"):
        return None
    time = signals.clock.time
    speed = signals.on_rows(signals.refreshes("speed"))
    course = _course(signals)
    if course is not None:
        return Turning(speed, -_slope(time, course), "heading")
    return Turning(speed, _turn_rate(signals), "yaw rate") if signals.has("yaw rate") else None


def _turn_rate(signals: Signals) -> Array:
    values, column = signals.si("yaw rate"), signals.columns["yaw rate"]
    if not column.unit and float(np.nanquantile(np.abs(values), 0.99)) > _RADIANS:
        values = np.radians(values)
    on_rows = signals.on_rows(signals.fresh(values))
    return -on_rows if column.reversed else on_rows


def _course(signals: Signals) -> Array | None:
    """Compass course (m,) [rad] to the right, without its jump at north; None where unknown or too rare."""
    if not signals.has("heading"):
        return None
    unit = signals.columns["heading"].unit or unit_of("deg", "angle")
    assert unit is not None
    values = unit.si(signals.raw("heading"))
    present = ~np.isnan(values)
    values[present] = np.unwrap(values[present])
    fresh = signals.fresh(values)
    return None if fresh.interval > _COARSEST else signals.on_rows(fresh)
