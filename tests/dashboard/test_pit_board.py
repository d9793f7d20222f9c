"""The pit board's words at a clock that stands still: late starts, midnight, clock changes, two days."""

from __future__ import annotations

import math

import pytest
from freezegun import freeze_time

from dashboard.presenters.display import Display
from dashboard.presenters.pit_board import (
    alarms,
    coming,
    fills_ahead,
    levels,
    logged,
    mark_texts,
    side,
    side_label,
    todo,
    zone_name,
)
from dashboard.presenters.pit_words import change_words, countdown_text
from dashboard.presenters.planner_words import in_units
from tests.dashboard.pit_boards import COUNTED, board, in_zone
from tests.pit_days import DAY, SMALL, Log, at

METRIC = Display()


def plain(text: str) -> str:
    return text.replace("\u202f", " ")


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0:00"), (0.9, "0:00"), (59.2, "0:59"), (60, "1:00"), (3599, "59:59"), (3600, "1 h 0 min"),
        (86399, "23 h 59 min"), (90061, "1 d 1 h"), (-1, "now"), (-59, "now"), (-60, "1 min ago"),
        (-3720, "1 h 2 min ago"),
    ],
)  # fmt: skip
def test_a_countdown_goes_from_days_to_seconds_and_past_its_end(seconds, text):
    assert countdown_text(seconds) == text


def test_a_planners_sentence_comes_in_the_units_shown():
    text = "Refill to 4.60 L (104 mm) before Lap 2 L: about 2.1 L."
    assert plain(in_units(text, Display())) == text
    assert "4.60\u202fL (104\u202fmm)" in in_units(text, Display())
    assert plain(in_units(text, Display("us"))) == "Refill to 1.22 gal (4.09 in) before Lap 0.53 gal: about 0.55 gal."
    assert in_units("Heat 2 Long, 1.5 Litres", Display("us")) == "Heat 2 Long, 1.5 Litres"


@freeze_time("2026-05-16T08:50:00+00:00")
def test_what_is_next_counts_down_to_its_start():
    log = Log().mark(at(9, 10), 3.0).level(at(9, 50), 2.2, after=1)
    shown = coming(board(entries=log.entries), COUNTED)
    assert shown.title == "Next: Heat 2, 10:30"
    assert shown.detail == "3 runs"
    assert (shown.countdown.until, shown.countdown.text) == ("2026-05-16T10:30:00+01:00", "40:00")


@freeze_time("2026-05-16T09:37:30+00:00")
def test_a_session_that_is_on_counts_down_to_its_end_and_names_what_follows():
    log = Log().mark(at(9, 10), 3.0)
    shown = coming(board(entries=log.entries), COUNTED)
    assert shown.title == "Heat 2 is on, until 10:50"
    assert shown.detail == "3 runs; then Heat 3 at 11:30"
    assert shown.countdown.text == "12:30"


@freeze_time("2026-05-16T10:05:00+00:00")
def test_a_session_that_runs_over_is_asked_after():
    log = Log().mark(at(9, 10), 3.0)
    told = [text for _, text in alarms(board(entries=log.entries), METRIC, urgent=False)]
    assert any(text.startswith("Heat 2 should be over since 10:50") for text in told)


@freeze_time("2026-05-16T08:50:00+00:00")
def test_a_late_day_says_how_late():
    log = Log().mark(at(9, 10), 3.0).level(at(9, 50), 2.2, after=1)(at(9, 50), "late", minutes=25.0)
    shown = coming(board(entries=log.entries), COUNTED)
    assert shown.title == "Next: Heat 2, 10:55"
    assert plain(shown.detail) == "3 runs, 25 min later than planned"
    assert shown.countdown.text == "1 h 5 min"


@freeze_time("2026-10-24T22:30:00+00:00")
def test_a_countdown_over_the_end_of_summer_time_counts_the_hour_that_comes_twice():
    night = in_zone("Europe/Berlin", (10, 24, 20, 0), (10, 25, 4, 0))
    shown = coming(board(night, Log().mark(night.sessions[0].start, 3.0).entries), COUNTED)
    assert shown.title == "Next: Heat 2, 04:00"
    assert shown.countdown.text == "4 h 30 min"


@freeze_time("2026-03-29T00:30:00+00:00")
def test_a_countdown_over_the_begin_of_summer_time_leaves_out_the_hour_that_is_not():
    night = in_zone("Europe/Berlin", (3, 28, 20, 0), (3, 29, 4, 0))
    shown = coming(board(night, Log().mark(night.sessions[0].start, 3.0).entries), COUNTED)
    assert shown.title == "Next: Heat 2, 04:00"
    assert shown.countdown.text == "1 h 30 min"


@freeze_time("2026-05-16T22:50:00+00:00")
def test_a_session_past_midnight_carries_its_weekday_until_midnight():
    night = in_zone("Europe/London", (5, 16, 21, 0), (5, 17, 0, 30))
    entries = Log().mark(night.sessions[0].start, 3.0).entries
    assert coming(board(night, entries), COUNTED).title == "Next: Heat 2, Sun 00:30"
    with freeze_time("2026-05-16T23:10:00+00:00"):
        assert coming(board(night, entries), COUNTED).title == "Next: Heat 2, 00:30"


@freeze_time("2026-05-16T20:00:00+00:00")
def test_the_second_day_is_named_by_its_weekday_on_the_evening_before():
    two = in_zone("Europe/London", (5, 16, 9, 0), (5, 17, 9, 0))
    shown = board(two, Log().mark(two.sessions[0].start, 3.0)(at(9, 30), "note", text="clutch").entries)
    assert coming(shown, COUNTED).title == "Next: Heat 2, Sun 09:00"
    assert coming(shown, COUNTED).countdown.text == "12 h 0 min"
    assert logged(shown, METRIC)[0].time == "Sat 09:30"


@freeze_time("2026-05-16T18:00:00+00:00")
def test_after_the_last_session_the_day_is_over_and_asks_for_a_reading():
    shown = board(entries=Log().mark(at(9, 10), 3.0).entries)
    assert coming(shown, COUNTED).title == "The day is over"
    assert coming(shown, COUNTED).countdown is None
    assert "Read the level" in todo(shown, METRIC).text
    assert coming(board(), COUNTED).detail.endswith("Nothing was logged.")


@freeze_time("2026-05-16T08:56:00+00:00")
def test_the_action_has_mark_dipstick_amount_time_and_by_when():
    log = Log().mark(at(9, 10), 2.0).level(at(9, 55), 1.2, after=1)
    shown = board(entries=log.entries)
    following, made = shown["next"], todo(shown, METRIC)
    needed = math.ceil(following["minutes_needed"])
    assert made.verb == "Refill to"
    assert made.figures == mark_texts(shown, following["mark_L"], following["mark_mm"], METRIC)
    assert plain(made.figures[1]) == f"{following['mark_mm']:.0f} mm"
    assert (
        plain(made.rest)
        == f"before Heat 2: about {following['add_L']:.1f} L, {needed} min, start by {following['by'][11:16]}"
    )
    assert made.begin.until == following["by"]
    volume, height = todo(shown, Display("us")).figures
    assert volume.endswith("gal")
    assert height.endswith("in")


@freeze_time("2026-05-16T08:56:00+00:00")
def test_a_fill_that_should_have_begun_is_to_be_started_now():
    shown = board(entries=Log().mark(at(9, 10), 2.0).level(at(9, 55), 1.2, after=1).entries)
    made = todo(shown | {"now": "2026-05-16T10:28:00+01:00"}, METRIC)
    assert made.rest.endswith("start now")
    assert made.begin.text.endswith("ago")


@freeze_time("2026-05-16T08:56:00+00:00")
def test_a_fill_that_is_likely_not_needed_is_told_for_a_level_that_reads_lower():
    shown = board(entries=Log().mark(at(9, 10), 2.0).level(at(9, 55), 1.2, after=1).entries)
    shown["next"] |= {"add_L": 0.04, "add_most_L": 0.31}
    assert plain(todo(shown, METRIC).rest).startswith("before Heat 2: only if it reads less, 0.31 L at most, ")


@freeze_time("2026-05-16T08:56:00+00:00")
def test_where_nothing_is_to_be_filled_the_next_refill_is_named_and_it_is_a_later_one():
    shown = board(entries=Log().mark(at(9, 10), 3.8).level(at(9, 55), 3.0, after=1).entries)
    assert shown["next"]["action"] == "go"
    said = plain(todo(shown, METRIC).text)
    later = fills_ahead(shown)
    assert said.startswith("Nothing to fill before Heat 2.")
    assert all(fill["before_session"] > shown["next"]["session"] for fill in later)
    assert f"before {later[0]['session_name']}" in said


@freeze_time("2026-05-16T08:56:00+00:00")
def test_the_level_is_shown_as_expected_and_as_read():
    told = levels(board(entries=Log().mark(at(9, 10), 2.0).level(at(9, 55), 1.2, after=1).entries), METRIC)
    assert (plain(told.expected)[:3], plain(told.read)) == ("1.2", "1.20 L")
    assert told.read_line.endswith("at 09:55")
    assert "from 1 reading today" in dict(told.facts)["The car uses"]
    before = levels(board(), METRIC)
    assert (before.read, before.read_line) == ("not yet", "")


@freeze_time("2026-05-16T08:56:00+00:00")
def test_the_small_tank_shows_level_mark_and_floor_at_their_heights():
    shown = board(entries=Log().mark(at(9, 10), 2.0).level(at(9, 55), 1.2, after=1).entries)
    drawn = side(shown, SMALL.tank, METRIC)
    floor = shown["sessions"][1]["floor_L"]
    assert drawn["level"] == shown["level_expected_mm"]
    assert [(round(height, 1), kind) for height, _, kind in drawn["lines"]] == [
        (shown["next"]["mark_mm"], "mark"),
        (round(float(SMALL.tank.shape.level_from_volume(floor / 1e3)) * 1e3, 1), "floor"),
    ]
    assert f"{shown['level_expected_L']:.2f} L" in plain(side_label(shown, METRIC))


@freeze_time("2026-05-16T09:00:00+00:00")
def test_urgent_alarms_stand_apart_from_the_rest():
    log = Log().mark(at(9, 10), 3.5).level(at(9, 55), 0.2, after=1)
    shown = board(entries=log.entries)
    urgent, rest = (alarms(shown, METRIC, urgent=which) for which in (True, False))
    assert urgent
    assert {level for level, _ in urgent} <= {"danger", "warning"}
    assert not {"danger", "warning"} & {level for level, _ in rest}
    assert len(urgent) + len(rest) == len(shown["alarms"]) + len(shown["notices"])


@freeze_time("2026-05-16T09:00:00+00:00")
def test_entries_are_listed_newest_first_and_what_was_taken_back_is_crossed_out():
    log = Log().mark(at(9, 10), 3.5).level(at(9, 55), 2.7, after=1)(at(9, 56), "undo", undoes="e2")
    first, second = logged(board(entries=log.entries), METRIC)
    assert (first.id, first.undone, first.can_undo) == ("e2", True, False)
    assert (second.id, second.time, second.can_undo) == ("e1", "09:10", True)
    assert plain(second.text) == "Filled to 3.50 L"


def test_the_zone_is_named_as_a_place():
    assert zone_name({"timezone": "America/New_York"}) == "New York time (America/New_York)"
    assert zone_name({"timezone": "UTC"}) == "UTC"


def test_the_day_of_these_tests_is_where_it_says():
    assert DAY.timezone == "Europe/London"


def test_a_change_does_not_say_the_action_twice():
    action = "Refill to 4.60 L (104 mm) before Heat 2: about 2.1 L, 8 min, start by 12:05."
    said = change_words(f"Read 3.10 L, as expected. {action}", action, METRIC)
    assert plain(said) == "Read 3.10 L, as expected. The next action is new."
    assert change_words("Read 3.10 L. The plan stands.", action, Display("us")).endswith("gal. The plan stands.")
    assert change_words("", "", METRIC) == ""
