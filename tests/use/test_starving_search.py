"""How the moving surface's floor is searched: how near it comes, and what holds where the search has no room."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from planner.car import Car, Pickup, Tank
from planner.physics.surface import STANDARD_GRAVITY
from planner.use.bare_spells import COARSE, FINE, HIGHEST_SHARE, LATTICE
from planner.use.exposure import exposure, moving_tilt
from planner.use.flow_curve import flow_curve
from planner.use.motion import motions_of
from planner.use.starving import _moving_floor, starving_floor, worst_moment
from tests.cars import CAR
from tests.use.test_starving import FULL, sketch, weave

G = STANDARD_GRAVITY
CAPACITY = CAR.tank.capacity
FLICK = sketch((5, FULL, 0.7, 0.0), (5, FULL, -0.7, 0.0))


def starves(car: Car, trace, volume: float) -> bool:
    """Whether the moving surface starves the pump at a volume [m3]."""
    motions = motions_of(trace, flow_curve(car))
    return bool(exposure(car.tank, motions, np.array([volume]), 0.0, "moving").spells[0])


@pytest.mark.parametrize("trace", [FLICK, weave(3, 20.0, 0.8), weave(7, 20.0, 0.9)], ids=["flick", "3", "7"])
def test_the_floor_is_the_highest_starving_level_to_a_256th_of_the_25_searched(trace) -> None:
    floor = starving_floor(CAR, [trace])
    assert floor.cause == "sloshing"
    step = HIGHEST_SHARE * CAPACITY / COARSE / 256
    assert not starves(CAR, trace, floor.volume)
    assert starves(CAR, trace, floor.volume - 1.01 * step)
    place = floor.volume / step
    assert place == pytest.approx(round(place), abs=1e-6)
    levels = np.arange(np.ceil(floor.volume / step / 256), COARSE + 1) * 256 * step
    assert not any(starves(CAR, trace, level) for level in levels)


@dataclass
class Threshold:
    """Stands for the spells of a motion that starves at all places of the lattice below one, and nowhere else."""

    enough: int
    tank: Tank = CAR.tank
    looks: int = 0

    def volume(self, place: int) -> float:
        return place * 1e-6

    def highest_starving(self, places, flowing):
        assert all(0 < place <= LATTICE for place in places)
        self.looks += len(places)
        return max((place for place in places if place < self.enough), default=None)


@example(below=LATTICE - 1, further=2, between=False)
@example(below=FINE - 1, further=2, between=True)
@example(below=FINE - 2, further=2, between=False)
@example(below=LATTICE - 20, further=5, between=False)
@example(below=FINE, further=2, between=False)
@example(below=FINE, further=1, between=False)
@example(below=2 * FINE - 1, further=2, between=False)
@example(below=0, further=2, between=False)
@given(st.integers(0, LATTICE + 400), st.integers(-3, 3) | st.integers(-LATTICE, LATTICE), st.booleans())
def test_the_search_ends_at_the_first_place_that_is_enough_wherever_it_starts(
    below: int, further: int, between: bool
) -> None:
    enough = min(max(below + further, 0), LATTICE + 1)
    above = (below + 0.5 * between) * 1e-6
    spells = Threshold(enough)
    found = _moving_floor(spells, np.array([True]), above)  # type: ignore[arg-type]
    if enough - 1 <= below or below >= LATTICE:
        assert found == above
    else:
        assert found == (CAPACITY if enough > LATTICE else pytest.approx(enough * 1e-6, rel=1e-12))
    if below < LATTICE:  # coarse places from the one below upward, the lowest, and four rounds of three
        assert spells.looks <= COARSE - below // FINE + (below >= FINE) + 1 + 12
    assert _moving_floor(Threshold(enough), np.array([False]), above) == above  # type: ignore[arg-type]


def test_the_driving_told_is_that_of_the_effective_tilt_at_the_floor() -> None:
    floor = starving_floor(CAR, [FLICK])
    motions = motions_of(FLICK, flow_curve(CAR))
    ((ax, ay),) = (moving_tilt(CAR.tank, motion, np.array([floor.volume])) for motion in motions)
    worst = worst_moment(CAR.tank, motions, [(ax[0], ay[0])], CAR.tank.pickup_margin)
    assert floor.driving == f"a {'left' if worst.ay > 0 else 'right'}-hand corner at {abs(worst.ay) / G:.2f} g"
    assert abs(worst.ay) > 0.75 * G


def lidded(height: float) -> Car:
    """The shared car with a pickup at its rear wall, at a height [m] of the tank's 0.14."""
    return replace(CAR, tank=replace(CAR.tank, pickup=Pickup(-0.16, 0.0, height)))


def test_a_pickup_that_the_fullest_level_searched_bares_asks_for_a_full_tank() -> None:
    rocking = sketch(*[(0.34, FULL, 0.0, side * 0.06) for side in (1, -1) * 8])  # near the first mode
    car = lidded(0.118)
    floor = starving_floor(car, [rocking])
    assert starves(car, rocking, HIGHEST_SHARE * CAPACITY)
    assert floor.still < HIGHEST_SHARE * CAPACITY
    assert floor.volume == CAPACITY
    assert floor.cause == "sloshing"


def test_where_the_still_surface_asks_for_more_than_is_searched_it_holds() -> None:
    car = lidded(0.1399)
    floor = starving_floor(car, [sketch((5, FULL, 0.0, -0.02))])
    assert HIGHEST_SHARE * CAPACITY < floor.still == floor.volume <= CAPACITY


def test_of_several_recordings_the_hardest_sloshing_counts_wherever_it_stands() -> None:
    hard, soft = FLICK, sketch((5, FULL, 0.4, 0.0), (5, FULL, -0.4, 0.0))
    alone = starving_floor(CAR, [hard])
    for course in ([hard, soft], [soft, hard]):
        both = starving_floor(CAR, course)
        assert both.volume == pytest.approx(alone.volume, abs=2e-4 * CAPACITY)
        assert both.driving == alone.driving
        assert both.still == alone.still
