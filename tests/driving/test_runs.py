"""A recording cut into runs: laps by a column, driving between stops, stated times; no use is lost or made."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.driving.course import course_traces
from planner.driving.recording import read_recording
from planner.driving.runs import PARTIAL, part_of, runs_of
from planner.driving.trace import Trace
from planner.errors import BadInput
from planner.event import Course, Reading
from planner.use.consumption import trace_use
from planner.use.flow_curve import flow_curve
from tests.cars import CAR
from tests.driving.tables import BOOST, TIME, csv, read, refusal

CURVE = flow_curve(CAR)
SPEED = np.where(TIME % 30 > 20, 0.0, 80.0)


def runs(columns: dict[str, object], reading: Reading) -> tuple[Trace, ...]:
    recording = read({"time_s": TIME, "boost_kPa": BOOST, **columns}, reading)  # type: ignore[dict-item]
    return runs_of(recording, reading)


def use(trace: Trace) -> float:
    return trace_use(CURVE, trace).injected


def refused(columns: dict[str, object], reading: Reading) -> str:
    with pytest.raises(BadInput) as reason:
        runs(columns, reading)
    return str(reason.value)


def test_a_recording_that_is_not_split_is_one_run_and_the_same_trace() -> None:
    recording = read({"time_s": TIME, "boost_kPa": BOOST})
    assert runs_of(recording) == (recording.trace,)


@given(st.lists(st.floats(0.5, 89.4), min_size=1, max_size=6, unique=True))
def test_windows_side_by_side_use_as_much_as_the_whole(cuts: list[float]) -> None:
    recording = read({"time_s": TIME, "boost_kPa": BOOST})
    bounds = [0.0, *sorted(cuts), float(TIME[-1])]
    parts = runs_of(recording, Reading(split_windows=tuple(pairwise(bounds))))

    assert [part.duration for part in parts] == pytest.approx(np.diff(bounds))
    assert sum(map(use, parts)) == pytest.approx(use(recording.trace), rel=1e-9)


def test_windows_are_named_by_their_times() -> None:
    (part,) = runs({}, Reading(split_windows=((12.0, 30.5),)))
    assert part.name.endswith("12 to 30.5 s")


@pytest.mark.parametrize("window", [(5.0, 5.0), (10.0, 3.0), (-1.0, 5.0), (80.0, 91.0)])
def test_a_window_outside_the_recording_is_refused_with_its_bounds(window: tuple[float, float]) -> None:
    said = refused({}, Reading(split_windows=(window,)))
    assert "the recording runs from 0.0 to 89.9 s" in said


@pytest.mark.parametrize("name", ["Lap", "lap number", "Runde", "Tour"])
def test_each_value_of_a_lap_column_is_a_run(name: str) -> None:
    lap = np.floor(TIME / 30) + 1
    parts = runs({name: lap}, Reading(split_column=name))

    assert [part.duration for part in parts] == pytest.approx([30, 30, 29.9])
    assert [part.name.split()[-1] for part in parts] == ["1", "2", "3"]
    assert sum(map(use, parts)) == pytest.approx(use(read({"time_s": TIME, "boost_kPa": BOOST}).trace), rel=1e-9)


def test_lap_is_enough_of_a_name() -> None:
    assert len(runs({"Lap number": np.floor(TIME / 30)}, Reading(split_column="lap"))) == 3


def test_partial_laps_at_the_ends_are_left_out_and_those_within_are_kept() -> None:
    edges = np.array([4.0, 24.0, 44.0, 64.0, 84.0])
    lap = np.searchsorted(edges, TIME, side="right")
    parts = runs({"Lap": lap}, Reading(split_column="Lap"))
    assert [part.duration for part in parts] == pytest.approx([20, 20, 20, 20])

    nearly = np.searchsorted(edges + (PARTIAL * 20 - 4 + 0.5), TIME, side="right")
    assert len(runs({"Lap": nearly}, Reading(split_column="Lap"))) == 5


def test_laps_may_have_names_and_rows_without_a_lap_are_no_run() -> None:
    names = ["", "out", "hot", ""]
    lap = [names[int(t // 22.5)] for t in TIME]
    parts = runs({"Lap": lap}, Reading(split_column="Lap"))
    assert [part.name.split()[-1] for part in parts] == ["out", "hot"]


def test_the_driving_between_long_stops_is_a_run_each() -> None:
    columns = {"speed [km/h]": SPEED}
    assert [round(p.duration) for p in runs(columns, Reading(split_stops=5.0))] == [20, 20, 20]
    assert len(runs(columns, Reading(split_stops=15.0))) == 1
    creeping = np.where(SPEED > 0, SPEED, 2.0)
    assert len(runs({"speed [km/h]": creeping}, Reading(split_stops=5.0))) == 3


@pytest.mark.parametrize(
    ("columns", "reading", "sentence"),
    [
        ({}, Reading(split_stops=5.0), "stops need a speed; say --column speed=NAME"),
        ({}, Reading(split_column="Lap"), 'split column = Lap: no such column; the file has: "time_s", "boost_kPa"'),
        ({"speed [km/h]": 0 * TIME}, Reading(split_stops=5.0), "the car never drives"),
        ({"Lap": [""] * TIME.size}, Reading(split_column="Lap"), "it holds no value; choose another column"),
    ],
)
def test_a_split_that_cannot_be_is_refused(columns: dict[str, object], reading: Reading, sentence: str) -> None:
    assert sentence in refused(columns, reading)


def test_a_split_column_that_was_not_read_is_told() -> None:
    recording = read({"time_s": TIME, "boost_kPa": BOOST, "Lap": np.floor(TIME / 30)})
    with pytest.raises(BadInput, match="read it again"):
        runs_of(recording, Reading(split_column="Lap"))


def test_a_part_keeps_gaps_and_accelerations() -> None:
    time = np.arange(10.0)
    covered = np.arange(9) != 4
    trace = Trace(time, 1e3 * time, time / 10, -time, covered, "drive")
    part = part_of(trace, (2.5, 7.25, "x"))

    assert part.time.tolist() == [2.5, 3, 4, 5, 6, 7, 7.25]
    assert part.boost == pytest.approx(1e3 * part.time)
    assert part.lateral == pytest.approx(part.time / 10)
    assert part.longitudinal == pytest.approx(-part.time)
    assert part.covered.tolist() == [True, True, False, True, True, True]
    assert part.recorded == pytest.approx(3.75)


def test_laps_of_two_recordings_give_a_course_its_runs(tmp_path) -> None:  # type: ignore[no-untyped-def]
    logs = []
    for number, factor in enumerate((1.0, 1.1)):
        path = tmp_path / f"{number}.csv"
        path.write_text(csv({"time_s": TIME, "boost_kPa": factor * BOOST, "Lap": np.floor(TIME / 30)}))
        logs.append(path)
    course = Course("ring", "lap", logs=tuple(logs), reading=Reading(split_column="Lap"))
    traces = course_traces(course)

    assert len(traces) == 6
    whole = read_recording(logs[0], course.reading)
    assert sum(map(use, traces[:3])) == pytest.approx(use(whole.trace), rel=1e-9)
    assert use(traces[3]) > use(traces[0])


def test_a_phone_s_log_without_pressure_is_refused_where_a_course_needs_use(tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "phone.csv"
    path.write_text(csv({"time_s": TIME, "speed [km/h]": SPEED + TIME, "heading [deg]": TIME}))
    with pytest.raises(BadInput, match="holds no pressure, so no use can be worked out"):
        course_traces(Course("ring", "lap", logs=(path,)))
    assert "none tells of cornering" in refusal({"time_s": TIME, "latitude": TIME})
