"""Traces as the slosh model takes them: even steps, stretches between gaps, and the pattern that stands in."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.driving.trace import Trace
from planner.errors import OutsideModel
from planner.physics.surface import STANDARD_GRAVITY
from planner.use.flow_curve import flow_curve
from planner.use.motion import (
    ASSUMED_CORNERING,
    STEP,
    always_flowing,
    assumed_motion,
    assumption,
    course_motions,
    motions_of,
)
from tests.cars import CAR

CURVE = flow_curve(CAR)


def driven(step: float, gap: int | None = None) -> Trace:
    """Ten seconds of a steady swing, boost rising."""
    time = np.arange(0, 10 + step / 2, step)
    covered = np.ones(time.size - 1, dtype=bool)
    if gap is not None:
        covered[gap] = False
    return Trace(time, 10e3 * time, 3 * np.sin(time), np.cos(time), covered)


def test_a_stretch_is_taken_every_fiftieth_of_a_second_straight_between_samples() -> None:
    trace = driven(0.1)
    (motion,) = motions_of(trace, CURVE)
    at = motion.start + STEP * np.arange(motion.ax.size)
    assert at[-1] == pytest.approx(10.0)
    np.testing.assert_allclose(motion.ay, np.interp(at, trace.time, trace.lateral))
    np.testing.assert_allclose(motion.ax, np.interp(at, trace.time, trace.longitudinal))
    np.testing.assert_allclose(motion.flow, CURVE.flow(10e3 * at), rtol=1e-9)


def test_a_gap_parts_two_stretches_that_keep_their_own_times() -> None:
    first, second = motions_of(driven(0.1, gap=40), CURVE)
    assert (first.start, second.start) == (0.0, pytest.approx(4.1))
    assert first.ax.size == int(4.0 / STEP) + 1
    assert second.ay[0] == pytest.approx(3 * np.sin(4.1))


@pytest.mark.parametrize("per", ["run", "lap", "minute"])
def test_the_pattern_that_stands_in_holds_corners_of_both_sides_within_the_grip(per) -> None:
    motion = assumed_motion(per, 2e-5)
    ax, ay = motion.ax / STANDARD_GRAVITY, motion.ay / STANDARD_GRAVITY
    grip = ASSUMED_CORNERING[per]
    assert np.hypot(ax, ay).max() == pytest.approx(grip, rel=1e-9)
    assert (ay.max(), ay.min()) == (pytest.approx(grip), pytest.approx(-grip))
    assert (ax.max(), ax.min()) == (pytest.approx(0.4), pytest.approx(-0.3))
    assert (ax[0], ay[0], ax[-1], ay[-1]) == pytest.approx((0, 0, 0, 0), abs=1e-9)
    assert np.all(motion.flow == 2e-5)
    # Twelve corners of 2 s and two straights of 1.5 s, each reached within half a second.
    assert STEP * (ax.size - 1) == pytest.approx(12 * 2.5 + 2 * 2.0)
    for along, side in ((a, s * np.sqrt(grip**2 - a**2)) for a in (-0.3, 0.0, 0.4) for s in (1, -1)):
        held = np.isclose(ax, along, atol=1e-9) & np.isclose(ay, side, atol=1e-9)
        assert STEP * (held.sum() - 2) == pytest.approx(4.0, abs=0.041)
    assert np.abs(np.diff(ay)).max() <= 2 * grip * STEP / 0.5 + 1e-9


def test_a_recording_without_pressure_flows_at_the_cars_largest() -> None:
    flowing = always_flowing(driven(0.1), CURVE)
    np.testing.assert_allclose(CURVE.flow(flowing.boost), CURVE.largest, rtol=1e-9)


def test_what_is_known_is_taken_and_else_the_pattern_where_fluid_flows() -> None:
    known = driven(0.1)
    blind = Trace(known.time, known.boost, None, None, known.covered)
    calm = Trace(known.time, -known.boost, None, None, known.covered)
    motions, assumed = course_motions([known, blind], CURVE, "lap")
    assert (len(motions), assumed) == (1, False)
    motions, assumed = course_motions([blind, calm], CURVE, "lap")
    assert (len(motions), assumed) == (1, True)
    assert motions[0].flow[0] == CURVE.largest
    assert course_motions([calm], CURVE, "lap") == ((), True)
    assert len(course_motions([], CURVE, "lap")[0]) == 1


def test_the_assumption_says_the_accelerations_of_the_pattern() -> None:
    for per in ("run", "lap", "minute"):
        motion = assumed_motion(per, 1e-5)
        side, slowing, driving = motion.ay.max(), -motion.ax.min(), motion.ax.max()
        side, slowing, driving = (f"{a / STANDARD_GRAVITY:.3g} g" for a in (side, slowing, driving))
        assert assumption(per) == (
            f"The cornering is unknown, so {side} to both sides is assumed, with up to {slowing} of slowing and "
            f"{driving} of driving, while fluid flows all the time; a recording with accelerations would replace this."
        )


def test_an_acceleration_that_is_not_finite_is_refused_by_the_traces_name() -> None:
    trace = driven(0.1)
    broken = trace.lateral.copy()
    broken[7] = np.nan
    for name, told in (("Lap 3", "Lap 3 holds an acceleration"), ("", "a trace holds an acceleration")):
        with pytest.raises(OutsideModel, match=f"^{told} that is not finite; mark it as a gap$"):
            motions_of(replace(trace, lateral=broken, name=name), CURVE)


def test_an_acceleration_that_a_trace_lacks_is_none_and_one_that_lies_in_a_gap_is_not_looked_at() -> None:
    trace = driven(0.1, gap=40)
    (first, second) = motions_of(replace(trace, longitudinal=None), CURVE)
    assert not first.ax.any()
    assert first.ax.shape == first.ay.shape == first.flow.shape
    assert first.ay.any()
    assert second.ay.any()
    # The samples 20 and 21 bound a gap each side, so neither begins a stretch nor ends one.
    lateral, covered = trace.lateral.copy(), np.ones_like(trace.covered)
    lateral[20], covered[19:21] = np.nan, False
    parts = motions_of(replace(trace, lateral=lateral, covered=covered), CURVE)
    assert [part.start for part in parts] == pytest.approx([0.0, 2.1])
    assert [part.ax.size for part in parts] == [round(1.9 / STEP) + 1, round(7.9 / STEP) + 1]


def test_the_time_of_a_stretch_is_counted_to_its_last_whole_step() -> None:
    for end, samples in ((0.1, 6), (0.1199, 6), (0.12, 7)):
        trace = Trace(np.array([0.0, end]), np.zeros(2), np.zeros(2), np.zeros(2), np.ones(1, dtype=bool))
        assert motions_of(trace, CURVE)[0].ax.size == samples


def test_a_sample_between_two_gaps_or_after_the_last_is_no_stretch() -> None:
    trace = driven(0.1)
    covered = np.ones_like(trace.covered)
    covered[[0, 40, 41, -1]] = False
    parts = motions_of(replace(trace, covered=covered), CURVE)
    assert [part.start for part in parts] == pytest.approx([0.1, 4.2])
    assert [part.ax.size for part in parts] == [round(3.9 / STEP) + 1, round(5.7 / STEP) + 1]
