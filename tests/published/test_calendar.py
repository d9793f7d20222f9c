"""Time zones in the calendar file: against the IANA zone data, another reader (dateutil), and 2000/84/EC."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.tz import tzical
from icalendar import Calendar

from planner.files.calendar_file import calendar
from planner.files.calendar_zone import changes, zone_component
from tests.plans import event_of, plan_of

ZONES = (
    "Europe/Lisbon", "Europe/London", "Europe/Dublin", "Europe/Madrid", "Europe/Berlin", "Europe/Helsinki",
    "Atlantic/Azores", "America/New_York", "America/Chicago", "America/Phoenix", "America/St_Johns",
    "America/Santiago", "America/Sao_Paulo", "Africa/Casablanca", "Africa/Cairo", "Asia/Kolkata", "Asia/Tokyo",
    "Asia/Jerusalem", "Australia/Sydney", "Australia/Lord_Howe", "Pacific/Auckland", "Antarctica/Troll",
)  # fmt: skip
NOW = datetime(2026, 1, 5, tzinfo=UTC)


def _onsets(name: str) -> list[tuple[datetime, timedelta]]:
    """Each change in the file, as the standard reads it: its moment by the offset before it, and the offset after."""
    parts = zone_component(name, 2025, 2027).subcomponents
    return [
        ((part["DTSTART"].dt - part["TZOFFSETFROM"].td).replace(tzinfo=UTC), part["TZOFFSETTO"].td) for part in parts
    ]


def wrong_moments(name: str) -> list[datetime]:
    """Half hours of three years at which the file's offset is not the one of the zone data."""
    zone, onsets = ZoneInfo(name), _onsets(name)
    moment, place, wrong = datetime(2025, 1, 1, tzinfo=UTC), 0, []
    while moment < datetime(2028, 1, 1, tzinfo=UTC):
        while place + 1 < len(onsets) and onsets[place + 1][0] <= moment:
            place += 1
        if onsets[place][1] != moment.astimezone(zone).utcoffset():
            wrong.append(moment)
        moment += timedelta(minutes=30)
    return wrong


@pytest.mark.parametrize("name", ZONES)
def test_each_half_hour_of_three_years_has_the_zones_own_offset(name: str) -> None:
    onsets = [moment for moment, _ in _onsets(name)]
    assert onsets == sorted(onsets)
    assert wrong_moments(name) == []


@pytest.mark.parametrize("name", ZONES)
def test_another_reader_gets_the_zones_own_wall_clock(name: str) -> None:
    text = b"BEGIN:VCALENDAR\r\n" + zone_component(name, 2025, 2027).to_ical() + b"END:VCALENDAR\r\n"
    read = tzical(io.StringIO(text.decode())).get()
    zone = ZoneInfo(name)
    for hour in range(24, 3 * 365 * 24, 5):
        wall = datetime(2025, 1, 1) + timedelta(hours=hour)
        if wall.replace(tzinfo=zone).astimezone(UTC).astimezone(zone).replace(tzinfo=None) == wall:
            assert wall.replace(tzinfo=read).utcoffset() == wall.replace(tzinfo=zone).utcoffset(), wall


def test_lisbon_changes_at_one_by_the_clock_that_ends() -> None:
    # EU directive 2000/84/EC: clocks change at 1:00 UTC on the last Sundays of March and October.
    found = list(changes(ZoneInfo("Europe/Lisbon"), datetime(2026, 1, 1, tzinfo=UTC), datetime(2027, 1, 1, tzinfo=UTC)))
    assert found == [datetime(2026, 3, 29, 1, tzinfo=UTC), datetime(2026, 10, 25, 1, tzinfo=UTC)]
    assert b"DTSTART:20260329T010000" in zone_component("Europe/Lisbon", 2026, 2026).to_ical()


@pytest.mark.parametrize("zone", ["Europe/Lisbon", "America/New_York", "Australia/Lord_Howe", "UTC"])
@pytest.mark.parametrize("day", [date(2026, 3, 29), date(2026, 10, 25), date(2026, 11, 1), date(2026, 4, 5)])
def test_moments_of_a_day_on_which_clocks_change_come_back_as_they_were(zone: str, day: date) -> None:
    plan = plan_of(event_of(10))
    begin = datetime(day.year, day.month, day.day, tzinfo=ZoneInfo(zone)).astimezone(UTC)
    rows = [
        row | {"start": (begin + timedelta(minutes=20 * k)).isoformat(),
               "end": (begin + timedelta(minutes=20 * k + 15)).isoformat()}
        for k, row in enumerate(plan["sessions"])
    ]  # fmt: skip
    fills = [fill | {"by": rows[fill["before_session"] - 1]["start"]} for fill in plan["refills"]]
    text = calendar([plan | {"timezone": zone, "sessions": rows, "refills": fills}], NOW)
    entries = [entry for entry in Calendar.from_ical(text).events if str(entry["SUMMARY"]).startswith("Session")]
    expected = [tuple(datetime.fromisoformat(row[key]).timestamp() for key in ("start", "end")) for row in rows]
    assert sorted((one["DTSTART"].dt.timestamp(), one["DTEND"].dt.timestamp()) for one in entries) == expected
    used = {str(one["TZID"]) for one in Calendar.from_ical(text).walk("VTIMEZONE")}
    assert used == (set() if zone == "UTC" else {zone})
