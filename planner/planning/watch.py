"""The day's belief kept under watch: each reading is judged before it is believed.

While an alarm stands, the earlier readings no longer speak for the car: the forecast follows the readings since, and
what was known of the sound car is kept aside. A reading that fits the sound car again clears the alarm. A level that
is only read again, with no use or fill in between, is held against what was expected before the reading that alarmed:
it confirms the alarm, or shows that the level was misread.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from planner.planning.alarms import WINDOWS, Alarm, level_rose, ran_dry, use_alarm
from planner.use.learning import (
    Belief,
    Predicted,
    after_pour,
    after_reading,
    after_use,
    at_least_used,
    at_mark,
    level_mean,
    level_sd,
    predicted,
    reopened,
    with_level_of,
)

FITS = 0.05  # chance on either side above which a reading fits the sound car again
_ROSE = 3.0  # standard deviations by which a level must rise to be no reading error


@dataclass(frozen=True, slots=True, eq=False)
class Watch:
    """belief: what the forecast uses; sound: the car's factor as known before an alarm, while one stands.

    scores: of the readings since the last alarm cleared; judged: every reading as it was expected; learnt: how many
    taught something; readings: how many a day may have; empty: volume [m3] that the pickup cannot reach; just_read:
    whether nothing was used or filled since the last reading.
    """

    belief: Belief
    readings: int
    sound: Belief | None = None
    alarm: Alarm | None = None
    scores: tuple[float, ...] = ()
    judged: tuple[Predicted, ...] = ()
    learnt: int = 0
    empty: float = 0.0
    just_read: bool = False


def used(watch: Watch, use: float, run_spread: float) -> Watch:
    """After a session of mean use [m3] and its own spread [1]."""
    return replace(watch, belief=after_use(watch.belief, use, run_spread), just_read=False)


def poured(watch: Watch, volume: float, sd: float) -> Watch:
    """After pouring a volume [m3] known to a standard deviation [m3]."""
    return replace(watch, belief=after_pour(watch.belief, volume, sd), just_read=False)


def filled(watch: Watch, mark: float, sd: float) -> Watch:
    """After filling to a mark [m3] hit to a standard deviation [m3]."""
    return replace(watch, belief=at_mark(watch.belief, mark, sd), just_read=False)


def read(watch: Watch, reading: float, sd: float) -> Watch:
    """After a level reading [m3] with a standard deviation [m3]: judged, then believed."""
    told = predicted(watch.belief, reading, sd)
    before = watch.sound if watch.just_read else None
    watch = replace(watch, judged=(*watch.judged, told), just_read=True)
    if before is not None:
        return _read_under_alarm(watch, reading, sd, before)
    if _rose(watch.belief, reading, sd):
        return replace(watch, belief=at_mark(watch.belief, reading, sd), alarm=watch.alarm or level_rose(told))
    if reading <= watch.empty + sd and told.score > 0:
        return _ran_dry(watch, reading, sd, told)
    if watch.sound is not None:
        return _read_under_alarm(watch, reading, sd, with_level_of(watch.sound, watch.belief))
    scores = (*watch.scores, told.score)
    alarm = use_alarm(scores, told, watch.readings, again=False)
    if alarm is None:
        belief, _ = after_reading(watch.belief, reading, sd)
        return replace(watch, belief=belief, alarm=None, scores=scores[-max(WINDOWS) :], learnt=watch.learnt + 1)
    belief, _ = after_reading(reopened(watch.belief), reading, sd)
    return replace(watch, belief=belief, sound=watch.belief, alarm=alarm, scores=())


def _rose(belief: Belief, reading: float, sd: float) -> bool:
    """Whether a reading is above anything that could have been left with no use at all."""
    unused = replace(belief, used=0.0, used_variance=0.0)
    return reading > level_mean(unused) + _ROSE * np.hypot(level_sd(unused), sd)


def _ran_dry(watch: Watch, reading: float, sd: float, told: Predicted) -> Watch:
    """A reading at the pickup's level: the car used at least what was there, and how much more is not known."""
    belief = at_mark(at_least_used(watch.belief, reading, sd), reading, sd)
    return replace(watch, belief=belief, alarm=ran_dry(told))


def _read_under_alarm(watch: Watch, reading: float, sd: float, sound: Belief) -> Watch:
    """A reading while an alarm stands, held against the sound car: its factor, and the level expected of it."""
    told = predicted(sound, reading, sd)
    if FITS < told.lower < 1 - FITS:
        belief, _ = after_reading(sound, reading, sd)
        return replace(watch, belief=belief, sound=None, alarm=None, scores=(), learnt=watch.learnt + 1)
    alarm = use_alarm((told.score,), told, watch.readings, again=True) or watch.alarm
    belief, _ = after_reading(watch.belief, reading, sd)
    return replace(watch, belief=belief, sound=sound, alarm=alarm)
