"""Steps of a clock that are not forward: midnight, stamps out of order, a clock started anew, stamps that repeat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.driving.stamps import DAY

Array = np.ndarray

SMALL_STEP_BACK = 10.0  # [s]; beyond it the clock started anew
_HALF_DAY = DAY / 2


@dataclass(frozen=True, slots=True, eq=False)
class Mended:
    """time (m,) [s], never falling; kept (m,) the rows; breaks: rows of `time` after which the clock began anew."""

    time: Array
    kept: Array
    breaks: Array
    notices: tuple[str, ...]


def mended(seconds: Array, *, of_day: bool) -> Mended:
    """Seconds (n,), without NaN, made to go forward; what was done is said in the notices."""
    notices: list[str] = []
    time = _past_midnight(seconds, notices) if of_day else seconds.astype(float)
    kept = np.arange(time.size)
    ahead = _stamps_ahead(time)
    time, kept = time[~ahead], kept[~ahead]
    time, starts = _joined(time, notices)
    behind = time < np.maximum.accumulate(time)
    if behind.any() or ahead.any():
        count = int(behind.sum() + ahead.sum())
        notices.append(f"{count} rows are out of order in time (the clock was set back) and were left out.")
    time, kept = time[~behind], kept[~behind]
    breaks = np.searchsorted(kept, starts) - 1
    return Mended(_spread(time, notices), kept, breaks[breaks >= 0], tuple(notices))


def _past_midnight(seconds: Array, notices: list[str]) -> Array:
    """Times of day made to go on across midnight, or across noon where the clock shows twelve hours."""
    steps = np.diff(seconds)
    half = steps < -10 / 12 * _HALF_DAY
    twelve = bool(seconds.max() < 13 * 3600 and np.any(half))
    around = np.concatenate(([0], np.cumsum(half if twelve else steps < -10 / 12 * DAY)))
    if around[-1]:
        notices.append(f"The time of day passes {'noon or midnight' if twelve else 'midnight'}; it was counted on.")
    return seconds + around * (_HALF_DAY if twelve else DAY)


def _stamps_ahead(time: Array) -> Array:
    """Rows (n,) whose single stamp lies ahead of the rows on both sides."""
    ahead = np.zeros(time.size, dtype=bool)
    before, here, after = time[:-2], time[1:-1], time[2:]
    usual = _usual_step(time)
    ahead[1:-1] = (here > after) & (after >= before) & (here - before > 3 * usual)
    return ahead


def _usual_step(time: Array) -> float:
    steps = np.diff(time)
    forward = steps[steps > 0]
    return float(np.median(forward)) if forward.size else 1.0


def _joined(time: Array, notices: list[str]) -> tuple[Array, Array]:
    """The time with long steps back replaced by one usual step, and the positions where it starts anew."""
    steps = np.diff(time)
    anew = np.flatnonzero(steps < -SMALL_STEP_BACK)
    if not anew.size:
        return time, anew
    shift = np.zeros(time.size)
    shift[anew + 1] = _usual_step(time) - steps[anew]
    shown = ", ".join(f"{-step:.4g} s" for step in steps[anew][:3])
    notices.append(
        f"The clock starts anew {anew.size} times (back by {shown}); each is taken as a gap of unknown length."
    )
    return time + np.cumsum(shift), anew + 1


def _spread(time: Array, notices: list[str]) -> Array:
    """The time with rows that share a stamp spread evenly up to the next stamp."""
    first = np.concatenate(([True], np.diff(time) > 0))
    starts = np.flatnonzero(first)
    if starts.size == time.size or starts.size < 2:
        return time
    counts = np.diff(np.append(starts, time.size))
    stamps = time[starts]
    steps = np.append(np.diff(stamps), np.inf)
    usual = float(np.median(steps[:-1]))
    width = np.where(steps > 3 * usual, usual, steps) / np.maximum(counts, 1)
    within = np.arange(time.size) - np.repeat(starts, counts)
    shared = int(counts[counts > 1].sum())
    if shared > 0.01 * time.size:
        notices.append(
            f"{shared} of {time.size} rows share their time stamp; they were spread evenly up to the next stamp."
        )
    return np.repeat(stamps, counts) + within * np.repeat(width, counts)
