"""Where the day stands: by the clock, by the log, through delays, clock changes, midnight and two days."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from planner.entry import Entry
from planner.event import Course, Event, Session
from planner.planning.timeline import timeline

LONDON = ZoneInfo("Europe/London")


def event(*starts: datetime, length: float = 20 * 60) -> Event:
    sessions = tuple(Session(f"Heat {k}", start, length, "hill", 3) for k, start in enumerate(starts, 1))
    course = Course("hill", "run", time_at_boost=((1e5, 20.0),))
    return Event("Invented", date(2026, 5, 16), "Europe/London", Path("car.toml"), sessions, (course,))


def at(hour: int, minute: int = 0, day: int = 16, month: int = 5) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=LONDON)


DAY = event(at(9, 30), at(10, 30), at(11, 30), at(14, 0))


class Log:
    def __init__(self):
        self.entries = []

    def __call__(self, moment, kind, **value):
        number = len(self.entries) + 1
        self.entries.append(Entry(f"e{number}", moment, kind, value, number=number))
        return self


def level(log, moment, **value):
    return log(moment, "level", level_L=3.0, level_mm=50.0, **value)


@pytest.mark.parametrize(
    ("now", "position", "running", "following"),
    [
        (at(8), 0, False, 1),
        (at(9, 29), 0, False, 1),
        (at(9, 30), 0, True, 2),
        (at(9, 49), 0, True, 2),
        (at(9, 50), 1, False, 2),
        (at(13, 0), 3, False, 4),
        (at(14, 10), 3, True, None),
        (at(14, 20), 4, False, None),
        (at(9, 40).astimezone(UTC), 0, True, 2),
    ],
)
def test_without_a_log_the_clock_moves_the_day(now, position, running, following):
    day = timeline(DAY, [], now)
    assert (day.position, day.running) == (position, running)
    assert (day.next and day.next.number) == following


def test_what_the_clock_ended_is_assumed_and_what_is_logged_is_not():
    log = Log()(at(9, 52), "done", session=1)
    assert [outing.assumed for outing in timeline(DAY, log.entries, at(11, 0)).outings] == [False, True, False, False]
    assert [outing.status for outing in timeline(DAY, log.entries, at(11, 0)).outings] == [
        "done",
        "done",
        "planned",
        "planned",
    ]


def test_a_session_done_early_and_with_other_runs():
    day = timeline(DAY, Log()(at(9, 36), "done", session=1, runs=2).entries, at(9, 37))
    assert (day.position, day.running, day.next.number) == (1, False, 2)
    assert day.outings[0].session.runs == 2
    assert day.outings[1].session.start == at(10, 30)


def test_late_moves_every_session_of_the_day_that_has_not_begun():
    day = timeline(DAY, Log()(at(9, 55), "late", minutes=15).entries, at(9, 56))
    assert [outing.session.start for outing in day.outings] == [at(9, 30), at(10, 45), at(11, 45), at(14, 15)]
    assert [outing.late for outing in day.outings] == [0, 900, 900, 900]


def test_late_just_after_the_planned_start_is_a_late_start():
    day = timeline(DAY, Log()(at(9, 33), "late", minutes=10).entries, at(9, 35))
    assert (day.position, day.running) == (0, False)
    assert day.next.session.start == at(9, 40)


def test_late_while_a_session_is_on_leaves_that_one():
    day = timeline(DAY, Log()(at(9, 45), "late", minutes=10).entries, at(9, 46))
    assert day.on.number == 1
    assert [outing.session.start for outing in day.ahead] == [at(10, 40), at(11, 40), at(14, 10)]


def test_delays_add_up_and_an_undone_one_does_not_count():
    log = Log()(at(9, 0), "late", minutes=10)(at(9, 1), "late", minutes=5)(at(9, 2), "undo", undoes="e1")
    assert timeline(DAY, log.entries, at(9, 3)).next.session.start == at(9, 35)


def test_a_day_that_runs_early_again_takes_minutes_back():
    log = Log()(at(9, 0), "late", minutes=20)(at(9, 10), "late", minutes=-5)
    assert timeline(DAY, log.entries, at(9, 11)).next.session.start == at(9, 45)


def test_cancelled_sessions_are_left_out():
    day = timeline(DAY, Log()(at(9, 0), "cancelled", session=2).entries, at(9, 55))
    assert day.next.number == 3
    assert day.outings[1].status == "cancelled"
    assert [outing.number for outing in day.ahead] == [3, 4]


def test_a_reading_in_a_gap_is_put_between_its_sessions():
    day = timeline(DAY, level(Log(), at(10, 10)).entries, at(10, 15))
    assert [len(group) for group in day.entries] == [0, 1, 0, 0, 0]


def test_a_reading_early_in_a_session_s_time_says_that_it_has_not_begun():
    """The car is in the paddock at 10:35, so the session of 10:30 is late; so are those that follow closely."""
    day = timeline(DAY, level(Log(), at(10, 35)).entries, at(10, 36))
    assert (day.position, day.running) == (1, False)
    assert [outing.session.start for outing in day.ahead] == [at(10, 45), at(11, 45), at(14, 0)]


def test_a_reading_late_in_a_session_s_time_says_that_it_is_over():
    day = timeline(DAY, level(Log(), at(10, 45)).entries, at(10, 46))
    assert (day.position, day.running) == (2, False)
    assert [len(group) for group in day.entries] == [0, 0, 1, 0, 0]


def test_a_reading_with_its_session_overrules_the_clock():
    day = timeline(DAY, level(Log(), at(11, 0), after=1).entries, at(11, 1))
    assert (day.position, day.next.number) == (1, 2)
    assert day.next.session.start == at(11, 10)
    assert day.outings[2].session.start == at(12, 10)
    assert day.outings[3].session.start == at(14, 0)  # the long gap takes the delay up


def test_a_reading_entered_later_goes_to_its_place():
    log = level(level(Log(), at(10, 55), after=2), at(11, 0), after=1)
    day = timeline(DAY, log.entries, at(11, 2))
    assert [len(group) for group in day.entries] == [0, 1, 1, 0, 0]
    assert day.next.number == 3


def test_an_entry_s_session_is_found_by_its_name_when_the_file_s_order_changed():
    log = Log()(at(9, 52), "done", session=1, session_name="Heat 2")
    assert timeline(DAY, log.entries, at(9, 53)).position == 2


@pytest.mark.parametrize("later", [timedelta(days=100), timedelta(days=-100)])
def test_a_day_can_be_rehearsed_on_another_date(later):
    """Entries on another date than the event's: the log moves the day on, the gaps are kept."""
    first = at(12, 0) + later
    log = level(Log()(first, "fill", to_mark=True, mark_L=5.0), first + timedelta(minutes=1), after=1)
    day = timeline(DAY, log.entries, first + timedelta(minutes=2))
    assert (day.position, day.running, day.next.number) == (1, False, 2)
    assert [len(group) for group in day.entries] == [1, 1, 0, 0, 0]


def test_a_day_long_past_is_over():
    assert timeline(DAY, [], at(12) + timedelta(days=30)).next is None


def test_entering_something_into_a_day_long_past_begins_it_now():
    day = timeline(DAY, [], at(12) + timedelta(days=30), entering=True)
    assert day.next.number == 1


def test_a_night_ends_a_delay():
    two_days = event(at(15), at(16), at(9, day=17))
    day = timeline(two_days, Log()(at(14, 50), "late", minutes=30).entries, at(14, 55))
    assert [outing.session.start for outing in day.ahead] == [at(15, 30), at(16, 30), at(9, day=17)]


def test_sessions_across_midnight_belong_to_one_day():
    night = event(at(23, 30), at(0, 30, day=17))
    assert timeline(night, [], at(23, 55)).next.session.start == at(0, 30, day=17)
    late = timeline(night, Log()(at(23, 55), "late", minutes=10).entries, at(0, 5, day=17))
    assert late.next.session.start == at(0, 40, day=17)


def test_a_session_across_midnight_runs_over_the_date():
    night = event(at(23, 50))
    assert timeline(night, [], at(0, 5, day=17)).running
    assert timeline(night, [], at(0, 10, day=17)).next is None


def test_the_clock_that_goes_back_repeats_an_hour_once():
    """On 25 October 2026 London's 01:30 comes twice; the session of the second lasts its 20 minutes."""
    second = datetime(2026, 10, 25, 1, 30, tzinfo=LONDON, fold=1)
    night = event(datetime(2026, 10, 25, 0, 30, tzinfo=LONDON), second)
    assert timeline(night, [], datetime(2026, 10, 25, 1, 40, tzinfo=LONDON, fold=0)).next.number == 2
    assert timeline(night, [], datetime(2026, 10, 25, 1, 40, tzinfo=LONDON, fold=1)).on.number == 2


def test_a_delay_across_a_clock_change_is_elapsed_time():
    """On 29 March 2026 London's clock goes from 01:00 to 02:00."""
    night = event(datetime(2026, 3, 29, 0, 50, tzinfo=LONDON))
    log = Log()(datetime(2026, 3, 29, 0, 40, tzinfo=LONDON), "late", minutes=20)
    start = timeline(night, log.entries, datetime(2026, 3, 29, 0, 45, tzinfo=LONDON)).next.session.start
    assert start.isoformat() == "2026-03-29T02:10:00+01:00"


def test_a_cancelled_last_session_ends_the_day():
    day = timeline(DAY, Log()(at(12), "cancelled", session=4).entries, at(12, 1))
    assert day.next is None
    assert not day.running


def test_a_session_that_was_cancelled_and_then_driven_counts():
    log = Log()(at(10), "cancelled", session=2)(at(10, 55), "done", session=2)
    assert timeline(DAY, log.entries, at(11)).outings[1].status == "done"


def test_one_session_alone():
    alone = replace(DAY, sessions=DAY.sessions[:1])
    assert timeline(alone, [], at(9)).next.number == 1
    assert timeline(alone, level(Log(), at(10)).entries, at(10)).next is None
