"""What is kept of a motion in a tank, whatever flows: it answers as if worked out anew for each flow."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.physics.cover import covering_volume
from planner.physics.surface import STANDARD_GRAVITY
from planner.use import bare_spells as module
from planner.use.bare_spells import COARSE, FINE, HIGHEST_SHARE, LATTICE, BareSpells, bare_spells
from planner.use.exposure import exposure, pickup_point
from planner.use.motion import STEP, Motion
from tests.cars import CAR

TANK = CAR.tank
PLACES = range(LATTICE, 0, -320)


def weave(flow: np.ndarray, grip: float = 0.8) -> Motion:
    """Corners from side to side, ever slower, with so much flow (n,) [m3/s]."""
    time = STEP * np.arange(flow.size)
    side = grip * STANDARD_GRAVITY * np.sin(9 * time / (1 + 0.3 * time))
    return Motion(0.3 * STANDARD_GRAVITY * np.cos(2 * time), side, flow)


flows = st.lists(st.tuples(st.integers(1, 40), st.booleans()), min_size=1, max_size=25).map(
    lambda runs: np.concatenate([np.full(length, 1e-5 if on else 0.0) for length, on in runs])
)


@given(flows)
def test_the_highest_place_that_starves_is_that_of_the_exposure_level_by_level(flow: np.ndarray) -> None:
    motion = weave(flow)
    volumes = np.array([place / LATTICE * HIGHEST_SHARE * TANK.capacity for place in PLACES])
    starving = exposure(TANK, [motion], volumes, 0.0, "moving").spells > 0
    expected = next((place for place, starves in zip(PLACES, starving, strict=True) if starves), None)
    spells = bare_spells(TANK, motion)
    assert [spells.volume(place) for place in PLACES] == pytest.approx(list(volumes), rel=1e-12)
    for _ in range(2):  # worked out, and kept
        assert spells.highest_starving(PLACES, motion.flowing) == expected


rows = st.lists(st.tuples(st.integers(1, 9), st.booleans()), min_size=1, max_size=12).map(
    lambda runs: np.concatenate([np.full(length, on) for length, on in runs])
)


@given(st.lists(rows, min_size=1, max_size=4), rows)
def test_only_five_samples_in_a_row_both_bare_and_with_flow_starve(bares: list[np.ndarray], flows: np.ndarray) -> None:
    bare = np.array([np.resize(row, flows.size) for row in bares])
    motion = Motion(np.zeros(flows.size), np.zeros(flows.size), flows * 1e-5)
    spells = BareSpells(TANK, motion)
    starving = [any(row[k : k + 5].all() for k in range(flows.size - 4)) for row in bare & flows]
    places = range(len(bares), 0, -1)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "moving_bare", lambda tank, motion, volumes: bare)
        found = spells.highest_starving(places, flows)
    assert found == next((place for place, starves in zip(places, starving, strict=True) if starves), None)


def test_the_lattice_ends_at_the_highest_level_and_has_its_coarse_levels() -> None:
    spells = bare_spells(TANK, weave(np.ones(9)))
    assert spells.volume(LATTICE) == 0.99 * TANK.capacity
    assert (COARSE * FINE, COARSE, FINE) == (LATTICE, 25, 256)


def test_another_flow_asks_for_no_level_again_but_other_driving_or_another_tank_does(monkeypatch) -> None:
    asked = []
    truly = module.moving_bare

    def noted(tank, motion, volumes):
        asked.extend(volumes)
        return truly(tank, motion, volumes)

    monkeypatch.setattr(module, "moving_bare", noted)
    flow = np.full(401, 1e-5)
    first = bare_spells(TANK, weave(flow, 0.83))
    top = first.highest_starving(PLACES, flow > 0)
    assert top is not None
    count = len(asked)
    assert count > 0
    other = weave(np.where(np.arange(401) % 2, 0.0, 1.0), 0.83)
    again = bare_spells(TANK, other)
    assert again.highest_starving([place for place in PLACES if place >= top], other.flowing) is None
    assert len(asked) == count
    grippy, damped = bare_spells(TANK, weave(flow, 0.84)), bare_spells(replace(TANK, damping=0.3), weave(flow, 0.83))
    for more, spells in enumerate((grippy, damped), 1):
        spells.highest_starving((LATTICE,), flow > 0)
        assert len(asked) == count + more


def test_levels_are_looked_at_from_above_and_no_further_than_needed(monkeypatch) -> None:
    asked = []
    truly = module.moving_bare

    def noted(tank, motion, volumes):
        asked.append(list(volumes))
        return truly(tank, motion, volumes)

    monkeypatch.setattr(module, "moving_bare", noted)
    long = weave(np.full(100_000, 1e-5), 0.81)  # two levels at a time
    spells = bare_spells(TANK, long)
    found = spells.highest_starving(PLACES, long.flowing)
    looked = [volume for pair in asked for volume in pair]
    assert all(len(pair) == 2 for pair in asked)
    assert looked == [spells.volume(place) for place in PLACES][: len(looked)]
    assert spells.volume(found) in asked[-1]


@pytest.mark.parametrize("depth", [-0.01, 0.0, TANK.pickup_margin])
def test_the_still_surface_asks_for_what_covers_the_pickup_at_a_depth(depth: float) -> None:
    motion = weave(np.ones(500))
    spells = bare_spells(TANK, motion)
    asked = covering_volume(TANK.shape, pickup_point(TANK), motion.ax, motion.ay, margin=depth)
    for _ in range(2):
        np.testing.assert_array_equal(spells.covering_at(depth), asked)
