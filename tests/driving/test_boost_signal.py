"""Boost as it is recorded: units, held values, blanks, spikes, dropouts, frozen and stale pressure, faulty sensors."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.driving.recording import Recording
from planner.driving.trace import Trace
from planner.event import Reading
from planner.use.consumption import trace_use
from planner.use.flow_curve import flow_curve
from tests.cars import CAR
from tests.driving.tables import BOOST, TIME, read, refusal, told
from tests.driving.written import PRESSURES

CURVE = flow_curve(CAR)
LONG = np.arange(0, 600, 0.1)
LONG_BOOST = -40 + 80 * (1 + np.sin(LONG / 3 + np.sin(LONG / 11)))
REVS = 2500 + 1500 * np.sin(TIME / 3)


def use(recording: Recording) -> float:
    return trace_use(CURVE, recording.trace).injected


def use_of(time: np.ndarray, boost: np.ndarray) -> float:
    """Use of boost [kPa gauge] as it is."""
    return trace_use(CURVE, Trace(time, 1e3 * boost, None, None, np.ones(time.size - 1, dtype=bool))).injected


@pytest.mark.parametrize("unit", PRESSURES)
@pytest.mark.parametrize("absolute", [False, True])
def test_units_of_pressure(unit: str, absolute: bool) -> None:
    pressure = (1e3 * BOOST + (98e3 if absolute else 0)) / PRESSURES[unit]
    name = f"{'MAP' if absolute else 'Boost'} [{unit}]"
    recording = read({"time_s": TIME, name: pressure}, Reading(ambient=98e3 if absolute else None))

    assert recording.absolute is absolute
    assert use(recording) == pytest.approx(use_of(TIME, BOOST), rel=1e-6)


def test_the_air_outside_is_stated_or_recorded_or_seen_with_the_engine_off_or_standard() -> None:
    off = TIME < 12
    columns = {
        "time_s": TIME,
        "MAP [kPa]": np.where(off, 96.0, BOOST + 96),
        "rpm": np.where(off, 0, 3000),
        "Barometer [kPa]": 97 + 0 * TIME,
    }
    readings = {"stated by the user": Reading(ambient=98e3), "by the barometer": Reading()}
    assert {read(columns, r).ambient: how for how, r in readings.items()}.keys() == {98e3, 97e3}
    del columns["Barometer [kPa]"]
    assert read(columns).ambient == pytest.approx(96e3)
    del columns["rpm"]
    recording = read(columns)
    assert recording.ambient == 101325.0
    assert '--ambient "98 kPa"' in told(recording)


def test_air_that_changes_on_a_climb_is_followed() -> None:
    climb = 98 - 12 * LONG / LONG[-1]
    recording = read({"time_s": LONG, "MAP [kPa]": LONG_BOOST + climb, "barometric pressure [kPa]": climb})
    assert recording.trace.boost == pytest.approx(1e3 * LONG_BOOST, abs=1)


def test_a_barometer_that_reads_nothing_is_not_used() -> None:
    recording = read({"time_s": TIME, "MAP [kPa]": BOOST + 101.325, "barometric pressure [kPa]": 0 * TIME})
    assert recording.ambient == 101325.0


@given(st.integers(3, 12), st.integers(0, 1000))
def test_held_values_are_integrated_from_refresh_to_refresh(rows: int, seed: int) -> None:
    """An adapter that asks ten signals in turn, at steps that wander a little."""
    generator = np.random.default_rng(seed)
    time = np.cumsum(generator.uniform(0.08, 0.1, 200 * rows))
    boost = 50 + 70 * np.sin(time / 9 + 1)
    fresh = np.arange(0, time.size, rows)
    recording = read({"time_s": time, "boost_kPa": np.repeat(boost[fresh], rows)})

    report = next(column for column in recording.columns if column.meaning == "boost")
    assert report.refresh_interval_s == pytest.approx(0.09 * rows, rel=0.05)
    assert f"new every {rows} rows" in report.how
    assert use(recording) == pytest.approx(use_of(time[fresh], boost[fresh]), rel=0.01)


@pytest.mark.parametrize("step", [0.01, 0.1, 1.0])
def test_a_boost_that_is_on_or_off_is_not_held(step: float) -> None:
    time = np.arange(0, 300, step)
    boost = np.where(time % 20 < 10, 110.0, -30.0)
    recording = read({"time_s": time, "boost_kPa": boost})
    assert recording.trace.boost == pytest.approx(1e3 * boost)
    assert use(recording) == pytest.approx(use_of(time, boost), rel=1e-9)


def test_what_a_gap_left_stale_is_not_counted() -> None:
    """Behind a gap an adapter repeats the value from before it, until the signal's turn comes."""
    time = 0.1 * np.arange(4000)
    fresh = 60 + 50 * np.sin(time / 9)
    held = np.repeat(fresh[::10], 10)
    held[2000:2007] = held[1999]
    time = np.where(np.arange(4000) < 2000, time, time + 300)
    recording = read({"time_s": time, "boost_kPa": held})

    assert len(recording.gaps) == 1
    behind = recording.trace.boost[recording.trace.time >= time[2000] - 1e-6]
    assert behind[0] == pytest.approx(1e3 * held[2007], abs=1)


def test_values_on_some_rows_only_are_joined_by_straight_lines() -> None:
    cells = [f"{b:.6f}" if i % 5 == 2 else "" for i, b in enumerate(BOOST)]
    recording = read({"time_s": TIME, "boost_kPa": cells, "rpm": REVS})

    assert recording.gaps == ()
    assert use(recording) == pytest.approx(use_of(TIME[2::5], BOOST[2::5]), rel=1e-6)


def test_a_stretch_without_values_is_a_gap() -> None:
    cells = [f"{b:.6f}" for b in BOOST]
    cells[:60] = [""] * 60
    cells[300:400] = ["---"] * 100
    recording = read({"time_s": TIME, "boost_kPa": cells, "rpm": REVS})

    assert [(round(gap.start_s, 1), round(gap.duration_s, 1)) for gap in recording.gaps] == [(0, 6), (29.9, 10.1)]
    assert {gap.reason for gap in recording.gaps} == {"no boost value in the rows"}
    assert recording.trace.recorded == pytest.approx(TIME[-1] - 16.1)


@given(
    st.lists(st.integers(5, 880), min_size=1, max_size=6, unique=True), st.sampled_from([-300.0, 120.0, 400.0, 6553.5])
)
def test_single_spikes_are_removed_counted_and_told(places: list[int], height: float) -> None:
    places = [p for p in sorted(places) if not any(0 < abs(p - q) < 4 for q in places)] or [50]
    boost = BOOST.copy()
    boost[places] += height
    recording = read({"time_s": TIME, "boost_kPa": boost})

    assert recording.spikes_removed == len(places)
    assert "no manifold" in told(recording)
    assert use(recording) == pytest.approx(use_of(TIME, BOOST), rel=2e-3)
    assert recording.gaps == ()


@pytest.mark.parametrize("step", [0.01, 0.05, 0.1, 1.0])
def test_what_a_manifold_can_do_is_kept(step: float) -> None:
    """Spool of 300 kPa a second, the throttle shut in 0.05 s: no spike at any sampling rate."""
    time = np.arange(0, 60, step)
    phase = time % 6
    boost = np.interp(phase, [0, 0.5, 3, 3.05, 6], [-50, 100, 100, -50, -50])
    recording = read({"time_s": time, "boost_kPa": boost})
    assert recording.spikes_removed == 0
    assert use(recording) == pytest.approx(use_of(time, boost), rel=1e-6)


def test_a_broken_wire_reads_zero_and_that_is_no_vacuum() -> None:
    pressure = BOOST + 101.325
    pressure[400:420] = 0.0
    recording = read({"time_s": TIME, "MAP [kPa]": pressure})

    assert recording.spikes_removed == 20
    assert recording.trace.boost.min() == pytest.approx(1e3 * BOOST.min(), abs=10)
    assert [round(gap.duration_s, 1) for gap in recording.gaps] == [2.1]


def test_a_broken_wire_is_found_on_a_mountain_too() -> None:
    pressure = BOOST + 75
    pressure[400:420] = 0.0
    recording = read({"time_s": TIME, "MAP [kPa]": pressure}, Reading(ambient=75e3))
    assert recording.spikes_removed == 20
    assert "such as -75 kPa gauge" in told(recording)


def test_a_code_for_no_value_is_no_pressure() -> None:
    pressure = BOOST + 101.325
    pressure[400:430] = 6553.5
    recording = read({"time_s": TIME, "MAP [kPa]": pressure})

    assert recording.absolute
    assert recording.spikes_removed == 30
    assert recording.trace.boost.max() == pytest.approx(1e3 * BOOST.max(), abs=10)
    assert '30 samples of "MAP [kPa]" that no manifold holds were left out (such as 6554 kPa)' in told(recording)


def test_a_sensor_that_is_mostly_beyond_a_manifold_is_refused() -> None:
    said = refusal({"time_s": TIME, "boost_kPa": np.where(np.arange(TIME.size) % 2, BOOST, -200)})
    assert "no manifold" in said
    assert "--column boost=NAME" in said


def test_a_pressure_frozen_while_boosting_carries_no_use() -> None:
    boost = LONG_BOOST.copy()
    boost[2000:4000] = 110.0
    recording = read({"time_s": LONG, "boost_kPa": boost})

    (gap,) = recording.gaps
    assert gap.reason == "the pressure is frozen"
    assert gap.duration_s == pytest.approx(200, abs=0.2)
    assert "frozen at 110 kPa gauge for 200 s" in told(recording)
    moving = np.r_[0:2001, 3999 : LONG.size]
    assert (
        use(recording)
        < 1.02 * use_of(LONG[moving], boost[moving]) - use_of(LONG[[2000, 3999]], boost[[2000, 3999]]) + 1e-9
    )


def test_a_long_idle_is_not_frozen() -> None:
    boost = LONG_BOOST.copy()
    boost[2000:4000] = -65.0
    assert read({"time_s": LONG, "boost_kPa": boost}).gaps == ()


def test_stale_boost_with_the_engine_off_is_none() -> None:
    running = TIME < 60
    last = BOOST[TIME < 60][-1]
    assert last > 5
    recording = read({"time_s": TIME, "boost_kPa": np.where(running, BOOST, last), "rpm": np.where(running, REVS, 0)})

    assert "with the engine off; that is stale" in told(recording)
    assert use(recording) == pytest.approx(use_of(TIME[running], BOOST[running]), rel=0.01)


def test_a_pressure_that_never_moves_while_the_engine_does_is_refused() -> None:
    columns = {"time_s": TIME, "MAP [kPa]": 0 * TIME + 150, "rpm": REVS}
    said = refusal(columns)
    assert "150 kPa throughout" in said
    assert "faulty" in said
    insisted = read(columns, Reading(columns=(("boost", "MAP"),)))
    assert "does not stand still" in told(insisted)
    assert insisted.trace.boost.max() == pytest.approx(150e3 - 101325)


def test_a_pressure_that_never_moves_and_nothing_else_to_judge_by_is_told() -> None:
    recording = read({"time_s": TIME, "boost_kPa": 0 * TIME + 80})
    assert "80 kPa throughout" in told(recording)
    short = read({"time_s": 200 + TIME[:150], "boost_kPa": 0 * TIME[:150] + 80})
    assert "throughout" not in told(short)
    assert use(recording) == pytest.approx(use_of(TIME, 0 * TIME + 80), rel=1e-6)


def test_a_boost_of_zero_throughout_is_a_car_that_does_not_boost() -> None:
    recording = read({"time_s": TIME, "Boost [psi]": 0 * TIME, "rpm": REVS})
    assert use(recording) == 0.0
    assert "0 psi throughout" in told(recording)


@pytest.mark.parametrize("level", [99.0, 250.0])
def test_a_pressure_that_hardly_moves_while_the_engine_does_is_doubted(level: float) -> None:
    columns = {"time_s": TIME, "MAP [kPa]": level + np.sin(TIME)}
    assert "hardly moves" in told(read({**columns, "rpm": REVS}))
    assert "hardly moves" not in told(read(columns))


def test_a_pressure_that_jumps_all_the_time_is_refused_unless_it_was_chosen() -> None:
    pressure = np.random.default_rng(2).integers(20, 256, TIME.size)
    columns = {"time_s": TIME, "MAP [kPa]": pressure, "rpm": REVS}
    assert "samples jump as no manifold does" in refusal(columns)
    assert "its sensor or wire is faulty" in told(read(columns, Reading(columns=(("boost", "MAP"),))))


def test_the_ceiling_of_one_byte_is_told() -> None:
    clipped = np.minimum(BOOST + 180, 255)
    assert "255 kPa" in told(read({"time_s": TIME, "MAP [kPa]": clipped}))
    assert "one byte" not in told(read({"time_s": TIME, "MAP [kPa]": BOOST + 180}))


def test_another_signal_under_a_manifold_s_name_is_refused() -> None:
    said = refusal({"time_s": TIME, "MAP [kPa]": 20 + 5 * np.sin(TIME / 30), "rpm": REVS})
    assert "too low for an absolute pressure" in said
    said = refusal({"time_s": TIME, "Boost [kPa]": 900 + 100 * np.sin(TIME)})
    assert "no manifold reaches that" in said
    assert "--unit boost=" in said


def test_neither_boost_nor_vacuum_asks_for_the_unit() -> None:
    columns = {"time_s": TIME, "Boost [kPa]": BOOST / 100}
    said = refusal(columns)
    assert "neither boost nor vacuum" in said
    assert "--unit boost=bar or --unit boost=kPa" in said
    insisted = read(columns, Reading(units=(("boost", "kPa"),)))
    assert insisted.trace.boost.max() == pytest.approx(10 * BOOST.max(), rel=1e-6)


@pytest.mark.parametrize(
    ("unit", "found"), [("kPa", "kPa"), ("psi", "psi"), ("bar", "bar"), ("hPa", "mbar"), ("atm", "bar")]
)
def test_a_unit_that_is_not_given_is_found_by_size_and_told(unit: str, found: str) -> None:
    recording = read({"time_s": TIME, "MAP": (1e3 * BOOST + 98e3) / PRESSURES[unit]})
    assert f"by its size it was read in {found}" in told(recording)
    assert f"--unit boost={found}" in told(recording)


def test_a_unit_that_size_leaves_open_is_asked_for() -> None:
    """20 to 100 may be kPa without boost, or inches of mercury with much."""
    said = refusal({"time_s": TIME, "MAP": 20 + (BOOST + 40) / 2})
    assert "say it with --unit boost=kPa (or psi, bar, mbar, inHg)" in said


def test_a_naturally_aspirated_car_uses_nothing() -> None:
    vacuum = -65 * (1 + np.sin(TIME / 4)) / 2
    for columns in ({"MAP [kPa]": vacuum + 98, "barometric pressure [kPa]": 98 + 0 * TIME}, {"MAP [kPa]": vacuum + 98}):
        recording = read({"time_s": TIME, **columns})
        assert recording.absolute
        assert use(recording) == 0.0


def test_what_every_column_used_was_and_why() -> None:
    recording = read({"Time [s]": TIME, "MAP [psi]": (BOOST + 98) / 6.894757, "rpm": REVS, "Baro [kPa]": 98 + 0 * TIME})
    found = {column.meaning: column for column in recording.columns}

    assert set(found) == {"time", "boost", "rpm", "barometer"}
    assert (found["boost"].name, found["boost"].unit) == ("MAP [psi]", "psi")
    assert "absolute" in found["boost"].how
    assert "(sure)" in found["boost"].how or "(likely)" in found["boost"].how
    assert found["time"].refresh_interval_s == pytest.approx(0.1)
    assert found["boost"].refresh_interval_s == pytest.approx(0.1)
