"""Twelve events with forty tank sizes on two cores, over the goal of 3 s; and a second look over its 0.1 s."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from planner.compare_tanks import Days, Planner, candidates_of, own_sizes
from planner.compare_tanks.pool import Workers
from planner.compare_tanks.work import work_off
from planner.day import SEED
from planner.event import Event
from planner.files.event_file import read_day
from tests.benchmarks.measure import Row, seconds

EVENTS = Path(__file__).resolve().parents[2] / "events_demo" / "events"
GOAL, AGAIN = 3.0, 0.1


def season() -> Days:
    """Twelve days of one car: the demo's four, as they are and with the first session or two left out."""
    _, car = read_day(EVENTS / "teapot-ring-open-day.toml")
    found: list[tuple[Event, object]] = []
    for left_out in range(3):
        for path in sorted(EVENTS.glob("*.toml")):
            event, _ = read_day(path)
            found.append((replace(event, name=f"{event.name} {left_out}", sessions=event.sessions[left_out:]), car))
    return Days(tuple(found))  # type: ignore[arg-type]


def rows() -> Iterator[Row]:
    """The first look, processes started anew each time, and the second one."""
    days = season()
    sizes = own_sizes(days.car, [float(c) * days.car.tank.capacity for c in np.geomspace(0.5, 4, 39)])
    first, again = [], []

    def look(folder: Path) -> float:
        def work() -> None:
            with Workers(2, here_too=True) as workers:
                candidates_of(days, sizes, Planner(workers, kept_in=folder))

        return seconds(work)

    for _ in range(3):
        with tempfile.TemporaryDirectory() as folder:
            first.append(look(Path(folder)) / GOAL)
            again += [look(Path(folder)) / AGAIN for _ in range(3)]
    yield Row(f"{len(days.events)} events with {len(sizes)} tanks on two cores / {GOAL:g} s", tuple(first), 1.0)
    pairs = [pair for size in sizes for pair in days.pairs(size.tank)]
    begin = time.process_time()
    work_off(pairs, None, SEED)
    each = (time.process_time() - begin) / 2 / GOAL
    yield Row(f"the processor's time for them, half on each core / {GOAL:g} s", (each,), 1.0)
    yield Row(f"a second look at them / {AGAIN:g} s", tuple(again), 1.0)
