"""A time zone for a calendar file (VTIMEZONE, RFC 5545 3.6.5), written from the zone's own changes of offset."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

_STEP = timedelta(hours=6)  # no zone has changed its clock twice within that


def zone_component(name: str, first: int, last: int) -> Timezone:
    """The VTIMEZONE of a zone such as "Europe/Lisbon", with every change of the years `first` to `last`.

    Each change begins, as the standard asks, at the wall clock of the offset that it ends. Raises LookupError for a
    name that is no zone.
    """
    zone = ZoneInfo(name)
    begin, end = datetime(first, 1, 1, tzinfo=UTC), datetime(last + 1, 1, 1, tzinfo=UTC)
    found = Timezone()
    found.add("TZID", name)
    for moment in (begin, *changes(zone, begin, end)):
        found.add_component(_observance(zone, moment))
    return found


def changes(zone: ZoneInfo, begin: datetime, end: datetime) -> Iterator[datetime]:
    """The moments [UTC, to the second] after `begin` and before `end` at which the zone's clock changes."""
    before = begin
    while before < end:
        after = min(before + _STEP, end)
        if _clock(zone, before) != _clock(zone, after):
            yield _change(zone, before, after)
        before = after


def _clock(zone: ZoneInfo, moment: datetime) -> tuple[object, ...]:
    local = moment.astimezone(zone)
    return local.utcoffset(), local.dst(), local.tzname()


def _change(zone: ZoneInfo, before: datetime, after: datetime) -> datetime:
    """The first second between two moments that has the later one's clock."""
    old = _clock(zone, before)
    while after - before > timedelta(seconds=1):
        middle = before + timedelta(seconds=int((after - before).total_seconds()) // 2)
        before, after = (middle, after) if _clock(zone, middle) == old else (before, middle)
    return after


def _observance(zone: ZoneInfo, moment: datetime) -> TimezoneDaylight | TimezoneStandard:
    """What holds from a moment on; its start is told by the clock that went before."""
    local, earlier = moment.astimezone(zone), (moment - timedelta(seconds=1)).astimezone(zone)
    offset_before = earlier.utcoffset() or timedelta()
    part = TimezoneDaylight() if local.dst() else TimezoneStandard()
    part.add("DTSTART", (moment + offset_before).replace(tzinfo=None))
    part.add("TZOFFSETFROM", offset_before)
    part.add("TZOFFSETTO", local.utcoffset())
    part.add("TZNAME", local.tzname())
    return part
