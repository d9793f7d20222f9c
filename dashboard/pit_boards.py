"""Boards of the workspace's events, each worked out once for all who ask, and anew when something changed."""

from __future__ import annotations

import json
import threading
from dataclasses import dataclass, field
from datetime import UTC, datetime
from hashlib import blake2b
from pathlib import Path
from typing import Any

from dashboard.presenters.workspace import Workspace
from planner.car import Car
from planner.entry import standing
from planner.errors import BadInput
from planner.event import Event
from planner.files.event_file import read_day
from planner.files.logged_days import state_after
from planner.files.pit_log import PitLog
from planner.follow import clock_for, follow_day
from planner.follow.after import Logged, logged
from planner.follow.json import pit_json

STEP = 20.0  # [s] of the clock after which a board is worked out anew, though nothing was logged


@dataclass(frozen=True, slots=True)
class Day:
    """An event of the workspace with its car, its log, and the stamp of the files that it was read from."""

    key: str
    event: Event
    car: Car
    log: PitLog
    stamp: str


@dataclass(slots=True)
class _Kept:
    lock: threading.Lock = field(default_factory=threading.Lock)
    day: Day | None = None
    version: str = ""
    board: str = ""
    logged_version: str = ""
    logged: Logged | None = None


def clock() -> datetime:
    """The time now."""
    return datetime.now(UTC)


class Boards:
    """Boards by the event's key, its path in the workspace. Safe for many threads."""

    def __init__(self, workspace: Workspace) -> None:
        self.workspace = workspace
        self._kept: dict[str, _Kept] = {}
        self._lock = threading.Lock()

    def day(self, key: str) -> Day:
        """Event, car and log of a key; read anew when a file changed. Raises BadInput."""
        path = self.workspace.files.resolve(key)
        key = self.workspace.files.path_of(path)  # one spelling of each path
        kept = self._kept_of(key)
        day = kept.day
        if day is None or day.stamp != _stamp(path, day.event):
            event, car = read_day(path)
            kept.day = day = Day(key, event, car, PitLog(path), _stamp(path, event))
        return day

    def version(self, key: str) -> str:
        """Text that changes with each entry, with the files, and with each step of the clock. Raises BadInput."""
        day = self.day(key)
        log = day.log.path
        file = log.stat().st_ino if log.exists() else 0
        return f"{day.log.newest()}.{file:x}.{day.stamp}.{int(clock().timestamp() // STEP):x}"

    def board(self, key: str) -> tuple[str, str]:
        """Version and JSON text of an event's board as it stands. Raises BadInput."""
        kept = self._kept_of(self.day(key).key)
        with kept.lock:
            version = self.version(key)
            if version != kept.version:
                kept.board = json.dumps(self._worked_out(key), ensure_ascii=False, allow_nan=False)
                kept.version = version
            return kept.version, kept.board

    def car_key(self, day: Day) -> str:
        """Path within the workspace of a day's car. Raises BadInput for one outside."""
        return self.workspace.files.path_of(day.event.car_path)

    def logged(self, car_path: Path | None = None) -> list[tuple[str, Logged]]:
        """Keys and figures of the logged days of a car, or of all, oldest first; kept until something changes."""
        found = []
        for listing in self.workspace.files.events():
            try:
                day = self.day(listing.path)
            except BadInput:
                continue
            figures = None
            if car_path is None or day.event.car_path.resolve() == car_path.resolve():
                figures = self._logged(day)
            found += [(day.key, figures)] if figures else []
        return sorted(found, key=lambda pair: pair[1].date)

    def _logged(self, day: Day) -> Logged | None:
        kept = self._kept_of(day.key)
        version = self.version(day.key)
        if version != kept.logged_version:
            entries = day.log.entries()
            state = state_after(day.event, day.car, entries, clock()) if standing(entries) else None
            kept.logged, kept.logged_version = logged(state) if state else None, version
        return kept.logged

    def _worked_out(self, key: str) -> dict[str, Any]:
        day = self.day(key)
        entries = day.log.entries()
        return pit_json(follow_day(day.event, day.car, entries, clock_for(day.event, entries, clock())))

    def _kept_of(self, key: str) -> _Kept:
        with self._lock:
            return self._kept.setdefault(key, _Kept())


def _stamp(path: Path, event: Event) -> str:
    """Short text that changes when the event's file, its car's or a recording of its does."""
    files = [path, event.car_path, *(log for course in event.courses for log in course.logs)]
    stats = (file.stat() if file.exists() else None for file in files)
    told = repr([(s.st_mtime_ns, s.st_size, s.st_ino) if s else None for s in stats])
    return blake2b(told.encode(), digest_size=6).hexdigest()
