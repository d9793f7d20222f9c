"""Which tank is worth considering: against a brute-force definition, and what each buys and costs."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.planning.tank_choice import (
    Candidate,
    TankDay,
    answer_of,
    dominates,
    trade,
    undominated,
    worth_considering,
)
from tests.cars import CAR


def tank_day(stops: int = 1, carried: float = 5.0, *, feasible: bool = True, washing: float = 0.2) -> TankDay:
    """A day at a tank's best plan."""
    return TankDay(
        feasible=feasible,
        stops=stops,
        stop_gaps=(30.0,) * stops,
        spare_time=10.0 if stops else None,
        in_long_gaps=stops == 0,
        short_chance=0.01,
        least_margin=1e-3,
        spare=1e-3,
        carried=carried,
        washing=washing,
        floor=1e-3,
        floor_by="the pickup on level ground",
        left=1e-3,
        bring=5e-3,
        use=4e-3,
    )


def candidate(*days: TankDay, **more: object) -> Candidate:
    """A tank with what it makes of some days."""
    return replace(Candidate("a tank", CAR.tank, days, fluid=7.0), **more)  # type: ignore[arg-type]


one_day = st.builds(
    tank_day, st.integers(0, 3), st.sampled_from([2.0, 3.0, 4.5, 6.0]), feasible=st.sampled_from([True, True, False])
)
tanks = st.lists(st.builds(lambda a, b, c: candidate(a, b, c), one_day, one_day, one_day), min_size=1, max_size=12)


@given(tanks)
def test_the_undominated_are_those_that_no_other_beats_in_everything(found: list[Candidate]) -> None:
    def beaten(one: Candidate) -> bool:
        for other in found:
            better = [
                other.impossible <= one.impossible,
                other.stops <= one.stops,
                other.carried <= one.carried,
            ]
            strictly = other.impossible < one.impossible or other.stops < one.stops or other.carried < one.carried
            if all(better) and strictly:
                return True
        return False

    assert set(undominated(found)) == {k for k, one in enumerate(found) if not beaten(one)}


@given(tanks)
def test_tanks_worth_considering_are_few_undominated_and_hold_both_ends(found: list[Candidate]) -> None:
    worth = worth_considering(found)
    assert len(worth) <= 3
    assert set(worth) <= set(undominated(found))
    least = min(one.impossible for one in found)
    able = [one for one in found if one.impossible == least]
    if least == 3:
        assert worth == ()
        return
    stops = [found[k].stops for k in worth]
    assert stops == sorted(set(stops))
    assert found[worth[0]].stops == min(one.stops for one in able)
    assert found[worth[-1]].carried == min(one.carried for one in able)


@given(tanks)
def test_no_tank_dominates_itself_and_no_two_dominate_each_other(found: list[Candidate]) -> None:
    for one in found:
        assert not dominates(one, one)
        assert not any(dominates(one, other) and dominates(other, one) for other in found)


def test_a_tank_that_does_not_fit_is_never_worth_considering() -> None:
    light = candidate(tank_day(0, 1.0), fits=False)
    heavy = candidate(tank_day(2, 9.0), fits=True)
    assert worth_considering([light, heavy]) == (1,)
    assert undominated([light, heavy]) == (0,)
    assert worth_considering([light]) == ()


def test_between_the_ends_the_one_that_saves_most_for_its_mass_is_named() -> None:
    found = [candidate(tank_day(stops, mass)) for stops, mass in ((0, 20.0), (1, 8.0), (2, 7.5), (3, 4.0), (4, 3.0))]
    assert worth_considering(found) == (0, 1, 4)


def test_a_trade_counts_stops_on_the_days_that_both_can_drive() -> None:
    big = candidate(tank_day(0, 8.0), tank_day(1, 9.0), tank_day(2, 9.0), empty=2.0)
    small = candidate(tank_day(2, 5.0), tank_day(1, 6.0), tank_day(5, 5.0, feasible=False), empty=1.5)
    got = trade(big, small)
    assert (got.stops_saved, got.fewer_on, got.more_on, got.saved_days) == (2, 1, 0, 1)
    assert got.heavier == pytest.approx(3.5)
    assert trade(small, big).heavier == pytest.approx(-3.5)


def test_masses_of_empty_tanks_count_only_where_both_are_known() -> None:
    known, unknown = candidate(tank_day(1, 5.0), empty=2.0), candidate(tank_day(1, 5.0))
    assert trade(known, unknown).heavier == 0.0
    assert known.full_mass == pytest.approx(9.0)
    assert unknown.full_mass == pytest.approx(7.0)


def test_today_is_what_the_others_are_held_against() -> None:
    found = [candidate(tank_day(3, 3.0)), candidate(tank_day(2, 4.0), today=True), candidate(tank_day(0, 9.0))]
    answer = answer_of(found)
    assert answer.base == 1
    assert [trade.stops_saved for trade in answer.trades] == [2, 0, -1]
    without = [candidate(tank_day(3, 3.0)), candidate(tank_day(0, 9.0))]
    assert answer_of(without).base == 0


def test_a_day_that_no_gap_could_save_does_not_blame_the_gaps() -> None:
    hopeless = replace(tank_day(feasible=False), with_every_gap=False)
    assert hopeless.gaps_suffice
    assert not replace(hopeless, with_every_gap=True).gaps_suffice
