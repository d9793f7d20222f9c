"""Use over traces and courses: closed forms, invariants, gaps, and the units of a course."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from planner.car import Car, Controller, FlowTest, Nozzle, Spread
from planner.driving.course import course_traces, trace_of_pieces
from planner.driving.trace import Trace
from planner.errors import OutsideModel
from planner.event import Course, Piece
from planner.use.consumption import course_use, trace_use
from planner.use.flow_curve import flow_curve
from tests.cars import CAR, ML_MIN, PSI, SWITCHED, cars


def trace(time: list[float], boost: list[float], covered: list[bool] | None = None) -> Trace:
    """A trace without accelerations."""
    seen = np.ones(len(time) - 1, bool) if covered is None else np.array(covered)
    return Trace(np.array(time, float), np.array(boost, float), None, None, seen)


def test_constant_boost_uses_flow_times_time() -> None:
    curve = flow_curve(CAR)
    use = trace_use(curve, trace([0, 7, 60], [80e3, 80e3, 80e3]))
    assert use.injected == pytest.approx(60 * float(curve.flow(np.array([80e3]))[0]), rel=1e-12)
    assert (use.flowing, use.recorded, use.siphoned) == (60.0, 60.0, 0.0)


@given(cars(), st.floats(-90e3, 150e3), st.floats(1e3, 200e3))
def test_a_linear_ramp_uses_the_mean_of_flow_over_boost(car: Car, low: float, rise: float) -> None:
    # Closed form: time times the integral of flow over boost, by scipy.integrate.quad, over the rise.
    curve = flow_curve(car)
    high = low + rise
    breaks = [b for b in curve.boost if low < b < high][:: max(1, int(rise / 400 / 40))]
    expected = 0.0
    for a, b in zip([low, *breaks], [*breaks, high], strict=True):
        expected += quad(lambda x: float(curve.flow(np.array([x]))[0]), a, b, limit=200)[0]
    use = trace_use(curve, trace([0, 9], [low, high]))
    assert use.injected == pytest.approx(9 * expected / rise, rel=2e-3, abs=1e-12)


def test_a_ramp_across_a_switch_counts_only_the_time_above_it() -> None:
    plain = replace(SWITCHED, nozzles=(Nozzle(250 * ML_MIN, 100 * PSI),))
    use = trace_use(flow_curve(plain), trace([0, 10], [0.0, 10 * PSI]))
    assert use.flowing == pytest.approx(5.0, rel=1e-6)


@given(cars(), st.lists(st.integers(-80_000, 220_000), min_size=2, max_size=12), st.integers(2, 7))
def test_more_samples_on_a_straight_recording_change_nothing(car: Car, boosts: list[int], parts: int) -> None:
    coarse = np.arange(len(boosts), dtype=float)
    fine = np.linspace(0, coarse[-1], (len(boosts) - 1) * parts + 1)
    curve = flow_curve(car)
    few = trace_use(curve, trace(list(coarse), boosts))
    many = trace_use(curve, trace(list(fine), list(np.interp(fine, coarse, boosts))))
    assert many.injected == pytest.approx(few.injected, rel=1e-6, abs=1e-11)
    assert many.siphoned == pytest.approx(few.siphoned, rel=1e-6, abs=1e-11)


def test_a_gap_carries_no_use_and_is_told_in_the_times() -> None:
    use = trace_use(flow_curve(CAR), trace([0, 10, 70, 80], [80e3] * 4, [True, False, True]))
    whole = trace_use(flow_curve(CAR), trace([0, 20], [80e3] * 2))
    assert use.injected == pytest.approx(whole.injected, rel=1e-12)
    assert (use.duration, use.recorded) == (80.0, 20.0)


def test_boost_beyond_the_model_is_refused_with_the_likely_reason() -> None:
    with pytest.raises(OutsideModel, match="check the column's unit and whether it is absolute"):
        trace_use(flow_curve(CAR), trace([0, 1], [0.0, 700e3]))


@given(st.lists(st.tuples(st.floats(0.1, 20), st.floats(-60e3, 200e3)), min_size=1, max_size=8))
def test_half_the_time_at_every_boost_is_half_the_use(parts: list[tuple[float, float]]) -> None:
    curve = flow_curve(CAR)
    whole = trace_of_pieces([Piece(t, b) for t, b in parts], 0.0)
    half = trace_of_pieces([Piece(t / 2, b) for t, b in parts], 0.0)
    assert trace_use(curve, half).injected == pytest.approx(trace_use(curve, whole).injected / 2, rel=1e-9, abs=1e-15)


@given(st.permutations([(3.0, 20e3), (4.0, 60e3), (5.0, 110e3), (2.0, -40e3)]))
def test_the_order_of_pieces_without_spool_changes_nothing(parts: list[tuple[float, float]]) -> None:
    curve = flow_curve(CAR)
    shuffled = trace_of_pieces([Piece(t, b) for t, b in parts], 0.0)
    ordered = trace_of_pieces([Piece(t, b) for t, b in sorted(parts)], 0.0)
    assert trace_use(curve, shuffled).injected == pytest.approx(trace_use(curve, ordered).injected, rel=1e-12)


def test_spool_raises_boost_as_a_first_order_lag_and_drops_it_at_once() -> None:
    sketched = trace_of_pieces([Piece(4.0, 100e3), Piece(2.0, 20e3)], 0.5)
    rising = sketched.time <= 4.0
    inside = rising & (sketched.boost > 20e3)
    lag = 100e3 * (1 - np.exp(-sketched.time[inside] / 0.5))
    np.testing.assert_allclose(sketched.boost[inside], lag, atol=40.0)
    assert np.all(sketched.boost[sketched.time > 4.0] == 20e3)


def test_spool_only_ever_takes_use_away() -> None:
    curve, pieces = flow_curve(CAR), [Piece(4.0, 100e3), Piece(2.0, 0.0), Piece(4.0, 100e3)]
    uses = [trace_use(curve, trace_of_pieces(pieces, spool)).injected for spool in (0.0, 0.3, 0.9)]
    assert uses[0] > uses[1] > uses[2] > 0


def test_siphoning_is_counted_apart_and_a_shutoff_valve_stops_it() -> None:
    after = replace(CAR, nozzles=(Nozzle(250 * ML_MIN, 100 * PSI, place="after throttle"),))
    open_line = replace(after, line=replace(CAR.line, opening_pressure=0.0))
    idle = trace([0, 60], [-60e3, -60e3])
    use = trace_use(flow_curve(open_line), idle)
    assert use.injected == 0.0
    assert use.siphoned > 0.0
    closed = replace(open_line, line=replace(open_line.line, shutoff_valve=True))
    assert trace_use(flow_curve(closed), idle).siphoned == 0.0


def test_double_nozzles_on_a_pump_that_never_tires_use_double() -> None:
    strong = replace(CAR, pump=replace(CAR.pump, pressure=(0.0, 10e5, 10.001e5), flow=(1.0, 1.0, 0.0)))
    steady = replace(strong, controller=Controller("switch", start=1e3), line=replace(CAR.line, length=0.0))
    double = replace(steady, nozzles=(replace(CAR.nozzles[0], count=4),))
    drive = trace([0, 30], [90e3, 90e3])
    one, two = (trace_use(flow_curve(car), drive).injected for car in (steady, double))
    assert two == pytest.approx(2 * one, rel=1e-6)


def test_a_course_of_laps_means_its_recordings_and_one_of_minutes_weighs_them_by_time() -> None:
    curve = flow_curve(CAR)
    logs = [trace([0, 60], [80e3, 80e3]), trace([0, 120], [50e3, 50e3])]
    uses = [trace_use(curve, log).injected for log in logs]
    assert course_use(curve, logs, "lap", 0.08).injected == pytest.approx(sum(uses) / 2, rel=1e-12)
    assert course_use(curve, logs, "minute", 0.08).injected == pytest.approx(sum(uses) / 3, rel=1e-12)


def test_a_course_means_what_is_siphoned_too_and_a_stretch_without_time_counts_for_nothing() -> None:
    car = replace(CAR, nozzles=(Nozzle(250 * ML_MIN, 100 * PSI, place="after throttle"),))
    curve = flow_curve(car)
    long, short = trace([0, 120], [-60e3, -60e3]), trace([0, 60], [80e3, 80e3])
    nothing = trace([0, 50], [80e3, 80e3], [False])
    both = course_use(curve, [long, short, nothing], "minute", 0.08)
    assert both.siphoned == pytest.approx(trace_use(curve, long).siphoned / 3)
    assert both.injected == pytest.approx(trace_use(curve, short).injected / 3)
    # Weighted by hand: two minutes of one use, one of another; 9/5 values' worth of freedom.
    each = np.array([trace_use(curve, long).siphoned / 2, trace_use(curve, short).injected])
    mean = (2 * each[0] + each[1]) / 3
    variance = (2 * (each[0] - mean) ** 2 + (each[1] - mean) ** 2) / (3 - 5 / 3)
    expected = ((4 * 0.08**2 + 0.8 * variance / mean**2) / 4.8) ** 0.5
    assert both.variation == pytest.approx(expected, rel=1e-9)
    none = course_use(curve, [nothing], "minute", 0.08)
    assert (none.injected, none.siphoned, none.variation) == (0.0, 0.0, 0.08)


def test_a_minute_of_times_at_boost_is_driven_without_boost_for_the_rest() -> None:
    per_minute = Course("c", "minute", time_at_boost=((80e3, 15.0),))
    per_lap = Course("c", "lap", time_at_boost=((80e3, 15.0),))
    curve = flow_curve(CAR)
    minute = course_use(curve, course_traces(per_minute), "minute", 0.08)
    lap = course_use(curve, course_traces(per_lap), "lap", 0.08)
    assert minute.injected == pytest.approx(lap.injected, rel=1e-12)


def test_the_largest_flow_between_samples_is_found() -> None:
    curve = flow_curve(CAR)
    use = trace_use(curve, trace([0, 1], [0.0, 200e3]))
    assert use.largest_flow == curve.largest
    assert use.largest_flow > float(curve.flow(np.array([200e3]))[0])


def test_the_largest_flow_is_that_of_the_boosts_that_were_driven_and_of_no_other() -> None:
    curve = flow_curve(CAR)

    def at(boost: float) -> float:
        return float(curve.flow(np.array([boost]))[0])

    low = trace_use(curve, trace([0, 1, 2], [50e3, 60e3, 40e3]))
    assert low.largest_flow == max(at(50e3), at(60e3), at(40e3)) < curve.largest
    assert trace_use(curve, trace([0, 1, 2], [-50e3, -60e3, -40e3])).largest_flow == 0.0
    unseen = trace_use(curve, trace([0, 1, 2, 3], [50e3, 50e3, 200e3, 200e3], [True, False, False]))
    assert unseen.largest_flow == at(50e3)
    ends = trace_use(curve, trace([0, 1, 2, 3], [55e3, 50e3, 45e3, 60e3], [False, False, True]))
    assert ends.largest_flow == max(at(45e3), at(60e3))
    first = trace_use(curve, trace([0, 1, 2], [60e3, 50e3, 70e3], [True, False]))
    assert first.largest_flow == max(at(60e3), at(50e3))
    assert trace_use(curve, trace([0, 1, 2], [60e3, 45e3, 50e3], [False, True])).largest_flow == at(50e3)
    # The peak was crossed where nothing is known; above it the flow falls, and is driven there alone.
    beyond = trace_use(curve, trace([0, 1, 2], [50e3, 200e3, 200e3], [False, True]))
    assert beyond.largest_flow == at(200e3) < curve.largest


def test_a_long_recording_is_the_sum_of_its_parts() -> None:
    random = np.random.default_rng(4)
    boost = np.clip(np.cumsum(random.normal(0, 8e3, 40_000)), -60e3, 150e3)
    time = np.cumsum(random.uniform(0.005, 0.02, boost.size))
    whole = Trace(time, boost, None, None, random.random(boost.size - 1) > 0.01)
    curve = flow_curve(CAR)
    cuts = [0, 7_001, 19_999, boost.size - 1]
    parts = [
        trace_use(curve, Trace(time[a : b + 1], boost[a : b + 1], None, None, whole.covered[a:b]))
        for a, b in itertools.pairwise(cuts)
    ]
    use = trace_use(curve, whole)
    for name in ("injected", "siphoned", "duration", "recorded", "flowing"):
        assert getattr(use, name) == pytest.approx(sum(getattr(part, name) for part in parts), rel=1e-9)
    assert use.largest_flow == max(part.largest_flow for part in parts)


def test_cars_that_differ_in_what_no_flow_depends_on_share_a_curve() -> None:
    other = replace(
        CAR,
        name="other",
        tank=replace(CAR.tank, fill_limit=0.5),
        spread=Spread(0.3, 0.2),
        flow_test=FlowTest(1e-3, 60.0),
    )
    assert flow_curve(other) is flow_curve(CAR)
    assert flow_curve(replace(CAR, line=replace(CAR.line, length=9.0))) is not flow_curve(CAR)
