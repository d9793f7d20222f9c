"""A day that is on right now, in a time zone where it is about noon, for the pit page's tests in real browsers."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from tests.dashboard.days import write_workspace

EVENT = "events/moth.toml"
STARTS = (-60, 40, 130, 190)  # [min] of the four sessions from now


def noon_zone(now: datetime) -> str:
    """A zone whose clock shows eleven something now: the day's sessions lie within one date."""
    ahead = (11 - now.astimezone(UTC).hour + 12) % 24 - 12
    return f"Etc/GMT{-ahead:+d}" if ahead else "Etc/UTC"


def write_today(folder: Path) -> ZoneInfo:
    """A workspace whose event's sessions start an hour ago and in 40, 130 and 190 minutes; the event's zone."""
    now = datetime.now(UTC)
    zone = ZoneInfo(noon_zone(now))
    path = write_workspace(folder)
    text = path.read_text(encoding="utf-8")
    text = text.replace("date = 2026-05-16", f"date = {now.astimezone(zone):%Y-%m-%d}")
    text = text.replace("Europe/Lisbon", zone.key)
    for was, minutes in zip(("09:00", "10:00", "13:00", "14:00"), STARTS, strict=True):
        begins = (now + timedelta(minutes=minutes)).astimezone(zone)
        text = text.replace(f'start = "{was}"', f'start = "{begins:%H:%M}@"')
    path.write_text(text.replace('@"', '"'), encoding="utf-8")
    return zone
