"""Clocks as loggers write them: units, midnight, stamps that repeat, steps back, new starts, gaps, and no clock."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.driving.recording import Recording
from planner.event import Reading
from tests.driving.tables import BOOST, TIME, read, refusal, told


def of_day(seconds: float, digits: int = 3) -> str:
    """HH:MM:SS.mmm."""
    ticks = round(seconds * 10**digits)
    whole, part = divmod(ticks, 10**digits)
    fraction = f".{part:0{digits}d}" if digits else ""
    return f"{whole // 3600 % 24:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}{fraction}"


def with_time(cells: list[str] | np.ndarray, name: str = "Time", reading: Reading = Reading()) -> Recording:  # noqa: B008
    return read({name: cells, "boost_kPa": BOOST}, reading)


def unit_of_time(recording: Recording) -> str:
    return next(column.unit for column in recording.columns if column.meaning == "time")


@pytest.mark.parametrize(
    ("name", "scale"),
    [
        ("Time [s]", 1), ("Time (ms)", 1e3), ("time_us", 1e6), ("Time [min]", 1 / 60), ("Time (h)", 1 / 3600),
        ("t [ns]", 1e9), ("Time [d]", 1 / 86400),
    ],
)  # fmt: skip
def test_units_of_time(name: str, scale: float) -> None:
    cells = [f"{scale * t:.12g}" for t in TIME]
    assert with_time(cells, name).trace.time == pytest.approx(TIME, abs=1e-6)


@pytest.mark.parametrize(("scale", "unit"), [(1, "s"), (1e3, "ms"), (1e6, "us"), (1e9, "ns")])
def test_epochs_tell_their_unit_by_their_size(scale: int, unit: str) -> None:
    milliseconds = [1778900000000 + round(1e3 * t) for t in TIME]
    cells = [f"{m / 1e3:.3f}" if scale == 1 else str(m * round(scale / 1e3)) for m in milliseconds]
    recording = with_time(cells, "timestamp")

    assert recording.trace.time == pytest.approx(TIME, abs=2e-6)
    assert unit_of_time(recording) == unit


def test_days_as_spreadsheets_count_them() -> None:
    recording = with_time([f"{46158.375 + t / 86400:.11f}" for t in TIME])
    assert recording.trace.time == pytest.approx(TIME, abs=2e-6)
    assert "as spreadsheets count" in told(recording)


@pytest.mark.parametrize("before", [0.0, 30.05, 86400.0 - 43])
def test_a_time_of_day_goes_on_across_midnight(before: float) -> None:
    recording = with_time([of_day(86400 - before + t) for t in TIME])

    assert recording.trace.time == pytest.approx(TIME, abs=1e-9)
    assert ("passes midnight" in told(recording)) == (before == 30.05)


def test_seconds_of_the_day_go_on_across_midnight_and_others_do_not() -> None:
    assert with_time((86370 + TIME) % 86400, "Time [s]").trace.time == pytest.approx(TIME, abs=1e-6)
    anew = with_time(np.where(TIME < 45, 9e4 + TIME, TIME), "Time [s]")
    assert [gap.reason for gap in anew.gaps] == ["the clock starts anew"]


def test_a_clock_of_twelve_hours_goes_on_across_noon() -> None:
    start = datetime(2026, 5, 16, 12, 59, 30, tzinfo=UTC)
    cells = [(start + timedelta(seconds=float(t))).strftime("%I:%M:%S.%f") for t in TIME]
    assert with_time(cells).trace.time == pytest.approx(TIME, abs=1e-6)


def test_am_and_pm() -> None:
    start = datetime(2026, 5, 16, 11, 59, 30, tzinfo=UTC)
    cells = [(start + timedelta(seconds=float(t))).strftime("%I:%M:%S.%f %p") for t in TIME]
    assert with_time(cells).trace.time == pytest.approx(TIME, abs=1e-6)


def test_am_and_pm_with_a_date_across_midnight() -> None:
    start = datetime(2026, 5, 16, 23, 59, 30, tzinfo=UTC)
    cells = [(start + timedelta(seconds=float(t))).strftime("%Y-%m-%d %I:%M:%S.%f %p") for t in TIME]
    assert with_time(cells).trace.time == pytest.approx(TIME, abs=1e-6)


def test_of_two_times_the_one_that_goes_on_is_the_clock() -> None:
    recording = read({"Time [s]": 100 - TIME, "Elapsed time [s]": 2 * TIME, "boost_kPa": BOOST})
    assert recording.trace.time == pytest.approx(2 * TIME)


@pytest.mark.parametrize(
    "form",
    ["%Y-%m-%dT%H:%M:%S.%fZ", "%Y-%m-%d %H:%M:%S.%f+02:00", "%d.%m.%Y %H:%M:%S.%f", "%m/%d/%Y %H:%M:%S.%f",
     "%d-%b-%Y %H:%M:%S.%f", "%Y/%m/%d %H:%M:%S:%f"],
)  # fmt: skip
def test_dates_and_times_across_midnight(form: str) -> None:
    start = datetime(2026, 5, 16, 23, 59, 30, tzinfo=UTC)
    cells = [(start + timedelta(seconds=float(t))).strftime(form) for t in TIME]
    recording = with_time(cells, "timestamp")

    assert recording.trace.time == pytest.approx(TIME, abs=1e-6)
    assert unit_of_time(recording) == "date and time"


def test_zones_that_change_with_summer_time_count() -> None:
    start = datetime(2026, 10, 25, 0, 59, 30, tzinfo=UTC)
    berlin = ZoneInfo("Europe/Berlin")
    cells = [(start + timedelta(milliseconds=round(1e3 * t))).astimezone(berlin).isoformat() for t in TIME]
    assert len({cell[-6:] for cell in cells}) == 2
    assert with_time(cells, "timestamp").trace.time == pytest.approx(TIME, abs=1e-6)


@given(st.integers(2, 12), st.integers(20, 40), st.booleans())
def test_rows_that_share_a_whole_second_are_spread_evenly(each: int, seconds: int, texts: bool) -> None:
    time = np.arange(each * seconds) / each
    whole = [of_day(86400 - 15 + int(t + 1e-9), 0) if texts else str(int(t + 1e-9)) for t in time]
    recording = read({"time_s" if not texts else "time": whole, "boost_kPa": 60 + 50 * np.sin(time / 2)})

    assert recording.trace.time == pytest.approx(time, abs=1e-6)
    assert f"{time.size} of {time.size} rows share their time stamp" in told(recording)


def test_a_small_step_back_leaves_out_the_rows_behind_it() -> None:
    time = np.where(TIME < 45, TIME, TIME - 0.35)
    recording = with_time(time)

    assert "3 rows are out of order in time" in told(recording)
    assert recording.trace.time.size == TIME.size - 3
    assert np.all(np.diff(recording.trace.time) > 0)
    assert recording.gaps == ()


def test_one_stamp_ahead_costs_one_row() -> None:
    time = TIME.copy()
    time[300] += 20
    recording = with_time(time)

    assert "1 rows are out of order" in told(recording)
    assert recording.trace.duration == pytest.approx(TIME[-1])


@pytest.mark.parametrize("starts", [1, 3])
def test_a_clock_that_starts_anew_is_a_gap_each_time(starts: int) -> None:
    part = TIME.size // (starts + 1)
    time = np.tile(TIME[:part], starts + 1)
    recording = read({"time_s": time, "boost_kPa": BOOST[: time.size]})

    assert [gap.reason for gap in recording.gaps] == ["the clock starts anew"] * starts
    assert f"starts anew {starts} times" in told(recording)
    assert recording.trace.recorded == pytest.approx((part - 1) * 0.1 * (starts + 1))


def test_gaps_carry_no_time_and_tell_where_they_are() -> None:
    time = np.concatenate((TIME[:400], TIME[400:] + 37))
    recording = with_time(time)

    (gap,) = recording.gaps
    assert (gap.start_s, gap.duration_s, gap.reason) == pytest.approx((39.9, 37.1, "no rows"))
    assert recording.trace.recorded == pytest.approx(TIME[-1] - 0.1)
    assert recording.trace.duration == pytest.approx(TIME[-1] + 37)


@pytest.mark.parametrize(("rows", "gaps"), [(5, 0), (6, 1)])
def test_a_gap_is_more_than_five_and_a_half_usual_intervals(rows: int, gaps: int) -> None:
    kept = np.ones(TIME.size, dtype=bool)
    kept[401 : 400 + rows] = False
    recording = read({"time_s": TIME[kept], "boost_kPa": BOOST[kept]})
    assert len(recording.gaps) == gaps


def test_irregular_steps_are_kept_as_they_are() -> None:
    time = np.cumsum(np.random.default_rng(3).uniform(0.05, 0.25, TIME.size))
    assert with_time(time).trace.time == pytest.approx(time - time[0], abs=1e-6)


def test_a_time_that_begins_before_zero_counts_from_the_first_row() -> None:
    assert with_time(TIME - 5).trace.time == pytest.approx(TIME)


def test_rows_at_a_stated_rate() -> None:
    recording = read({"boost_kPa": BOOST, "throttle": BOOST}, Reading(rate=20.0))
    assert recording.trace.time == pytest.approx(np.arange(BOOST.size) / 20)


def test_a_stated_rate_prevails_over_a_column_of_time() -> None:
    assert with_time(TIME, reading=Reading(rate=20.0)).trace.duration == pytest.approx((TIME.size - 1) / 20)


def test_a_count_of_rows_is_no_clock_until_its_rate_is_stated() -> None:
    count = [str(i) for i in range(TIME.size)]
    said = refusal({"sample": count, "boost_kPa": BOOST})
    assert "--rate" in said
    assert "--column time=NAME" in said
    assert with_time(count, "sample", Reading(rate=10.0)).trace.duration == pytest.approx(TIME[-1])


def test_a_first_column_that_rises_is_the_clock_even_without_a_name() -> None:
    recording = with_time([f"{t:.1f}" for t in TIME], "q")
    assert recording.trace.time == pytest.approx(TIME)
    assert "rises like a clock" in next(column.how for column in recording.columns if column.meaning == "time")


def test_a_later_column_that_rises_is_no_clock() -> None:
    assert "no column is known as time" in refusal({"boost_kPa": BOOST, "metres": 30 * TIME})


def test_lap_times_are_not_the_clock_where_another_is_there() -> None:
    recording = read({"Lap time [s]": TIME % 30, "Session time [s]": TIME, "boost_kPa": BOOST})
    assert recording.trace.time == pytest.approx(TIME)


@pytest.mark.parametrize(
    ("cells", "sentence"),
    [
        (np.zeros(TIME.size), "no time that goes on"),
        (TIME / 86400, "--unit time=d"),
        (TIME[::-1], "rows have no rising time"),
    ],
)
def test_a_clock_that_does_not_go_on_is_refused_with_what_to_type(cells: np.ndarray, sentence: str) -> None:
    assert sentence in refusal({"time_s": [f"{c:.12g}" for c in cells], "boost_kPa": BOOST})


def test_slow_rows_are_doubted() -> None:
    assert "is the unit of time right?" in told(with_time(60 * TIME, "time_s"))


def test_rows_without_time_are_left_out_and_counted() -> None:
    cells = [f"{t:.1f}" for t in TIME]
    cells[7] = cells[8] = ""
    recording = with_time(cells)
    assert "2 rows hold no time" in told(recording)
    assert recording.trace.time.size == TIME.size - 2
