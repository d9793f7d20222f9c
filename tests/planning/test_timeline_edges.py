"""Where the day stands at the very edges: half a session, twelve hours, a night of five, a delay to the second."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from planner.planning.timeline import timeline
from tests.planning.test_timeline import DAY, LONDON, Log, at, event, level


def groups(day):
    """How many entries stand before each session and after the last."""
    return [len(group) for group in day.entries]


def starts(day):
    """When the sessions start, as delayed."""
    return [outing.session.start for outing in day.outings]


def fill(log, moment, **value):
    """A fill to a mark."""
    return log(moment, "fill", to_mark=True, mark_L=5.0, **value)


def done(log, moment, session, **value):
    """A session that is over."""
    return log(moment, "done", session=session, **value)


@pytest.mark.parametrize(("moment", "over"), [(at(10, 38), 1), (at(10, 40), 1), (at(10, 41), 2)])
def test_an_entry_up_to_the_middle_of_a_session_s_time_comes_before_it(moment, over):
    assert groups(timeline(DAY, level(Log(), moment).entries, moment)).index(1) == over


def test_twelve_hours_after_the_last_session_the_clock_no_longer_places_an_entry():
    latest = at(14, 20) + timedelta(hours=12)
    assert groups(timeline(DAY, level(Log(), latest).entries, latest)) == [0, 0, 0, 0, 1]
    later = latest + timedelta(seconds=1)
    assert groups(timeline(DAY, level(Log(), later).entries, later)) == [1, 0, 0, 0, 0]


def test_a_fill_goes_before_the_session_it_names():
    assert groups(timeline(DAY, fill(Log(), at(11, 0), before=2).entries, at(11, 1))) == [0, 1, 0, 0, 0]
    assert groups(timeline(DAY, fill(Log(), at(11, 0), before=1).entries, at(11, 1))) == [1, 0, 0, 0, 0]
    assert groups(timeline(DAY, fill(Log(), at(11, 0)).entries, at(11, 1))) == [0, 0, 1, 0, 0]


def test_a_level_after_no_session_comes_before_the_first():
    assert groups(timeline(DAY, level(Log(), at(9, 33), after=0).entries, at(9, 34))) == [1, 0, 0, 0, 0]


def test_stock_is_placed_by_the_clock_and_says_nothing_of_the_sessions():
    day = timeline(DAY, Log()(at(11, 0), "stock", left_L=9.0).entries, at(11, 1))
    assert groups(day) == [0, 0, 1, 0, 0]
    assert [outing.assumed for outing in day.outings] == [True, True, False, False]


@pytest.mark.parametrize("kind", ["note", "kept"])
def test_notes_and_kept_results_have_no_place_in_the_day(kind):
    assert groups(timeline(DAY, Log()(at(11, 0), kind).entries, at(11, 1))) == [0, 0, 0, 0, 0]


def test_of_sessions_with_one_name_the_number_tells_which():
    names = ("Heat", "Practice", "Heat", "Practice")
    twice = replace(DAY, sessions=tuple(replace(one, name=name) for one, name in zip(DAY.sessions, names, strict=True)))
    for number, name in enumerate(names, start=1):
        day = timeline(twice, Log()(at(8), "cancelled", session=number, session_name=name).entries, at(8))
        assert [outing.number for outing in day.outings if outing.status == "cancelled"] == [number]
    day = timeline(twice, Log()(at(8), "cancelled", session=9, session_name="Practice").entries, at(8))
    assert day.outings[1].status == "cancelled"


def test_runs_corrected_while_the_next_session_is_on_move_nothing():
    log = done(done(Log(), at(10, 52), 2), at(11, 35), 2, runs=2)
    day = timeline(DAY, log.entries, at(11, 36))
    assert day.on.number == 3
    assert starts(day) == starts(timeline(DAY, [], at(8)))
    assert day.outings[1].session.runs == 2


def test_a_session_logged_as_done_in_the_next_one_s_time_makes_that_one_late():
    day = timeline(DAY, done(Log(), at(10, 35), 1).entries, at(10, 36))
    assert starts(day) == [at(9, 30), at(10, 45), at(11, 45), at(14, 0)]


def test_a_second_reading_in_one_gap_moves_the_next_session_on():
    log = level(level(Log(), at(10, 0), after=1), at(10, 40), after=1)
    assert timeline(DAY, log.entries, at(10, 41)).next.session.start == at(10, 50)
    first = timeline(DAY, level(Log(), at(9, 35), after=0).entries, at(9, 36))
    assert first.next.session.start == at(9, 45)


def test_a_reading_at_the_planned_start_makes_the_session_late():
    day = timeline(DAY, level(Log(), at(10, 30), after=1).entries, at(10, 31))
    assert day.next.session.start == at(10, 40)


def test_a_moved_session_keeps_its_own_zone():
    day = timeline(DAY, level(Log(), at(10, 35)).entries, at(10, 36))
    assert day.next.session.start.isoformat() == "2026-05-16T10:45:00+01:00"
    assert day.next.session.start.tzinfo is LONDON


def test_a_cancelled_session_holds_no_delay_up():
    log = level(Log()(at(9, 0), "cancelled", session=2), at(11, 35), after=1)
    assert starts(timeline(DAY, log.entries, at(11, 36)))[2] == at(11, 45)


def test_a_delay_reaches_the_last_session():
    day = timeline(DAY, level(Log(), at(13, 20), after=2).entries, at(13, 21))
    assert starts(day)[2:] == [at(13, 30), at(14, 35)]  # three quarters of an hour are kept between them


@pytest.mark.parametrize("over", [0, 1, 60])
def test_what_a_long_gap_cannot_take_up_of_a_delay_is_passed_on_to_the_second(over):
    """A gap of an hour takes up 15 minutes; of a session 15 minutes and some seconds late it passes the seconds on."""
    day = event(at(10, 30), at(11, 50))
    moment = at(10, 35) + timedelta(seconds=over)
    late = timeline(day, level(Log(), moment, after=0).entries, moment)
    assert [outing.late for outing in late.outings] == [900 + over, over]


def test_from_three_hours_late_on_the_planned_gap_is_kept_instead():
    just_before, then = at(13, 29), at(13, 30)
    assert timeline(DAY, level(Log(), just_before, after=1).entries, at(13, 31)).next.session.start == at(13, 39)
    assert timeline(DAY, level(Log(), then, after=1).entries, at(13, 31)).next.session.start == at(14, 10)


def test_late_leaves_a_session_that_was_done_before_its_time():
    log = done(Log(), at(9, 20), 1)(at(9, 25), "late", minutes=15)
    assert starts(timeline(DAY, log.entries, at(9, 26))) == [at(9, 30), at(10, 45), at(11, 45), at(14, 15)]


def test_late_in_the_last_session_moves_nothing():
    day = timeline(DAY, Log()(at(14, 10), "late", minutes=5).entries, at(14, 11))
    assert starts(day) == starts(timeline(DAY, [], at(8)))


def test_late_in_the_morning_of_the_second_day_moves_that_day():
    two_days = event(at(15), at(16), at(9, day=17), at(10, day=17))
    day = timeline(two_days, Log()(at(8, 50, day=17), "late", minutes=30).entries, at(8, 51, day=17))
    assert starts(day) == [at(15), at(16), at(9, 30, day=17), at(10, 30, day=17)]


@pytest.mark.parametrize(("second", "moved"), [(at(14, 19), True), (at(14, 20), False)])
def test_a_gap_of_five_hours_is_a_night(second, moved):
    day = timeline(event(at(9), second), Log()(at(8, 50), "late", minutes=10).entries, at(8, 51))
    assert day.outings[1].late == (600 if moved else 0)


def test_a_gap_is_counted_from_the_session_just_before():
    day = timeline(event(at(9), at(12), at(15)), Log()(at(8, 50), "late", minutes=10).entries, at(8, 51))
    assert [outing.late for outing in day.outings] == [600, 600, 600]


def test_a_delay_that_is_over_when_it_is_logged_leaves_its_session_on():
    last = at(9, 39) + timedelta(seconds=59)
    assert timeline(DAY, Log()(last, "late", minutes=10).entries, at(9, 41)).outings[0].late == 600
    assert timeline(DAY, Log()(at(9, 40), "late", minutes=10).entries, at(9, 41)).outings[0].late == 0


def test_the_status_says_which_session_is_on():
    day = timeline(DAY, [], at(10, 40))
    assert [outing.status for outing in day.outings] == ["done", "running", "planned", "planned"]


def test_what_the_log_s_later_entries_imply_is_not_assumed():
    by_clock = timeline(DAY, [], at(11, 0))
    assert [outing.assumed for outing in by_clock.outings] == [True, True, False, False]
    by_done = timeline(DAY, done(Log(), at(10, 52), 2).entries, at(11, 0))
    by_level = timeline(DAY, level(Log(), at(10, 55)).entries, at(11, 0))
    for day in (by_done, by_level):
        assert [outing.assumed for outing in day.outings] == [False] * 4


def test_elapsed_time_does_not_hang_on_the_zone_a_moment_is_written_in():
    moment = datetime(2026, 5, 16, 10, 35, tzinfo=LONDON)
    for zone in (LONDON, None):
        log = level(Log(), moment.astimezone(zone), after=1)
        assert timeline(DAY, log.entries, moment).next.session.start == at(10, 45)
