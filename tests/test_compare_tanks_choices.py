"""Other choices to buy, and how sure: each against its definition."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.car import Blend, Controller, FlowTest, Spread
from planner.compare_tanks import Days, Planner, candidates_of, own_sizes
from planner.compare_tanks.changes import changes_to, compare_changes
from planner.compare_tanks.pool import Workers
from planner.compare_tanks.sure import (
    FLOW_TEST_ERROR,
    HALVINGS,
    dip_after,
    how_sure,
    measurements,
    narrowed,
    settle_chance,
)
from planner.compare_tanks.work import Pair, problem_of, tank_day
from planner.day import plan_day
from planner.use.spread import STANDARD_NORMAL, CarFactor, factor_from_flow_test, log_sd
from tests.cars import CAR, PSI, SWITCHED
from tests.tank_days import DRAWS, day, days

LITRE = 1e-3


def planner() -> Planner:
    """A planner of few draws in this process."""
    return Planner(Workers(1), draws=DRAWS)


def test_every_change_changes_one_thing() -> None:
    for change in changes_to(CAR):
        parts = ("blend", "tank", "pump", "nozzles", "controller", "line", "spread")
        changed = [part for part in parts if getattr(change.car, part) != getattr(CAR, part)]
        assert len(changed) + (change.in_series > 1) == 1, change.name
    assert len({change.name for change in changes_to(CAR)}) == len(changes_to(CAR))
    kinds = {change.kind for change in changes_to(CAR)}
    assert kinds >= {"nozzle size", "start boost", "full boost", "blend", "second pump", "second tank", "baffles"}


def test_changes_stay_within_what_a_car_can_be() -> None:
    pure = replace(CAR, blend=Blend(1.0))
    assert [change.name for change in changes_to(pure) if change.kind == "blend"] == ["90% methanol instead of 100%"]
    low = replace(CAR, controller=Controller("ramp", start=1 * PSI, full=2.5 * PSI, minimum_speed=0.3))
    names = {change.name for change in changes_to(low)}
    assert not names & {
        "injection starts 2 psi earlier",
        "injection starts 2 psi later",
        "full pump speed 2 psi lower",
    }
    assert not any(change.kind == "full boost" for change in changes_to(SWITCHED))
    table = replace(CAR, controller=Controller("table", points=((5 * PSI, 0.3), (14 * PSI, 1.0))))
    moved = next(change for change in changes_to(table) if change.name == "injection starts 2 psi later")
    assert np.ravel(moved.car.controller.points) == pytest.approx([7 * PSI, 0.3, 16 * PSI, 1.0])


def test_a_change_is_told_as_planned_by_hand() -> None:
    asked = Days(days()[:2])
    today = [plan_day(event, car, draws=DRAWS) for event, car in asked.events]
    changed = {one.name: one for one in compare_changes(asked, planner())}
    larger = next(change for change in changes_to(CAR) if change.name == "nozzles 20% larger")
    by_hand = [plan_day(event, larger.car, draws=DRAWS) for event, _ in asked.events]
    uses = [sum(plan.problem.expected.sum() for plan in plans) / 2 for plans in (by_hand, today)]
    one = changed["nozzles 20% larger"]
    assert one.use == pytest.approx(uses[0])
    assert one.use_more == pytest.approx(uses[0] - uses[1])
    assert one.use_more > 0
    stops = [sum(len(plan.refills.best.stops) for plan in plans) for plans in (by_hand, today)]
    assert (one.stops, one.stops_more) == (stops[0], stops[0] - stops[1])


def test_what_moves_use_most_stands_first_and_a_tank_moves_none() -> None:
    changed = compare_changes(Days(days()[:1]), planner())
    moves = [abs(one.use_more) for one in changed]
    assert moves == sorted(moves, reverse=True)
    assert all(one.use_more == 0 for one in changed if one.kind in ("second tank", "baffles", "tank turned"))


def test_a_second_tank_doubles_what_can_be_filled_and_keeps_the_floor() -> None:
    event, car = days()[0]
    one, two = (problem_of(Pair(event, car, in_series=count), DRAWS, 1)[0] for count in (1, 2))
    assert two.limit == pytest.approx(2 * one.limit)
    assert np.array_equal(one.floor, two.floor)
    assert (
        tank_day(Pair(event, car, in_series=2), draws=DRAWS, seed=1).stops
        < tank_day(Pair(event, car), draws=DRAWS, seed=1).stops
    )


def test_what_a_flow_test_said_of_todays_hardware_goes_with_every_change() -> None:
    tested = replace(CAR, flow_test=FlowTest(500e-6, 60.0))
    plain = {one.name: one for one in compare_changes(Days(((day(3), CAR),)), planner())}
    known = {one.name: one for one in compare_changes(Days(((day(3), tested),)), planner())}
    ratios = [known[name].use / plain[name].use for name in plain]
    assert ratios == pytest.approx([ratios[0]] * len(ratios))
    assert abs(ratios[0] - 1) > 0.01


variations, errors = st.floats(0.02, 0.4), st.floats(0.01, 0.3)


@given(variations, errors, st.floats(0.6, 1.6))
def test_a_measurement_narrows_as_a_flow_test_does(variation: float, error: float, measured: float) -> None:
    factor = CarFactor(1.0, variation)
    after = factor_from_flow_test(factor, measured, 1.0, error)
    assert narrowed(factor, after.mean, error).variation == pytest.approx(after.variation)


@pytest.mark.parametrize(("variation", "error", "threshold"), [(0.1, 0.03, 1.0), (0.1, 0.1, 0.95), (0.2, 0.05, 1.2)])
def test_the_chance_to_settle_is_what_measuring_many_cars_gives(
    variation: float, error: float, threshold: float
) -> None:
    factor, generator = CarFactor(1.0, variation), np.random.default_rng(5)
    true = np.exp(factor.log_mean + log_sd(variation) * generator.standard_normal(40_000))
    read = true * np.exp(log_sd(error) * generator.standard_normal(true.size))
    settled = 0
    for value in read[:8000]:
        after = factor_from_flow_test(factor, float(value), 1.0, error)
        reach = 1.2815515655446004 * log_sd(after.variation)
        settled += abs(after.log_mean - math.log(threshold)) > reach
    assert settle_chance(factor, error, threshold) == pytest.approx(settled / 8000, abs=0.015)


@given(variations, st.floats(0.7, 1.4))
def test_a_better_measurement_settles_more_often(variation: float, threshold: float) -> None:
    factor = CarFactor(1.0, variation)
    chances = [settle_chance(factor, error, threshold) for error in (0.02, 0.05, 0.1, 0.3)]
    assert all(0 <= chance <= 1 for chance in chances)
    near = abs(math.log(threshold)) < 0.5 * log_sd(variation)
    assert not near or chances == sorted(chances, reverse=True)


def test_a_dip_tells_more_after_more_sessions_while_the_tank_lasts() -> None:
    event = day(6)
    sessions, error = dip_after(event, CAR)
    short = dip_after(replace(event, sessions=event.sessions[:1]), CAR)
    assert 1 < sessions <= 6
    assert error < short[1]
    assert error > CAR.spread.run / math.sqrt(sessions)
    flow, dip = measurements(Days(((event, CAR),)))
    assert flow.error == FLOW_TEST_ERROR
    assert dip.error == error
    assert f"Session {sessions} of Moth Meadow" in dip.name


def test_answers_that_flip_are_those_that_differ_at_the_ends() -> None:
    car = replace(CAR, spread=Spread(car=0.2, run=0.05))
    asked = Days(tuple((event, car) for event, _ in days()))
    candidates = candidates_of(asked, own_sizes(car, [LITRE * size for size in (3, 4, 5, 6, 7)]), planner())
    sure = how_sure(asked, candidates, range(len(candidates)), planner=planner())
    assert sure.flips
    told = {(flip.tank, flip.event) for flip in sure.flips}
    for k, one in enumerate(candidates):
        for place, (event, own) in enumerate(asked.events):
            stops = []
            for end in (sure.low, sure.high):
                known = narrowed(CarFactor(1.0, 0.2), end, FLOW_TEST_ERROR)
                found = tank_day(Pair(event, replace(own, tank=one.tank), known), draws=DRAWS, seed=20_260_516)
                stops.append(found.stops if found.feasible else None)
            assert ((k, place) in told) == (stops[0] != stops[1])
    near = (sure.high / sure.low) ** (0.5 / 2**HALVINGS) * 1.0001
    prior = CarFactor(1.0, 0.2)
    for flip in sure.flips:
        assert sure.low < flip.factor < sure.high
        event, own = asked.events[flip.event]
        below, above = (
            tank_day(
                Pair(event, replace(own, tank=candidates[flip.tank].tank), narrowed(prior, mean, FLOW_TEST_ERROR)),
                draws=DRAWS,
                seed=20_260_516,
            )
            for mean in (flip.factor / near, flip.factor * near)
        )
        assert (below.stops if below.feasible else None) == flip.low
        assert (above.stops if above.feasible else None) != flip.low
        over = 1 - STANDARD_NORMAL.cdf((math.log(flip.factor) - prior.log_mean) / log_sd(0.2))
        assert flip.chance == pytest.approx(over if flip.planned == flip.low else 1 - over)
        assert flip.settled[0] >= flip.settled[1]
    assert sure.best == 0


def test_a_car_known_exactly_has_nothing_to_flip() -> None:
    car = replace(CAR, spread=Spread(car=0.0, run=0.05))
    asked = Days(((day(3), car),))
    candidates = candidates_of(asked, own_sizes(car, []), planner())
    sure = how_sure(asked, candidates, (0,), planner=planner())
    assert (sure.flips, sure.best) == ((), None)
    assert sure.low == sure.high == 1.0
