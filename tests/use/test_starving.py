"""The starving floor: from the course's accelerations while fluid flows, never below the level-ground figure."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.car import Car, Pickup
from planner.driving.course import trace_of_pieces
from planner.driving.trace import Trace
from planner.errors import OutsideModel
from planner.event import Piece
from planner.physics.surface import STANDARD_GRAVITY, floor_and_lid, volume_to_cover
from planner.physics.tank import TankShape
from planner.use.exposure import exposure, pickup_point
from planner.use.flow_curve import flow_curve
from planner.use.motion import ASSUMED_CORNERING, assumed_motion, motions_of
from planner.use.starving import starving_floor
from tests.cars import CAR, PSI
from tests.tanks import shapes

G = STANDARD_GRAVITY
FULL = 14 * PSI


def sketch(*pieces: tuple[float, float, float, float]) -> Trace:
    """A trace of pieces: time [s], boost [Pa], lateral and longitudinal [g]."""
    return trace_of_pieces([Piece(t, b, lateral=y * G, longitudinal=x * G) for t, b, y, x in pieces], 0.0)


def weave(seed: int = 1, seconds: float = 60.0, level: float = 0.5) -> Trace:
    """A made-up recording: smooth accelerations of about `level` [g], boost now and then."""
    random = np.random.default_rng(seed)
    time = np.arange(0, seconds, 0.02)
    waves = [
        sum(np.sin(2 * np.pi * f * time + random.uniform(0, 6)) for f in random.uniform(0.05, 0.9, 5)) for _ in range(3)
    ]
    boost = np.clip(40e3 * waves[2], -60e3, 120e3)
    shape = np.ones(time.size - 1, dtype=bool)
    return Trace(time, boost, level * G * waves[0] / 2, level * G * waves[1] / 2, shape)


def test_zero_accelerations_give_the_level_ground_figure() -> None:
    floor = starving_floor(CAR, [sketch((10, FULL, 0.0, 0.0))])
    assert floor.volume == pytest.approx(float(CAR.tank.shape.volume_from_level(CAR.tank.pickup.height)))
    assert not floor.assumed
    assert "level-ground" in floor.reason


def test_acceleration_without_flow_costs_nothing() -> None:
    floor = starving_floor(CAR, [sketch((4, FULL, 0.0, 0.0), (1, 0.0, 0.0, 0.0), (4, 0.0, 1.2, -1.0))])
    assert floor.volume == pytest.approx(floor.level)
    none = starving_floor(CAR, [sketch((4, 0.0, 1.2, -1.0))])
    assert none.volume == none.level
    assert none.reason == "No fluid flows on this course."


def test_a_steady_corner_asks_for_the_volume_whose_still_surface_covers_the_pickup_and_its_margin() -> None:
    floor = starving_floor(CAR, [sketch((5, FULL, 0.8, 0.3))])
    expected = float(volume_to_cover(CAR.tank.shape, pickup_point(CAR.tank), 0.3 * G, 0.8 * G, margin=0.010))
    assert floor.still == pytest.approx(expected, rel=1e-9)
    assert floor.volume == pytest.approx(expected, rel=1e-9)
    assert "left-hand corner at 0.80 g while speeding up at 0.30 g" in floor.reason
    assert floor.borderline[0] < floor.volume <= floor.borderline[1] * (1 + 1e-12)


def test_a_change_of_corner_throws_further_than_the_still_surface_does() -> None:
    floor = starving_floor(CAR, [sketch((5, FULL, 0.7, 0.0), (5, FULL, -0.7, 0.0))])
    assert floor.volume > 1.05 * floor.still
    assert "sloshing" in floor.reason
    told = float(re.search(r"Below ([\d.]+) L", floor.reason)[1])
    assert floor.volume * 1e3 <= told < floor.volume * 1e3 + 0.01


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 1000), st.floats(0.1, 1.0))
def test_above_the_floor_no_spell_occurs_and_just_below_one_does(seed: int, level: float) -> None:
    trace = weave(seed, 20.0, level)
    floor = starving_floor(CAR, [trace])
    motions = motions_of(trace, flow_curve(CAR))
    top = 0.985 * CAR.tank.capacity
    above = np.linspace(min(floor.volume * 1.0001, top), top, 9)
    for surface in ("still", "moving"):
        assert not exposure(CAR.tank, motions, above, 0.0, surface).spells.any()
    if floor.level * 1.01 < floor.volume < top:
        below = np.array([floor.volume - 3e-4 * CAR.tank.capacity])
        spells = [exposure(CAR.tank, motions, below, 0.0, surface).spells[0] for surface in ("still", "moving")]
        assert max(spells) >= 1


@settings(max_examples=10, deadline=None)
@given(shapes(), st.floats(0.06, 1.0), st.floats(1.0, 1.5))
def test_harder_cornering_never_lowers_the_floor_of_a_pickup_at_the_inner_wall(
    shape: TankShape, corner: float, harder: float
) -> None:
    floor, lid = floor_and_lid(shape, 0.0, shape.width / 2)
    pickup = Pickup(0.0, shape.width / 2, float(floor + 0.2 * (lid - floor)))
    car = replace(CAR, tank=replace(CAR.tank, shape=shape, pickup=pickup))
    gentle, hard = (starving_floor(car, [sketch((3, FULL, a, 0.0))]) for a in (corner, corner * harder))
    assert gentle.level <= gentle.still <= hard.still * (1 + 1e-9)
    assert gentle.still <= gentle.volume


def test_the_worst_of_several_traces_counts() -> None:
    traces = [weave(seed, 30.0) for seed in (1, 2, 3)]
    alone = [starving_floor(CAR, [trace]).volume for trace in traces]
    assert starving_floor(CAR, traces).volume == pytest.approx(max(alone), abs=2e-3 * CAR.tank.capacity)


def test_a_gap_breaks_the_recording_and_carries_nothing() -> None:
    trace = weave(5, 20.0, 0.3)
    lateral = trace.lateral.copy()
    time = trace.time.copy()
    time[500:] += 300.0
    covered = trace.covered.copy()
    covered[499] = False
    broken = replace(trace, time=time, covered=covered, lateral=lateral)
    motions = motions_of(broken, flow_curve(CAR))
    assert [motion.ax.size for motion in motions] == [500, 500]
    parts = [
        replace(trace, **{k: getattr(trace, k)[part] for k in ("time", "boost", "lateral", "longitudinal")},
                covered=np.ones(499, dtype=bool))
        for part in (slice(0, 500), slice(500, 1000))
    ]  # fmt: skip
    assert starving_floor(CAR, [broken]).volume == pytest.approx(starving_floor(CAR, parts).volume, rel=1e-6)


def test_spells_shorter_than_a_tenth_of_a_second_do_not_count() -> None:
    calm = (2, FULL, 0.0, 0.0)
    blip = starving_floor(CAR, [sketch(calm, (0.06, FULL, 0.0, -0.9), calm)])
    push = starving_floor(CAR, [sketch(calm, (0.20, FULL, 0.0, -0.9), calm)])
    assert blip.still < push.still


@pytest.mark.parametrize("per", ["run", "lap", "minute"])
def test_unknown_cornering_takes_the_stated_pattern(per: str) -> None:
    known = sketch((5, FULL, 0.1, 0.0))
    unknown = replace(known, lateral=None, longitudinal=None)
    floor = starving_floor(CAR, [unknown], per)
    assert floor.assumed
    assert f"{ASSUMED_CORNERING[per]:g} g to both sides is assumed" in floor.reason
    assert floor.volume > starving_floor(CAR, [known]).volume
    motion = assumed_motion(per, 1e-5)
    grip = np.hypot(motion.ax, motion.ay) / G
    assert grip.max() == pytest.approx(ASSUMED_CORNERING[per], rel=1e-9)
    assert motion.ay.max() == pytest.approx(-motion.ay.min())


def test_one_unknown_recording_among_known_ones_is_left_out() -> None:
    known = sketch((5, FULL, 0.3, 0.0))
    unknown = replace(known, lateral=None, longitudinal=None)
    assert starving_floor(CAR, [known, unknown]).volume == starving_floor(CAR, [known]).volume


def test_the_floor_is_kept_by_content() -> None:
    first, again = weave(9, 20.0), weave(9, 20.0)
    assert starving_floor(CAR, [first]) is starving_floor(CAR, [again])
    assert starving_floor(CAR, [weave(10, 20.0)]) is not starving_floor(CAR, [first])


def test_no_margin_asked_for_lowers_the_floor_and_more_damping_never_raises_it() -> None:
    def with_tank(**changes: float) -> Car:
        return replace(CAR, tank=replace(CAR.tank, **changes))

    trace = weave(3, 30.0, 0.8)
    floor = starving_floor(CAR, [trace]).volume
    assert starving_floor(with_tank(pickup_margin=0.0), [trace]).volume < floor
    assert starving_floor(with_tank(damping=0.4), [trace]).volume <= floor


def test_a_pickup_outside_the_tank_is_refused() -> None:
    car = replace(CAR, tank=replace(CAR.tank, pickup=Pickup(0.3, 0.0, 0.01)))
    with pytest.raises(OutsideModel, match="move it inside"):
        starving_floor(car, [sketch((5, FULL, 0.3, 0.0))])
