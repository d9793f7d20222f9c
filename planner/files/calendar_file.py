"""The day as a calendar (.ics, RFC 5545): sessions and fills with alarms, for the phone of whoever pours.

A UID stays with its event's session or fill. Written again over an earlier file, an entry that changed gets the next
SEQUENCE, one that did not keeps its own, and one that is gone is cancelled, so that phones follow the plan.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar
from icalendar import Event as Entry

from planner.errors import BadInput, Fault
from planner.files.calendar_zone import zone_component

PRODUCT = "-//Fillmark//Day plan//EN"
SESSION_ALARM = timedelta(minutes=15)
FILL_ALARM = timedelta(minutes=10)
_COMPARED = ("SUMMARY", "DESCRIPTION", "DTSTART", "DTEND", "STATUS")


@dataclass(frozen=True, slots=True)
class Moment:
    """One entry of the calendar: what it is, aware start and end, its text, and how long before its alarm comes."""

    uid: str
    start: datetime
    end: datetime
    summary: str
    description: str
    alarm: timedelta


def moments(plan: Mapping[str, Any]) -> tuple[Moment, ...]:
    """Sessions and fills of a plan (the dictionary of `plan --json`, with `timezone`), in order of time."""
    zone = ZoneInfo(plan["timezone"])
    return tuple(sorted((*_sessions(plan, zone), *_fills(plan, zone)), key=lambda moment: moment.start))


def _uid(plan: Mapping[str, Any], kind: str, number: int) -> str:
    """The same for the same event, date, car and place in the day, whatever else changes."""
    name = f"fillmark:{plan['event']}:{plan.get('date', '')}:{plan['car']}:{kind}:{number}"
    return f"{uuid5(NAMESPACE_URL, name)}@fillmark.invalid"


def _at(iso: str, zone: ZoneInfo) -> datetime:
    return datetime.fromisoformat(iso).astimezone(zone)


def _later(start: datetime, minutes: float) -> datetime:
    """A moment so many minutes on, also over a change of the clock."""
    return (start.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(start.tzinfo)


def _as_written(moment: datetime) -> datetime:
    """In the zone, but in UTC within an hour's second pass: a local time there means the first (RFC 5545 3.3.5)."""
    return moment.astimezone(UTC) if moment.fold else moment


def _sessions(plan: Mapping[str, Any], zone: ZoneInfo) -> Iterator[Moment]:
    for place, row in enumerate(plan["sessions"], 1):
        number, start = row.get("number", place), _at(row["start"], zone)
        driver = f", driver {row['driver']}" if row.get("driver") else ""
        yield Moment(
            _uid(plan, "session", number),
            start,
            _at(row["end"], zone) if row.get("end") else _later(start, 20),
            f"{row['name']} ({plan['car']})",
            f"{row['runs']:g} runs, laps or minutes{driver}. About {row['use_mean_L']:.1f} L will be used; "
            f"the level must stay above {row['floor_L']:.1f} L.",
            SESSION_ALARM,
        )


def _fills(plan: Mapping[str, Any], zone: ZoneInfo) -> Iterator[Moment]:
    names = {row.get("number", place): row["name"] for place, row in enumerate(plan["sessions"], 1)}
    for fill in plan["refills"]:
        number, start = fill["before_session"], _at(fill["by"], zone)
        mark = f"{fill['mark_L']:.2f} L ({fill['mark_mm']:.0f} mm)"
        yield Moment(
            _uid(plan, "fill", number),
            start,
            _later(start, fill["minutes_needed"]),
            f"Fill to {mark} before {names[number]}",
            f"Begin by {start:%H:%M}. Adds about {fill['add_p50_L']:.1f} L, at most {fill['add_p99_L']:.1f} L, and "
            f"takes {fill['minutes_needed']:.0f} min. Engine and ignition off, nobody in the car, extinguisher in a "
            "second person's hand.",
            FILL_ALARM,
        )


def calendar(plans: Sequence[Mapping[str, Any]], now: datetime, earlier: bytes | None = None) -> bytes:
    """The calendar of one or several plans, stamped `now` (aware).

    `earlier` is the file that it replaces, from which each entry's SEQUENCE goes on. Raises BadInput if it is no
    calendar.
    """
    before = _earlier_entries(earlier)
    found = Calendar()
    found.add("PRODID", PRODUCT)
    found.add("VERSION", "2.0")
    found.add("METHOD", "PUBLISH")
    found.add("X-WR-CALNAME", ", ".join(dict.fromkeys(plan["event"] for plan in plans)))
    planned = sorted((moment for plan in plans for moment in moments(plan)), key=lambda moment: moment.start)
    entries = {moment.uid: _entry(moment, now) for moment in planned}
    for uid, entry in entries.items():
        found.add_component(_in_sequence(entry, before.get(uid)))
    for uid in before.keys() - entries.keys():
        found.add_component(_cancelled(before[uid], now))
    _add_zones(found)
    return found.to_ical()


def _add_zones(found: Calendar) -> None:
    """The rules of every zone that the entries name, for their years and one on each side."""
    years = [entry.DTSTART.year for entry in found.events if entry.DTSTART]
    for name in sorted(found.get_used_tzids(), reverse=True):
        found.subcomponents.insert(0, zone_component(name, min(years) - 1, max(years) + 1))


def _earlier_entries(earlier: bytes | None) -> dict[str, Entry]:
    if not earlier:
        return {}
    try:
        return {str(entry["UID"]): entry for entry in Calendar.from_ical(earlier).events}
    except (ValueError, KeyError, IndexError) as reason:
        remedy = "this is no calendar, so it is not written over; name another file"
        raise BadInput([Fault("", "--ics", "", remedy)]) from reason


def _entry(moment: Moment, now: datetime) -> Entry:
    entry = Entry()
    entry.add("UID", moment.uid)
    entry.add("DTSTAMP", now.astimezone(UTC))
    entry.add("DTSTART", _as_written(moment.start))
    entry.add("DTEND", _as_written(moment.end))
    entry.add("SUMMARY", moment.summary)
    entry.add("DESCRIPTION", moment.description)
    entry.add("STATUS", "CONFIRMED")
    alarm = Alarm()
    alarm.add("ACTION", "DISPLAY")
    alarm.add("DESCRIPTION", moment.summary)
    alarm.add("TRIGGER", -moment.alarm)
    entry.add_component(alarm)
    return entry


def _in_sequence(entry: Entry, before: Entry | None) -> Entry:
    """The entry with the SEQUENCE that follows from what stood there before; unchanged, the old stamp stays."""
    sequence = 0 if before is None else int(before.get("SEQUENCE", 0))
    if before is not None and _content(before) == _content(entry):
        entry["DTSTAMP"] = before["DTSTAMP"]
    elif before is not None:
        sequence += 1
    entry.add("SEQUENCE", sequence)
    return entry


def _content(entry: Entry) -> tuple[object, ...]:
    """What makes an entry another one: texts, status, and times as moments."""
    values = (entry.get(key) for key in _COMPARED)
    return tuple(value.dt.timestamp() if hasattr(value, "dt") else str(value) for value in values)


def _cancelled(before: Entry, now: datetime) -> Entry:
    """The earlier entry, called off; one that was called off already stays as it is."""
    if str(before.get("STATUS")) == "CANCELLED":
        return before
    gone = Entry()
    for key in ("UID", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION"):
        gone[key] = before[key]
    gone.add("DTSTAMP", now.astimezone(UTC))
    gone.add("STATUS", "CANCELLED")
    gone.add("SEQUENCE", int(before.get("SEQUENCE", 0)) + 1)
    return gone


def write_calendar(path: Path, plans: Sequence[Mapping[str, Any]], now: datetime | None = None) -> None:
    """Write the plans' calendar over `path`, going on from what stands there; the old file stays until it is done."""
    earlier = path.read_bytes() if path.exists() else None
    try:
        text = calendar(plans, now or datetime.now(UTC), earlier)
    except BadInput as refused:
        raise BadInput([replace(fault, file=str(path)) for fault in refused.faults]) from refused
    partial = path.with_name(path.name + ".part")
    partial.write_bytes(text)
    os.replace(partial, path)
