"""Days with a log: each in figures, and the results that a car's file keeps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from planner.car import Car
from planner.entry import Entry, standing
from planner.errors import BadInput
from planner.event import Event
from planner.files.edit import set_value
from planner.files.event_file import read_day
from planner.files.pit_log import PitLog
from planner.files.saving import open_file, save
from planner.follow import DayState, state_of
from planner.follow.after import Logged, end_of, logged


def state_after(event: Event, car: Car, entries: Sequence[Entry], now: datetime) -> DayState:
    """The day as it stands after its last session and entry, or now."""
    return state_of(event, car, entries, end_of(event, (entry.at for entry in entries), now))


def logged_day(path: Path, now: datetime) -> Logged | None:
    """An event's day in figures; None where nothing is logged or the files cannot be read."""
    entries = PitLog(path).entries()
    if not standing(entries):
        return None
    try:
        event, car = read_day(path)
        return logged(state_after(event, car, entries, now))
    except BadInput:
        return None


def logged_days(paths: Iterable[Path], now: datetime) -> list[Logged]:
    """The logged days among event files, oldest first."""
    found = (logged_day(path, now) for path in paths)
    return sorted((day for day in found if day is not None), key=lambda day: day.date)


def touches_kept(stored: Iterable[Entry], entries: Iterable[Entry]) -> bool:
    """Whether entries just stored keep a result or take one back."""
    kinds = {entry.id: entry.kind for entry in entries}
    named = {entry.value["undoes"] for entry in stored if entry.kind == "undo"}
    return any(entry.kind == "kept" for entry in stored) or any(kinds.get(name) == "kept" for name in named)


def settle_car(event: Event, entries: Sequence[Entry]) -> None:
    """Make the car's file say what the event's log keeps: its last standing result, or none.

    Raises BadInput, Conflict or NotWritten; the log stands, and settling again mends it.
    """
    opened = open_file(event.car_path)
    rows = [dict(row) for row in opened.document.unwrap().get("kept", [])]
    day = event.sessions[-1].end.date()
    others = [row for row in rows if (row.get("date"), row.get("event")) != (day, event.name)]
    kept = [entry for entry in standing(entries) if entry.kind == "kept"]
    own = [_row(event, kept[-1])] if kept else []
    wanted = sorted((*others, *own), key=lambda row: str(row.get("date")))
    if wanted != rows:
        set_value(opened.document, "kept", wanted or None)
        save(opened)


def _row(event: Event, entry: Entry) -> dict[str, Any]:
    return {
        "date": event.sessions[-1].end.date(),
        "factor": round(float(entry.value["mean"]), 4),
        "variation": round(float(entry.value["variation"]), 4),
        "event": event.name,
    }
