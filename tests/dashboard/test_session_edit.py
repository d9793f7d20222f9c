import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.presenters.session_edit import (
    for_two_drivers,
    heats,
    minutes_of,
    numbered,
    repeated,
    shifted,
    text_of_minutes,
)
from dashboard.presenters.session_tools import tool_rows

ROWS = [{"name": "Run 1", "start": "09:00", "length": "20 min", "runs": "3", "gap": "paddock"},
        {"name": "Run 2", "start": "23:50", "length": "20 min", "runs": "3", "gap": "paddock"}]  # fmt: skip
starts = st.integers(0, 24 * 60 - 1).map(text_of_minutes)


@given(st.lists(starts, max_size=8), st.integers(-700, 700))
def test_shifting_there_and_back_changes_nothing(times, by):
    rows = [{"name": str(n), "start": time, "date": "2026-05-16"} for n, time in enumerate(times)]
    assert [row["start"] for row in shifted(shifted(rows, by), -by)] == times
    assert [row["date"] for row in shifted(shifted(rows, by), -by)] == ["2026-05-16"] * len(times)


def test_past_midnight_the_date_moves_on():
    moved = shifted(ROWS, 20, "2026-05-16")
    assert moved[0]["start"] == "09:20"
    assert "date" not in moved[0]
    assert (moved[1]["start"], moved[1]["date"]) == ("00:10", "2026-05-17")


def test_a_start_that_cannot_be_read_is_kept_as_typed():
    assert shifted([{"name": "x", "start": "soon"}], 10) == [{"name": "x", "start": "soon"}]


def test_repeating_gives_names_and_times_that_go_on():
    made = repeated(ROWS[:1], 30, 3)
    assert [row["name"] for row in made] == ["Run 1", "Run 2", "Run 3", "Run 4"]
    assert [row["start"] for row in made] == ["09:00", "09:30", "10:00", "10:30"]


@given(st.text(max_size=12), st.lists(st.text(max_size=6), max_size=4))
def test_a_numbered_name_is_new(name, taken):
    assert numbered(name, 1, taken) not in taken


def test_two_drivers_share_the_car_in_turn():
    made = for_two_drivers(ROWS[:1], ("Wren", "Pike"), 6)
    assert [(row["driver"], row["start"], row["gap"]) for row in made] == [
        ("Wren", "09:00", "paddock"), ("Pike", "09:06", "grid"),
    ]  # fmt: skip
    assert len({row["name"] for row in made}) == 2


def test_heats_refill_only_before_their_first_run():
    made = heats(ROWS[0], [570, 705], 3, 14)
    assert [row["start"] for row in made] == ["09:30", "09:44", "09:58", "11:45", "11:59", "12:13"]
    assert [row["gap"] for row in made] == ["paddock", "grid", "grid"] * 2
    assert {row["runs"] for row in made} == {"1"}


@pytest.mark.parametrize("text", ["9:00", "09:00", " 09:00 "])
def test_times_are_read_as_people_write_them(text):
    assert minutes_of(text) == 540


@pytest.mark.parametrize("text", ["", "25:00", "9.30", "09:60", None])
def test_what_is_no_time_is_none(text):
    assert minutes_of(text) is None


@pytest.mark.parametrize(
    ("tool", "values", "says"),
    [
        ("shift", {"minutes": "ten"}, "Minutes: write a whole number"),
        ("shift", {"minutes": "9999"}, "from -720 to 720"),
        ("repeat", {"every": "30", "times": "0"}, "Times: write a number from 1"),
        ("two", {"first": "A", "second": "A", "later": "6"}, "two drivers' names"),
        ("heats", {"starts": "noon", "runs": "3", "every": "14"}, "write times with commas"),
    ],
)
def test_a_tool_says_what_to_write(tool, values, says):
    made, said = tool_rows(tool, ROWS, values, "2026-05-16")
    assert made is None
    assert says in said


def test_a_tool_says_what_it_did():
    made, said = tool_rows("shift", ROWS[:1], {"minutes": "−15"}, "")
    assert made[0]["start"] == "08:45"
    assert said == "All sessions are 15 min earlier."
