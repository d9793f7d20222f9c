"""Files whose rows have many widths, stamps written otherwise, levels at idle, and other untidiness."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from planner.event import Reading
from tests.driving.tables import BOOST, TIME, csv, read, told

IDLE = TIME < 20
SPEED = np.where(IDLE, 0.0, 80.0)
REVS = np.where(IDLE, 850, 3000 + 10 * TIME)


@pytest.mark.parametrize("extra", [",,", ",7", ",a note, made by hand"])
def test_rows_with_fields_too_many_or_too_few(extra: str) -> None:
    head, *rows = csv({"time_s": TIME, "boost_kPa": BOOST, "rpm": REVS}).splitlines()
    for place in range(30, 900, 9):
        rows[place] += extra
    for place in range(34, 900, 9):
        rows[place] = rows[place].rpartition(",")[0]
    recording = read("\n".join([head, *rows]))

    assert recording.trace.time == pytest.approx(TIME)
    assert recording.trace.boost == pytest.approx(1e3 * BOOST, abs=1e-2)


def test_one_or_two_broken_rows_are_left_out() -> None:
    head, *rows = csv({"time_s": TIME, "boost_kPa": BOOST}).splitlines()
    rows[500] += ",,,,"
    rows[700] = rows[700].split(",")[0]
    recording = read("\n".join([head, *rows]))
    assert recording.trace.boost.size == TIME.size - 2
    assert recording.gaps == ()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("nothing", [1, 8, 5000])
@pytest.mark.parametrize("end", ["", "\n", "\r\n"])
def test_a_short_file_that_a_power_cut_filled_up_with_nothing_reads_on(encoding: str, nothing: int, end: str) -> None:
    whole = csv({"time_s": TIME[:12], "boost_kPa": BOOST[:12]})
    recording = read((whole + "\0" * nothing + end).encode(encoding))
    assert recording.trace.boost == pytest.approx(1e3 * BOOST[:12], abs=1e-2)


def test_stamps_with_the_weekday_in_front() -> None:
    start = datetime(2026, 5, 16, 9, tzinfo=UTC)
    cells = [(start + timedelta(seconds=float(t))).strftime("%a %b %d %H:%M:%S.%f %Y") for t in TIME]
    assert read({"Time": cells, "boost_kPa": BOOST}).trace.time == pytest.approx(TIME, abs=1e-6)


@pytest.mark.parametrize(("level", "absolute"), [(-62.0, False), (35.0, True), (99.0, True), (-2.0, False)])
def test_the_level_at_idle_tells_the_kind(level: float, absolute: bool) -> None:
    pressure = np.where(IDLE, level, np.maximum(BOOST, 0) + (90.0 if absolute else 0.0))
    recording = read({"time_s": TIME, "Pressure [kPa]": pressure, "rpm": REVS, "speed [km/h]": SPEED})
    assert recording.absolute is absolute
    how = next(column.how for column in recording.columns if column.meaning == "boost")
    assert f"it shows {level:.0f} kPa at idle" in how or "it falls to" in how


def test_the_level_with_the_engine_off_tells_gauge() -> None:
    off = np.where(IDLE, 0, 3000 + 10 * TIME)
    pressure = np.where(IDLE, 0.4, np.maximum(BOOST, 1))
    recording = read({"time_s": TIME, "MAP [kPa]": pressure, "rpm": off})
    assert not recording.absolute
    assert "against its name, as it shows 0.4 kPa with the engine off" in told(recording)


def test_unevenly_sampled_acceleration_is_filtered_too() -> None:
    generator = np.random.default_rng(5)
    time = np.cumsum(generator.uniform(0.002, 0.018, 8000))
    slow, fast = 6 * np.sin(time), 6 * np.sin(2 * np.pi * 27 * time)
    recording = read({"time_s": time, "Lateral [m/s2]": slow + fast})
    assert recording.trace.lateral is not None
    assert np.sqrt(np.mean((recording.trace.lateral - slow)[100:-100] ** 2)) < 0.8


def test_a_speed_that_comes_too_rarely_decides_no_sign() -> None:
    rare = np.repeat(30 + 10 * np.sin(TIME[::50]), 50)
    recording = read({"time_s": TIME, "Longitudinal [g]": 0.3 * np.sin(TIME), "speed [km/h]": rare})
    assert "taken as positive in speeding up" in told(recording)


@pytest.mark.parametrize(("step", "unit"), [(20, "milliseconds"), (20_000, "microseconds"), (1, "seconds")])
def test_whole_steps_without_a_unit_are_guessed_and_told(step: int, unit: str) -> None:
    cells = [str(step * place) for place in range(TIME.size)]
    assert f"steps of {step} were taken for {unit}" in told(read({"time": cells, "boost_kPa": BOOST}))


def test_a_column_of_nothing_is_passed_over() -> None:
    recording = read(
        {"time_s": TIME, "MAP [kPa]": [""] * TIME.size, "Boost [kPa]": BOOST, "baro [kPa]": [""] * TIME.size}
    )
    assert recording.trace.boost.max() == pytest.approx(1e3 * BOOST.max())


def test_an_archive_in_memory_and_a_path_read_alike(tmp_path) -> None:  # type: ignore[no-untyped-def]
    from planner.driving.recording import read_recording

    text = csv({"time_s": TIME, "boost_kPa": BOOST})
    path = tmp_path / "drive.csv"
    path.write_text(text)
    assert read_recording(path, Reading()).trace.boost == pytest.approx(read(text).trace.boost)
