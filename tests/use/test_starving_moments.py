"""The moment that asks for most, the driving it stands for in words, and what the floor says it comes from."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from planner.physics.cover import covering_volume
from planner.physics.surface import STANDARD_GRAVITY
from planner.use.exposure import pickup_point
from planner.use.motion import Motion, assumption
from planner.use.starving import Moment, StarvingFloor, driving_words, starving_floor, worst_moment
from tests.cars import CAR
from tests.use.test_starving import FULL, sketch

G = STANDARD_GRAVITY
TANK = CAR.tank


@pytest.mark.parametrize(
    ("side", "along", "words"),
    [
        (0.8, 0.3, "a left-hand corner at 0.80 g while speeding up at 0.30 g"),
        (-1.25, -0.5, "a right-hand corner at 1.25 g while slowing at 0.50 g"),
        (0.06, 0.049, "a left-hand corner at 0.06 g"),
        (0.049, -0.06, "slowing at 0.06 g"),
        (-0.049, 0.049, "driving without acceleration"),
    ],
)
def test_driving_is_told_by_its_side_and_its_change_of_speed(side: float, along: float, words: str) -> None:
    assert driving_words(along * G, side * G) == words


def test_from_a_twentieth_of_g_on_driving_is_told() -> None:
    at = next(a for a in np.nextafter(0.05 * G, [0, 9]) if a / G >= 0.05)
    assert driving_words(at, 0.0) == "speeding up at 0.05 g"
    assert driving_words(0.0, -at) == "a right-hand corner at 0.05 g"


def volume_at(side: float, depth: float) -> float:
    """Volume [m3] that a steady corner [g] asks for, for a depth [m] over the pickup."""
    return float(covering_volume(TANK.shape, pickup_point(TANK), 0.0, side * G, margin=depth))


def test_the_worst_moment_is_the_least_tilted_sample_of_the_worst_tenth_of_a_second_with_flow() -> None:
    side = np.array([0.1, 0.5, 0.9, 0.6, 0.7, 0.8, 0.55, 0.2, 0.1, 0.95, 0.95, 0.95, 0.95, 0.95]) * G
    flow = np.full(side.size, 1e-5)
    flow[11] = 0.0  # the hardest corner is without flow in its middle, so no spell lasts through it
    along = np.linspace(0.0, 0.013, side.size)
    motion = Motion(along, side, flow)
    worst = worst_moment(TANK, [motion], [(motion.ax, motion.ay)], 0.01)
    # Five samples in a row from 0.9 to 0.55: the fourth window's least is 0.55; that from 0.5 to 0.8 has less.
    assert worst.ay == side[6]
    assert worst.ax == along[6]
    expected = float(covering_volume(TANK.shape, pickup_point(TANK), along[6], side[6], margin=0.01))
    assert worst.volume == pytest.approx(expected, rel=1e-12)
    assert not worst.sloshing


def test_the_worst_of_several_motions_is_kept_and_one_shorter_than_a_spell_has_none() -> None:
    def steady(side: float, samples: int = 5, flow: float = 1e-5) -> Motion:
        return Motion(np.zeros(samples), np.full(samples, side * G), np.full(samples, flow))

    motions = [steady(0.3), steady(0.8), steady(0.5), steady(0.9, 4), steady(0.9, flow=0.0)]
    tilts = [(motion.ax, motion.ay) for motion in motions]
    worst = worst_moment(TANK, motions, tilts, 0.01)
    assert (worst.volume, worst.ay) == (pytest.approx(volume_at(0.8, 0.01)), 0.8 * G)
    assert worst_moment(TANK, motions[3:], tilts[3:], 0.01) == Moment(0.0)
    assert worst_moment(TANK, motions, [(0 * m.ax, 0 * m.ay) for m in motions], 0.01).volume == pytest.approx(
        volume_at(0.0, 0.01)
    )


def test_a_floor_of_a_steady_corner_is_told_whole() -> None:
    found, corner = starving_floor(CAR, [sketch((5, FULL, -0.8, 0.0))]), "a right-hand corner at 0.80 g"
    volume = volume_at(-0.8, TANK.pickup_margin)
    litres = np.ceil(volume * 1e5 - 1e-6) / 100
    level = float(TANK.shape.volume_from_level(TANK.pickup.height))
    assert found == StarvingFloor(
        volume=pytest.approx(volume),
        still=pytest.approx(volume),
        level=pytest.approx(level),
        borderline=(pytest.approx(volume_at(-0.8, -0.01)), pytest.approx(volume_at(-0.8, 0.01))),
        assumed=False,
        reason=f"Below {litres:.2f} L the tilted fluid bares the pickup while it flows, in {corner}.",
        cause="tilted surface",
        driving=corner,
    )


def test_a_floor_on_level_ground_and_one_without_flow_are_told_whole() -> None:
    level = pytest.approx(float(TANK.shape.volume_from_level(TANK.pickup.height)))
    calm = starving_floor(CAR, [sketch((5, FULL, 0.0, 0.0))])
    assert (calm.volume, calm.still, calm.level, calm.assumed) == (level, level, level, False)
    assert calm.borderline == (level, level)
    assert (calm.cause, calm.driving) == ("level ground", "driving without acceleration")
    assert calm.reason == (
        "No acceleration moves the fluid off the pickup while it flows, so the level-ground figure holds."
    )
    none = starving_floor(CAR, [sketch((5, 0.0, 0.8, 0.0))])
    assert none == StarvingFloor(
        level, level, level, (0.0, level), False, "No fluid flows on this course.", "no flow", ""
    )


def test_a_floor_of_sloshing_names_both_surfaces_and_the_assumption_where_there_is_one() -> None:
    course = [sketch((5, FULL, 0.7, 0.0), (5, FULL, -0.7, 0.0))]
    found = starving_floor(CAR, course)
    assert found.cause == "sloshing"
    told = re.fullmatch(
        r"Below ([\d.]+) L the sloshing fluid bares the pickup while it flows, as if in (.*); "
        r"a still surface would ask for ([\d.]+) L\.",
        found.reason,
    )
    assert told[2] == found.driving
    for volume, litres in ((found.volume, told[1]), (found.still, told[3])):
        assert volume * 1e3 <= float(litres) < volume * 1e3 + 0.01
    assert found.still == pytest.approx(volume_at(0.7, TANK.pickup_margin))
    # The driving is that of the effective tilt at the worst moment, beyond what is driven.
    assert float(re.search(r"at ([\d.]+) g", found.driving)[1]) > 0.7
    unknown = [replace(trace, lateral=None, longitudinal=None) for trace in course]
    for per in ("run", "minute"):
        assumed = starving_floor(CAR, unknown, per)
        assert assumed.assumed
        assert assumed.reason.endswith(f". {assumption(per)}")
    assert starving_floor(CAR, unknown).reason.endswith(assumption("lap"))
