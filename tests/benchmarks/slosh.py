"""Slosh: 20 minutes at 50 Hz over 40 fill levels with both surfaces, and a day of eight such sessions."""

from __future__ import annotations

import time
from collections.abc import Iterator
from itertools import count

import numpy as np

from planner.driving.trace import Trace
from planner.physics.surface import STANDARD_GRAVITY
from planner.planning.floor import session_floor
from planner.use.slosh_levels import slosh_levels
from tests.benchmarks.measure import Row, on_one_core, seconds
from tests.cars import CAR

SHARES = tuple(np.linspace(0.02, 0.98, 40).tolist())
SAMPLES = 20 * 60 * 50
_seeds = count(1)


def session() -> Trace:
    """Twenty minutes of driving at 50 Hz that was never seen before: corners, braking, boost in bursts."""
    generator = np.random.default_rng(next(_seeds))
    seconds_in = np.arange(SAMPLES) / 50

    def swaying(peak: float, cut: float) -> np.ndarray:
        frequency = np.fft.rfftfreq(SAMPLES, 1 / 50)
        noise = generator.normal(size=frequency.size) + 1j * generator.normal(size=frequency.size)
        wave = np.fft.irfft(noise / (1 + (frequency / cut) ** 4), SAMPLES)
        return peak * np.tanh(wave / wave.std())

    boost = np.clip(60e3 + 90e3 * swaying(1.0, 0.2), -60e3, 97e3)
    lateral, along = (g * STANDARD_GRAVITY for g in (swaying(1.1, 0.5), swaying(0.7, 0.5)))
    return Trace(seconds_in, boost, lateral, along, np.ones(SAMPLES - 1, dtype=bool))


def rows() -> Iterator[Row]:
    """One session's levels, a day's floors and levels at first, and the same day unchanged."""
    fresh = [session() for _ in range(6)]
    each = iter(fresh)
    times = on_one_core(lambda: slosh_levels(CAR, [next(each)], shares=SHARES))
    yield Row("20 min at 50 Hz, 40 fills, both surfaces, one core", times, 1.0, "s")
    days = [[session() for _ in range(8)] for _ in range(2)]

    def levels(day: list[Trace]) -> None:
        for trace in day:
            session_floor(CAR, [trace], "lap", final_reserve=0.0)
            slosh_levels(CAR, [trace], shares=SHARES)

    first = tuple(seconds(lambda day=day: levels(day), time.process_time) for day in days)  # type: ignore[misc]
    yield Row("floors and levels of a day of 8 such sessions, first, one core", first, 5.0, "s")
    again = tuple(1e3 * value for value in on_one_core(lambda: levels(days[-1])))
    yield Row("floors and levels of that day, unchanged, one core", again, 50.0, "ms")
