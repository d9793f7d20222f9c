"""Boards of days in the paddock for the tests of the pit page's presenters, at a clock that freezegun stops."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from planner.entry import Entry
from planner.event import Event
from planner.follow import follow_day
from planner.follow.json import pit_json
from tests.pit_days import DAY, SMALL, event_of

COUNTED = {"hill": "run"}


def board(event: Event = DAY, entries: Sequence[Entry] = ()) -> dict[str, Any]:
    """The board of an event at the time that it is now."""
    return pit_json(follow_day(event, SMALL, entries, datetime.now(UTC)))


def in_zone(name: str, *starts: tuple[int, int, int, int], minutes: float = 20) -> Event:
    """An event in a zone, its sessions given as (month, day, hour, minute) of 2026."""
    zone = ZoneInfo(name)
    moments = [datetime(2026, month, day, hour, minute, tzinfo=zone) for month, day, hour, minute in starts]
    made = event_of(moments, minutes=minutes)
    return replace(made, timezone=name, date=date(2026, *starts[0][:2]), reserve=DAY.reserve)
