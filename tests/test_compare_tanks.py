"""Tanks side by side: as planned by hand, monotone in size, the smallest that does it, and what fits."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.car import Pickup
from planner.compare_tanks import (
    Days,
    NamedTank,
    Planner,
    candidates_of,
    compare,
    fits,
    own_sizes,
    placed,
    scaled_tank,
    usual_capacities,
)
from planner.compare_tanks.pool import Workers
from planner.compare_tanks.run import Question, answered
from planner.compare_tanks.smallest import smallest
from planner.compare_tanks.work import Pair, tank_day
from planner.day import plan_day
from planner.day.json import plan_json
from planner.errors import NoPlan
from planner.event import Course, Event, Piece
from planner.physics.tank import Box, LyingCylinder, TankShape
from tests.cars import CAR, PSI
from tests.tank_days import DRAWS, LOOP, day, days
from tests.tanks import NAMES, SHAPES

LITRE = 1e-3
ROOT = Path(__file__).resolve().parents[1]


def planner(**more: object) -> Planner:
    """A planner of few draws in this process."""
    return Planner(Workers(1), draws=DRAWS, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("share", [0.45, 0.8, 1.0, 1.7, 3.0])
@pytest.mark.parametrize("place", [0, 1, 2])
def test_each_tank_is_planned_as_by_hand(share: float, place: int) -> None:
    event, car = days()[place]
    with_tank = replace(car, tank=scaled_tank(car, share * car.tank.capacity))
    found = tank_day(Pair(event, with_tank), draws=DRAWS, seed=7)
    if not found.feasible:
        with pytest.raises(NoPlan) as reason:
            plan_day(event, with_tank, draws=DRAWS, seed=7)
        assert found.breaks == reason.value.session
        return
    plan = plan_day(event, with_tank, draws=DRAWS, seed=7)
    told = plan_json(plan)
    assert found.stops == told["stops"]
    assert round(found.short_chance, 5) == told["short_chance"]
    assert round(found.carried, 2) == told["mean_carried_kg"]
    assert round(found.washing, 3) == told["slosh_risk_share"]
    assert found.left == pytest.approx(told["balance"]["left_mean_L"] * LITRE)
    assert found.bring == pytest.approx(told["bring"]["blend_L"] * LITRE, abs=1e-6)
    assert found.floor == pytest.approx(max(row["floor_L"] for row in told["sessions"]) * LITRE, abs=1e-6)
    assert found.stop_gaps == tuple(plan.problem.minutes[k] for k in plan.refills.best.stops)
    margins = (plan.refills.levels.end - plan.problem.floor[:, None]).min(axis=0)
    assert found.least_margin == np.median(margins)
    assert found.spare == with_tank.tank.limit - max(plan.refills.best.marks)
    gaps = {gap["before_session"]: gap["minutes"] for gap in told["gaps"]}
    spare = [gaps[fill["before_session"]] - fill["minutes_needed"] for fill in told["refills"][1:]]
    assert found.spare_time == (pytest.approx(min(spare), abs=0.06) if spare else None)


def test_a_gap_as_long_as_asked_is_not_longer() -> None:
    event, car = days()[0]
    with_tank = replace(car, tank=scaled_tank(car, 0.6 * car.tank.capacity))
    at, under = (tank_day(Pair(event, with_tank, long_gap=gap), draws=DRAWS, seed=7) for gap in (10.0, 9.99))
    assert set(at.stop_gaps) == {10.0}
    assert (at.in_long_gaps, under.in_long_gaps) == (False, True)


@settings(max_examples=12)
@given(
    st.integers(2, 6),
    st.floats(1, 9),
    st.floats(0, 9),
    st.lists(st.floats(0.3, 4), min_size=3, max_size=5, unique=True),
)
def test_a_larger_tank_of_the_same_shape_never_needs_more_stops(
    sessions: int, runs: float, lateral: float, shares: list[float]
) -> None:
    course = Course("loop", "lap", pieces=(Piece(12.0, 14 * PSI, lateral=lateral), Piece(30.0, 0.0, lateral=-lateral)))
    event, needs = day(sessions, course, runs=runs), []
    for share in sorted(shares):
        car = replace(CAR, tank=scaled_tank(CAR, share * CAR.tank.capacity))
        found = tank_day(Pair(event, car), draws=400, seed=3)
        needs.append(found.stops if found.feasible else np.inf)
    assert needs == sorted(needs, reverse=True)


@pytest.mark.parametrize("shape", SHAPES, ids=NAMES)
def test_a_scaled_tank_keeps_its_proportions_and_the_pickups_place(shape: TankShape) -> None:
    car = replace(CAR, tank=replace(CAR.tank, shape=shape, empty_mass=2.0))
    tank = scaled_tank(car, 2.5 * car.tank.capacity)
    assert tank.capacity == pytest.approx(2.5 * car.tank.capacity)
    sizes = [(one.shape.length, one.shape.width, one.shape.height) for one in (tank, car.tank)]
    ratios = np.divide(sizes[0], sizes[1])
    assert ratios == pytest.approx([2.5 ** (1 / 3)] * 3)
    own, new = car.tank.pickup, tank.pickup
    assert (new.ahead, new.left, new.height) == pytest.approx(
        tuple(place * ratios[0] for place in (own.ahead, own.left, own.height))
    )
    assert tank.fill_limit == car.tank.fill_limit
    assert tank.empty_mass == pytest.approx(2.0 * ratios[0] ** 2)


def with_lunch(event: Event) -> Event:
    """The event with its third session and all after it an hour later."""
    later = [replace(one, start=one.start + timedelta(hours=k >= 2)) for k, one in enumerate(event.sessions)]
    return replace(event, sessions=tuple(later))


def test_the_smallest_sizes_are_those_that_trying_each_finds() -> None:
    asked = Days(((with_lunch(day(5)), CAR), (day(2), CAR)), long_gap=45.0)
    candidates = candidates_of(asked, own_sizes(CAR, [3 * LITRE, 12 * LITRE]), planner())
    least = smallest(asked, candidates, planner())

    def first(holds: object) -> float:
        for tenths in range(15, 120):
            tank = scaled_tank(CAR, tenths * 1e-4)
            if all(holds(one) for one in planner().days(asked.pairs(tank))):  # type: ignore[operator]
                return tenths * 1e-4
        raise AssertionError("none")

    assert least.feasible == pytest.approx(first(lambda one: one.feasible))
    assert least.without_stops == pytest.approx(first(lambda one: one.feasible and one.stops == 0))
    assert least.in_long_gaps == pytest.approx(first(lambda one: one.in_long_gaps))
    assert least.feasible < least.in_long_gaps < least.without_stops  # type: ignore[operator]


def test_no_gap_is_longer_than_all_there_are_so_only_a_tank_without_stops_does() -> None:
    candidates = candidates_of(Days(days()[:1], 600.0), own_sizes(CAR, [20 * LITRE]), planner())
    least = smallest(Days(days()[:1], 600.0), candidates, planner())
    assert least.in_long_gaps == least.without_stops


def test_a_day_beyond_every_tank_has_no_smallest() -> None:
    asked = Days(((day(1, runs=5000), CAR),))
    least = smallest(asked, candidates_of(asked, own_sizes(CAR, []), planner()), planner())
    assert (least.without_stops, least.in_long_gaps, least.feasible) == (None, None, None)


def test_a_tank_fits_a_space_as_it_stands_or_turned_if_it_may() -> None:
    tank = CAR.tank
    assert fits(tank, (0.32, 0.18, 0.14))
    assert not fits(tank, (0.18, 0.32, 0.14))
    assert not fits(tank, (0.32, 0.18, 0.13))
    lying = Days(days(), space=(0.18, 0.32, 0.14))
    assert placed(tank, lying) == (tank, False, False)
    found, fit, is_turned = placed(tank, replace(lying, may_turn=True))
    assert (fit, is_turned) == (True, True)
    assert found.shape == Box(0.18, 0.32, 0.14)
    assert (found.pickup.ahead, found.pickup.left) == pytest.approx((0.0, -0.12))
    assert placed(tank, replace(lying, may_turn=True, space=(0.1, 0.1, 0.1))) == (tank, False, False)


def test_a_turned_tank_is_planned_turned() -> None:
    asked = Days(days()[1:2], space=(0.18, 0.32, 0.14), may_turn=True)
    comparison = compare(asked, own_sizes(CAR, []), planner())
    one = comparison.candidates[0]
    assert one.turned
    by_hand = tank_day(Pair(asked.events[0][0], replace(CAR, tank=one.tank)), draws=DRAWS, seed=20_260_516)
    assert one.days == (by_hand,)
    assert any("planned turned" in notice for notice in comparison.notices)


def test_the_usual_sizes_surround_todays_tank_in_round_numbers() -> None:
    sizes = usual_capacities(CAR)
    assert sizes == sorted(set(sizes))
    assert sizes[0] < 0.6 * CAR.tank.capacity
    assert sizes[-1] > 3 * CAR.tank.capacity
    assert all(round(size * 1e4) == pytest.approx(size * 1e4) for size in sizes)


def test_a_tank_smaller_than_what_the_day_starts_with_starts_full() -> None:
    event, car = days()[1]
    event = replace(event, stock=replace(event.stock, in_tank=6 * LITRE))
    asked = Days(((event, car),))
    comparison = compare(asked, own_sizes(CAR, [3 * LITRE]), planner())
    small = scaled_tank(CAR, 3 * LITRE)
    full = replace(event, stock=replace(event.stock, in_tank=small.limit))
    wanted = tank_day(Pair(full, replace(CAR, tank=small)), draws=DRAWS, seed=20_260_516)
    assert comparison.candidates[0].days == (wanted,)
    assert any("a smaller tank is taken to start full" in notice for notice in comparison.notices)


def test_files_alone_are_held_against_todays_tank() -> None:
    other = NamedTank("roller", replace(CAR.tank, shape=LyingCylinder(0.2, 0.4, "y"), pickup=Pickup(0.0, 0.0, 0.01)))
    question = Question(Days(days()[:1]), tanks=(other,))
    assert [one.name for one in question.candidates] == ["today's 8.06 L", "roller"]
    result = answered(question, workers=Workers(1), draws=DRAWS)
    assert {tank["name"] for tank in result["tanks"]} == {"today's 8.06 L", "roller"}
    assert result["base"] == "today's 8.06 L"


def test_the_course_of_every_candidate_is_read_from_the_same_file_once(monkeypatch: pytest.MonkeyPatch) -> None:
    import planner.driving.course as course_module  # to count how often a recording is read

    course_module._read.cache_clear()
    reads: list[Path] = []
    real = course_module.read_recording

    def counting(path: Path, *more: object) -> object:
        reads.append(path)
        return real(path, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(course_module, "read_recording", counting)
    logs = tuple(sorted((ROOT / "events_demo" / "logs").glob("goose-bank-*.csv")))
    asked = Days(((day(2, replace(LOOP, pieces=(), logs=logs, per="run")), CAR),))
    candidates_of(asked, own_sizes(CAR, [3 * LITRE, 5 * LITRE, 9 * LITRE]), planner())
    assert sorted(reads) == sorted(logs)
