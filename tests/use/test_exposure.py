"""What is counted while the pickup is bare, sample by sample, and the moving surface it is counted with."""

from __future__ import annotations

import numpy as np
import pytest

from planner.errors import OutsideModel
from planner.physics.cover import covering_volume
from planner.physics.slosh import effective_acceleration, first_mode_frequency, rest_share
from planner.physics.surface import STANDARD_GRAVITY
from planner.physics.tank import UprightCylinder
from planner.use.exposure import (
    exposure,
    lasting,
    moving_bare,
    moving_tilt,
    pickup_point,
    portions,
    still_needed,
)
from planner.use.motion import STEP, Motion
from tests.cars import CAR

G = STANDARD_GRAVITY
TANK = CAR.tank
FLOW = 20e-6


def needed(side: float) -> float:
    """Volume [m3] below which a steady corner [g] bares the shared car's pickup."""
    return float(covering_volume(TANK.shape, pickup_point(TANK), 0.0, side * G, margin=TANK.pickup_margin))


def samples(bare: str, flow: str) -> Motion:
    """A motion of one corner a letter: `x` bares the pickup, `f` flows."""
    ay = np.array([0.8 * G if c == "x" else 0.0 for c in bare])
    return Motion(np.zeros_like(ay), ay, np.array([FLOW if c == "f" else 0.0 for c in flow]))


LOW = np.array([0.9]) * needed(0.8)


def count(motions: list[Motion], line: float = 0.0) -> tuple[float, ...]:
    """The one level's seven figures with the still surface."""
    found = exposure(TANK, motions, LOW, line, "still")
    names = ("uncovered", "flowing", "of_flow", "longest", "longest_flowing", "spells", "bridged")
    return tuple(float(getattr(found, name)[0]) for name in names)


def test_every_figure_is_counted_sample_by_sample() -> None:
    motion = samples("xxxxxx..xxxxx..xxxx..xx", "ffffff..ff.ff..ffff..ff")
    # Bare 17 of 23, flowing and bare 16 of 16; the six at the start alone last five samples with flow.
    assert count([motion]) == pytest.approx((17 / 23, 16 / 23, 1.0, 6 * STEP, 6 * STEP, 1, 0))


def test_a_spell_from_the_first_sample_on_draws_what_it_draws() -> None:
    motion = samples("xxxxxx....", "ffffff....")
    drawn = 6 * STEP * FLOW
    for line, bridged in ((0.99 * drawn, 0), (1.01 * drawn, 1)):
        assert count([motion], line)[5:] == (1, bridged)
    held = float(np.cumsum(motion.flow * STEP)[5])
    assert count([motion], held)[5:] == (1, 0)
    later = samples("..xxxxxx", "ffffffff")
    for line, bridged in ((0.99 * drawn, 0), (1.01 * drawn, 1)):
        assert count([later], line)[5:] == (1, bridged)


def test_a_bare_time_shorter_than_a_spell_is_bridged_by_none() -> None:
    assert count([samples("xxxx.xxxxx", "ffffffffff")], 1.0)[5:] == (1, 1)
    assert count([samples("xxxx.xxxx.", "ffffffffff")], 1.0)[5:] == (0, 0)


def test_of_several_motions_shares_are_of_all_samples_and_the_longest_is_of_one() -> None:
    motions = [samples("xxxxxxx...", "fffffff..."), samples("xxx", "f.f"), samples(".", ".")]
    assert count(motions) == pytest.approx((10 / 14, 9 / 14, 1.0, 7 * STEP, 7 * STEP, 1, 0))
    assert count(motions[::-1]) == pytest.approx((10 / 14, 9 / 14, 1.0, 7 * STEP, 7 * STEP, 1, 0))


def test_without_a_motion_or_without_flow_nothing_is_counted_and_one_sample_is_all_of_itself() -> None:
    assert count([]) == (0,) * 7
    assert count([samples("......", "ffffff")]) == (0,) * 7
    assert count([samples("xxxxx", ".....")]) == pytest.approx((1.0, 0.0, 0.0, 5 * STEP, 0.0, 0, 0))
    assert count([samples("x", "f")]) == pytest.approx((1.0, 1.0, 1.0, STEP, STEP, 0, 0))


def test_spells_and_bridged_ones_are_whole_numbers() -> None:
    found = exposure(TANK, [samples("xxxxx", "fffff")], LOW, 1.0, "still")
    assert found.spells.dtype.kind == found.bridged.dtype.kind == "i"


def test_a_spell_has_lasted_where_five_samples_in_a_row_are_bare() -> None:
    expected = {
        "xxxxxx.": "xx.",
        ".xxxxx.": ".x.",
        "xxxx.xx": "...",
        "x.xxxxx": "..x",
        "xxxxx": "x",
        "xxxx": "",
        "": "",
    }
    for row, through in expected.items():
        flags = np.array([c == "x" for c in row], dtype=bool)
        before = flags.copy()
        assert lasting(flags).tolist() == [c == "x" for c in through]
        np.testing.assert_array_equal(flags, before)


def test_levels_are_worked_off_in_portions_that_hold_each_once() -> None:
    volumes = np.arange(7)
    for count_, sizes in ((100_000, [2, 2, 2, 1]), (200_000, [1] * 7), (10**9, [1] * 7), (0, [7]), (50_000, [4, 3])):
        parts = [volumes[part] for part in portions(volumes.size, count_)]
        assert [part.size for part in parts] == sizes
        np.testing.assert_array_equal(np.concatenate(parts), volumes)


def weave(size: int = 600) -> Motion:
    """A motion that sways both ways."""
    time = STEP * np.arange(size)
    return Motion(0.3 * G * np.sin(4 * time), 0.7 * G * np.cos(5 * time), np.full(size, FLOW))


@pytest.mark.parametrize("shape", [TANK.shape, UprightCylinder(0.25, 0.2)], ids=["box", "upright"])
def test_the_moving_surface_tilts_by_the_first_mode_along_each_axis(shape) -> None:
    tank = type(TANK)(shape, pickup=TANK.pickup, damping=0.22)
    motion, volumes = weave(), np.array([0.3, 0.8]) * shape.capacity
    tilts = moving_tilt(tank, motion, volumes)
    for axis, driven, tilt in (("x", motion.ax, tilts[0]), ("y", motion.ay, tilts[1])):
        frequency = first_mode_frequency(shape, volumes, axis)
        expected = effective_acceleration(driven, STEP, frequency, damping=0.22, rest=rest_share(shape))
        np.testing.assert_allclose(tilt, expected)
    still = moving_tilt(tank, Motion(0 * motion.ax, motion.ay, motion.flow), volumes)
    np.testing.assert_array_equal(still[0], np.zeros((2, motion.ax.size)))
    np.testing.assert_allclose(still[1], tilts[1])


def test_the_pickup_is_bare_where_the_tilted_surface_asks_for_more_than_there_is() -> None:
    motion, volumes = weave(), np.array([0.1, 0.2, 0.35]) * TANK.capacity
    point = pickup_point(TANK)
    assert point == (-0.12, 0.0, 0.008)
    ax, ay = moving_tilt(TANK, motion, volumes)
    asked = covering_volume(TANK.shape, point, ax, ay, margin=TANK.pickup_margin)
    bare = moving_bare(TANK, motion, volumes)
    np.testing.assert_array_equal(bare, asked > volumes[:, None])
    assert bare.any()
    assert not bare.all()
    needs = covering_volume(TANK.shape, point, motion.ax, motion.ay, margin=TANK.pickup_margin)
    np.testing.assert_array_equal(still_needed(TANK, motion), needs)
    for surface, rows in (("still", needs > volumes[:, None]), ("moving", bare)):
        found = exposure(TANK, [motion], volumes, 0.0, surface)
        np.testing.assert_allclose(found.uncovered, rows.mean(axis=1))


def test_levels_that_do_not_fit_at_once_are_counted_at_their_own_places() -> None:
    motion = weave(50_100)
    volumes = np.linspace(0.05, 0.6, 7) * TANK.capacity
    together = exposure(TANK, [motion], volumes, 0.0, "moving")
    for k in (0, 3, 6):
        alone = exposure(TANK, [motion], volumes[k : k + 1], 0.0, "moving")
        assert together.uncovered[k] == alone.uncovered[0]
    assert np.all(np.diff(together.uncovered) <= 0)


def test_a_volume_just_enough_covers() -> None:
    motion = samples("xxxxx", "fffff")
    enough = still_needed(TANK, motion)[:1]
    assert exposure(TANK, [motion], enough, 0.0, "still").uncovered[0] == 0.0
    assert exposure(TANK, [motion], np.nextafter(enough, 0.0), 0.0, "still").uncovered[0] == 1.0


def test_a_full_tanks_surface_cannot_move() -> None:
    with pytest.raises(OutsideModel, match="no free surface"):
        exposure(TANK, [weave(20)], np.array([TANK.capacity]), 0.0, "moving")
