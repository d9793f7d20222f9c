"""The calendar against RFC 5545 and as a reference parser reads it; what changes when the plan does."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from icalendar import Calendar

from planner.errors import BadInput
from planner.files.calendar_file import calendar, write_calendar
from tests.plans import event_of, plan_of

NOW = datetime(2026, 5, 1, 12, 0, tzinfo=UTC)
LATER = NOW + timedelta(days=3)


def _entries(text: bytes) -> dict[str, dict]:
    return {str(entry["SUMMARY"]): entry for entry in Calendar.from_ical(text).events}


def test_lines_end_in_crlf_and_hold_75_octets_at_most() -> None:
    text = calendar([plan_of(event_of(7, name="Möwenmarkt über die Höhen, Ölmühle und Gänsewiese " * 3))], NOW)
    assert text.endswith(b"END:VCALENDAR\r\n")
    assert text.count(b"\n") == text.count(b"\r\n")
    assert max(len(line) for line in text.split(b"\r\n")) <= 75
    text.decode("utf-8")
    for line in text.split(b"\r\n"):
        line.decode("utf-8")  # a fold within a character would not decode


def test_required_properties_are_there() -> None:
    found = Calendar.from_ical(calendar([plan_of(event_of(7))], NOW))
    assert (str(found["VERSION"]), str(found["PRODID"])) == ("2.0", "-//Fillmark//Day plan//EN")
    assert len(found.events) == 7 + 3
    assert len({str(entry["UID"]) for entry in found.events}) == 10
    for entry in found.events:
        assert {"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "SEQUENCE"} <= entry.keys()
        (alarm,) = entry.walk("VALARM")
        assert alarm["ACTION"] == "DISPLAY"
        assert alarm["DESCRIPTION"]
        assert alarm["TRIGGER"].dt < timedelta(0)


def test_times_are_the_plans_in_the_events_zone() -> None:
    plan = plan_of(event_of(4))
    text = calendar([plan], NOW)
    entries = _entries(text)
    start = entries["Session 3 (Plum hatch)"]["DTSTART"].dt
    assert start == datetime.fromisoformat(plan["sessions"][2]["start"])
    assert start.utcoffset() == timedelta(hours=1)
    assert b"DTSTART;TZID=Europe/Lisbon:20260516T090000" in text
    fill = entries["Fill to 3.94 L (68 mm) before Session 4"]
    assert fill["DTSTART"].dt == datetime.fromisoformat(plan["refills"][1]["by"])
    assert fill["DTEND"].dt - fill["DTSTART"].dt == timedelta(minutes=9)


def test_the_zones_own_rules_travel_along() -> None:
    (zone,) = list(Calendar.from_ical(calendar([plan_of(event_of(2))], NOW)).walk("VTIMEZONE"))
    assert str(zone["TZID"]) == "Europe/Lisbon"
    summer = zone.to_tz(lookup_tzid=False).utcoffset(datetime(2026, 5, 16, 9, 0))
    assert summer == timedelta(hours=1)


def test_the_same_plan_again_changes_nothing_but_keeps_its_stamp() -> None:
    plan = plan_of(event_of(4))
    first = calendar([plan], NOW)
    assert calendar([plan], LATER, first) == first


def test_a_changed_entry_gets_the_next_sequence_and_keeps_its_uid() -> None:
    plan = plan_of(event_of(4))
    first = calendar([plan], NOW)
    moved = (datetime.fromisoformat(plan["refills"][1]["by"]) - timedelta(minutes=5)).isoformat()
    changed = plan | {"refills": [plan["refills"][0], plan["refills"][1] | {"by": moved}]}
    second = calendar([changed], LATER, first)
    before, after = _entries(first), _entries(second)
    name = "Fill to 3.94 L (68 mm) before Session 4"
    assert before[name]["UID"] == after[name]["UID"]
    assert (before[name]["SEQUENCE"], after[name]["SEQUENCE"]) == (0, 1)
    assert after["Session 3 (Plum hatch)"]["SEQUENCE"] == 0
    third = _entries(calendar([plan], LATER, second))
    assert third[name]["SEQUENCE"] == 2


def test_an_entry_that_is_gone_is_cancelled_once_and_comes_back_with_a_higher_sequence() -> None:
    plan = plan_of(event_of(4))
    first = calendar([plan], NOW)
    second = calendar([plan | {"refills": plan["refills"][:1]}], LATER, first)
    gone = _entries(second)["Fill to 3.94 L (68 mm) before Session 4"]
    assert (str(gone["STATUS"]), gone["SEQUENCE"]) == ("CANCELLED", 1)
    again = calendar([plan | {"refills": plan["refills"][:1]}], LATER, second)
    assert _entries(again)["Fill to 3.94 L (68 mm) before Session 4"]["SEQUENCE"] == 1
    back = _entries(calendar([plan], LATER, again))["Fill to 3.94 L (68 mm) before Session 4"]
    assert (str(back["STATUS"]), back["SEQUENCE"]) == ("CONFIRMED", 2)


def test_several_plans_share_a_calendar_without_sharing_uids() -> None:
    text = calendar([plan_of(event_of(3)), plan_of(event_of(3, name="Newt Nook sprint"))], NOW)
    uids = [str(entry["UID"]) for entry in Calendar.from_ical(text).events]
    assert len(uids) == len(set(uids)) == 8


def test_a_file_is_written_over_and_goes_on_from_what_stood_there(tmp_path: Path) -> None:
    path, plan = tmp_path / "day.ics", plan_of(event_of(2))
    write_calendar(path, [plan], NOW)
    plan["sessions"][0]["name"] = "Warm-up"
    write_calendar(path, [plan], LATER)
    assert _entries(path.read_bytes())["Warm-up (Plum hatch)"]["SEQUENCE"] == 1
    assert [one.name for one in tmp_path.iterdir()] == ["day.ics"]


def test_a_file_that_is_no_calendar_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "shopping.txt"
    path.write_text("milk\n")
    with pytest.raises(BadInput, match="no calendar, so it is not written over"):
        write_calendar(path, [plan_of(event_of(2))], NOW)
    assert path.read_text() == "milk\n"
