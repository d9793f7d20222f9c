"""Six recordings made by others, read as they are; they lie in the folder `shared` beside the checkout.

Manifold pressure: Weber, Automotive OBD-II Dataset, Karlsruhe Institute of Technology, DOI 10.35097/1130 (CC BY 4.0),
and R. Silva et al., carOBD, IEEE document 8891367. Acceleration: Kegelman and Gerdes, 2014 Targa 66 session, Stanford
Digital Repository. No open recording holds both: pressure comes from one car, acceleration from another.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from planner.driving.recording import Recording, read_recording
from planner.event import Reading
from planner.use.consumption import trace_use
from planner.use.flow_curve import flow_curve
from tests.cars import CAR

DATA = Path(__file__).parents[2] / ".." / "shared" / "data"
pytestmark = pytest.mark.skipif(not DATA.is_dir(), reason=f"the recordings are not here: {DATA} is absent")

G = 9.80665
BURSTS, MOTORWAY = "kit-obd-2018-02-23-bursts", "kit-obd-2017-08-07-motorway"
GAPS, STEP_BACK = "kit-obd-2017-07-11-gaps", "kit-obd-2017-08-01-time-step-back"
# Seconds that rows cover and do not cover, refresh interval [s], highest absolute pressure [kPa], air outside [kPa].
TURBO = {
    BURSTS: (862.3, 0.0, 0.9, 232.0, 101.325),
    MOTORWAY: (3914.0, 0.0, 1.3, 231.0, 99.0),
    GAPS: (1578.9, 638.0, 0.9, 242.0, 99.0),
    STEP_BACK: (1239.2, 0.0, 0.9, 232.0, 99.0),
}


def recording(name: str, reading: Reading = Reading()) -> Recording:  # noqa: B008
    return read_recording(DATA / f"{name}.csv", reading)


def held_rows(name: str, ambient: float) -> tuple[np.ndarray, np.ndarray]:
    """Boost [Pa gauge] of each row as it stands, and time [s] to the next, without steps back and gaps."""
    frame = pd.read_csv(DATA / f"{name}.csv")
    seconds = pd.to_timedelta(frame["Time"]).dt.total_seconds().to_numpy()
    steps = np.diff(seconds)
    steps[(steps < 0) | (steps > 5)] = 0.0
    gauge = 1e3 * frame.iloc[:-1, 2].bfill().to_numpy() - ambient
    return gauge, steps


@pytest.mark.parametrize("name", TURBO)
def test_duration_covered_and_not(name: str) -> None:
    covered, missing, *_ = TURBO[name]
    trace = recording(name).trace

    assert trace.recorded == pytest.approx(covered, abs=1.0)
    assert trace.duration - trace.recorded == pytest.approx(missing, abs=0.1)


@pytest.mark.parametrize("name", TURBO)
def test_refresh_interval_is_that_of_the_signal_not_of_the_rows(name: str) -> None:
    boost = next(column for column in recording(name).columns if column.meaning == "boost")

    assert boost.refresh_interval_s == pytest.approx(TURBO[name][2], rel=0.05)
    assert boost.unit == "kPa"
    assert "new every 10 rows" in boost.how


@pytest.mark.parametrize("name", TURBO)
def test_peak_boost_is_the_highest_pressure_over_the_air_outside(name: str) -> None:
    *_, highest, air = TURBO[name]
    read = recording(name)

    assert read.absolute
    assert read.ambient == pytest.approx(1e3 * air)
    assert read.trace.boost.max() == pytest.approx(1e3 * (highest - air))
    assert read.spikes_removed == 0


@pytest.mark.parametrize("name", TURBO)
def test_seconds_above_50_kpa_agree_with_rows_counted_plainly(name: str) -> None:
    """Rows hold a value until the next; straight lines between refreshes cut the corners of short bursts by a few %."""
    trace = recording(name).trace
    time = np.arange(0.0, trace.time[-1], 0.05)
    place = np.clip(np.searchsorted(trace.time, time, side="right") - 1, 0, trace.covered.size - 1)
    above = 0.05 * np.sum(trace.covered[place] & (np.interp(time, trace.time, trace.boost) > 50e3))
    gauge, steps = held_rows(name, 1e3 * TURBO[name][4])

    assert above == pytest.approx(np.sum(steps[gauge > 50e3]), rel=0.06)


@pytest.mark.parametrize("name", TURBO)
def test_litres_agree_with_rows_counted_plainly(name: str) -> None:
    curve = flow_curve(CAR)
    gauge, steps = held_rows(name, 1e3 * TURBO[name][4])
    plain = float(np.sum(curve.flow(gauge) * steps))

    assert plain > 0
    assert trace_use(curve, recording(name).trace).injected == pytest.approx(plain, rel=0.03)


def test_five_gaps_are_listed_with_their_lengths() -> None:
    gaps = recording(GAPS).gaps

    assert [round(gap.duration_s, 1) for gap in gaps] == [8.2, 5.6, 603.9, 7.2, 13.2]
    assert {gap.reason for gap in gaps} == {"no rows"}


def test_the_step_back_is_told() -> None:
    assert any("3 rows are out of order in time" in notice for notice in recording(STEP_BACK).notices)


def test_air_that_nothing_tells_is_said_and_can_be_stated() -> None:
    assert any("--ambient" in notice for notice in recording(BURSTS).notices)
    stated = recording(BURSTS, Reading(ambient=98e3))
    assert stated.trace.boost.max() == pytest.approx(134e3)
    assert not any("--ambient" in notice for notice in stated.notices)


def test_a_naturally_aspirated_car_has_no_boost_and_no_use() -> None:
    read = recording("obd-naturally-aspirated")

    assert read.absolute
    assert read.ambient == pytest.approx(100e3)
    assert read.trace.boost.min() == pytest.approx(17e3 - 100e3)
    assert read.trace.boost.max() <= 2.1e3
    assert trace_use(flow_curve(CAR), read.trace).injected == 0.0
    assert read.trace.duration == pytest.approx(855, abs=2)


def test_columns_are_not_shifted_by_the_comma_at_the_end_of_rows() -> None:
    names = {column.meaning: column.name for column in recording("obd-naturally-aspirated").columns}

    assert names["boost"] == "INTAKE_MANIFOLD_PRESSURE ()"
    assert names["barometer"] == "ABSOLUTE_BAROMETRIC_PRESSURE ()"
    assert names["time"] == "ENGINE_RUN_TINE ()"


def test_accelerations_on_a_track_are_filtered() -> None:
    """Its figures over the whole session, filtered: 1.15 g to a side, and braking near 0.95 g."""
    read = recording("track-acceleration-100hz")
    trace = read.trace
    assert not read.boost_known
    assert trace.lateral is not None
    assert trace.longitudinal is not None

    assert np.abs(trace.lateral).max() / G == pytest.approx(1.15, abs=0.005)
    assert -trace.longitudinal.min() / G == pytest.approx(0.95, abs=0.01)
    assert trace.recorded == pytest.approx(274.99, abs=0.01)
    assert all(
        "sign confirmed" in column.how and "below 8 Hz" in column.how
        for column in read.columns
        if column.meaning in ("lateral", "longitudinal")
    )
