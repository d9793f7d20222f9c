"""Risk over fill level: shares, spells and bands, with both surfaces."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.car import Line
from planner.physics.cover import covering_volume
from planner.physics.spectrum import excitation
from planner.physics.surface import STANDARD_GRAVITY
from planner.use.exposure import exposure, pickup_point
from planner.use.flow_curve import flow_curve
from planner.use.motion import STEP, Motion, always_flowing, course_motions, motions_of
from planner.use.slosh_levels import BANDS, SHARES, slosh_levels
from tests.cars import CAR
from tests.use.test_starving import FULL, sketch, weave

G = STANDARD_GRAVITY
TANK = CAR.tank


def needed(ay: float) -> float:
    """Volume [m3] below which a steady corner bares the shared car's pickup."""
    return float(covering_volume(TANK.shape, pickup_point(TANK), 0.0, ay * G, margin=TANK.pickup_margin))


def cornering(*spans: tuple[float, float, float]) -> Motion:
    """Spans of time [s], lateral [g] and flow [m3/s]."""
    ay = np.concatenate([np.full(round(t / STEP), a * G) for t, a, _ in spans])
    flow = np.concatenate([np.full(round(t / STEP), q) for t, _, q in spans])
    return Motion(np.zeros_like(ay), ay, flow)


def test_shares_and_spells_of_a_drawn_course_are_counted_exactly() -> None:
    flow = 20e-6
    motion = cornering((4, 0, 0), (2, 0.8, flow), (1, 0.8, 0), (5, 0, flow), (1, -0.8, flow), (7, 0, 0))
    volumes = np.array([0.9, 1.1]) * needed(0.8)
    found = exposure(TANK, [motion], volumes, 30e-6, "still")
    np.testing.assert_allclose(found.uncovered, [4 / 20, 0])
    np.testing.assert_allclose(found.flowing, [3 / 20, 0])
    np.testing.assert_allclose(found.of_flow, [3 / 8, 0])
    np.testing.assert_allclose(found.longest, [3.0, 0])
    np.testing.assert_allclose(found.longest_flowing, [2.0, 0])
    assert list(found.spells) == [2, 0]
    assert list(found.bridged) == [1, 0]


def test_a_spell_is_bridged_where_it_draws_less_than_the_line_holds() -> None:
    motion = cornering((1, 0, 0), (2, 0.8, 20e-6), (1, 0, 0))
    volume = np.array([0.9 * needed(0.8)])
    for content, bridged in ((39e-6, 0), (41e-6, 1)):
        assert list(exposure(TANK, [motion], volume, content, "still").bridged) == [bridged]
    long = replace(CAR, line=Line(20.0, 0.006))
    course = [sketch((1, 0.0, 0.0, 0.0), (1, FULL, 0.8, 0.0))]
    assert slosh_levels(long, course).still.bridged.sum() > 0
    assert slosh_levels(replace(CAR, line=Line(0.0)), course).still.bridged.sum() == 0


def test_two_stretches_count_together_and_a_spell_ends_with_its_stretch() -> None:
    motion = cornering((1, 0.8, 20e-6))
    volume = np.array([0.9 * needed(0.8)])
    one = exposure(TANK, [motion], volume, 0.0, "still")
    two = exposure(TANK, [motion, motion], volume, 0.0, "still")
    assert two.longest[0] == one.longest[0] == pytest.approx(1.0)
    assert (one.spells[0], two.spells[0]) == (1, 2)
    assert two.uncovered[0] == one.uncovered[0] == 1.0


def test_a_fuller_tank_is_never_bare_for_longer_with_the_still_surface() -> None:
    found = slosh_levels(CAR, [weave(4, 40.0, 0.8)])
    for values in (found.still.uncovered, found.still.flowing, found.still.longest):
        assert np.all(np.diff(values) <= 1e-12)
    for part in (found.still, found.moving):
        assert np.all(part.flowing <= part.uncovered + 1e-12)
        assert np.all(part.flowing <= part.of_flow + 1e-12)
        assert np.all(part.longest_flowing <= part.longest + 1e-12)
        assert np.all(part.bridged <= part.spells)
        assert np.all((part.uncovered >= 0) & (part.uncovered <= 1))


def test_the_moving_surface_of_slow_driving_is_the_still_one() -> None:
    wave = 0.7 * G * np.sin(2 * np.pi * 0.01 * np.arange(0, 200, STEP))
    motion = Motion(np.zeros_like(wave), wave, np.full_like(wave, 1e-5))
    volumes = np.linspace(0.1, 0.9, 9) * TANK.capacity
    still, moving = (exposure(TANK, [motion], volumes, 0.0, surface) for surface in ("still", "moving"))
    np.testing.assert_allclose(moving.uncovered, still.uncovered, atol=0.01)


def test_bands_are_in_words_and_above_the_floor_the_lowest() -> None:
    found = slosh_levels(CAR, [weave(6, 40.0, 0.8)])
    assert set(found.words) == set(BANDS)
    above = found.volume > found.floor.volume
    assert {word for word, calm in zip(found.words, above, strict=True) if calm} == {BANDS[0]}
    for word, bare in zip(found.words, found.bare_of_flow, strict=True):
        assert word == BANDS[0 if bare < 0.01 else 1 if bare < 0.10 else 2]


def test_borderline_levels_are_those_within_ten_millimetres_of_the_steady_corner() -> None:
    course = [sketch((5, FULL, 0.8, 0.0))]
    found = slosh_levels(CAR, course, shares=tuple(np.linspace(0.01, 0.99, 99)))
    point, shape = pickup_point(TANK), TANK.shape
    low, high = (float(covering_volume(shape, point, 0.0, 0.8 * G, margin=m)) for m in (-0.01, 0.01))
    np.testing.assert_array_equal(found.borderline, (found.volume >= low) & (found.volume < high))
    assert found.borderline.any()


def test_washing_levels_are_those_in_the_band() -> None:
    found = slosh_levels(CAR, [weave(2, 10.0)])
    inside = (found.volume >= found.band[0]) & (found.volume <= found.band[1])
    np.testing.assert_array_equal(found.washes, inside)
    assert len(found.words) == len(SHARES) == found.volume.size


def test_without_any_trace_the_assumed_pattern_flows_all_the_time() -> None:
    motions, assumed = course_motions((), flow_curve(CAR), "run")
    assert assumed
    assert motions[0].flowing.all()
    assert slosh_levels(CAR, []).floor.assumed


def test_a_recording_without_pressure_can_be_taken_as_flowing() -> None:
    trace = replace(weave(2, 5.0), boost=np.zeros(250))
    curve = flow_curve(CAR)
    assert not motions_of(trace, curve)[0].flowing.any()
    motion = motions_of(always_flowing(trace, curve), curve)[0]
    np.testing.assert_allclose(motion.flow, curve.largest)


def test_levels_are_kept_by_content() -> None:
    assert slosh_levels(CAR, [weave(8, 5.0)]) is slosh_levels(CAR, [weave(8, 5.0)])


def test_the_excitation_is_the_mean_of_the_recordings_by_their_length() -> None:
    long, short = weave(1, 60.0, 0.7), weave(2, 30.0, 0.4)
    frequency, ax, ay = slosh_levels(CAR, [long, short], shares=(0.5,)).excitation
    alone = [slosh_levels(CAR, [trace], shares=(0.5,)).excitation for trace in (long, short)]
    sizes = [motions_of(trace, flow_curve(CAR))[0].ax.size for trace in (long, short)]
    for axis, found in ((1, ax), (2, ay)):
        expected = np.average([one[axis] for one in alone], axis=0, weights=sizes)
        np.testing.assert_allclose(found, expected, rtol=1e-9)
    np.testing.assert_array_equal(frequency, alone[0][0])
    (motion,) = motions_of(long, flow_curve(CAR))
    for axis, acceleration in ((1, motion.ax), (2, motion.ay)):
        np.testing.assert_allclose(alone[0][axis], excitation(acceleration, STEP)[1], rtol=1e-12)
    assert not slosh_levels(CAR, [sketch((5, 0.0, 0.0, 0.0))], shares=(0.5,)).excitation[1].any()
