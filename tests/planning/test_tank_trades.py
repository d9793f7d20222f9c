"""What a tank buys and costs against another, over several days, and which one the others are held against."""

from __future__ import annotations

from dataclasses import asdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.planning.tank_choice import Answer, Candidate, Trade, answer_of, trade, undominated, worth_considering
from tests.planning.test_tank_choice import candidate, one_day, tank_day


def test_a_trade_holds_every_count_and_both_means_over_the_days_that_both_can_drive() -> None:
    big = candidate(
        tank_day(0, 8.0, washing=0.10),
        tank_day(1, 9.0, washing=0.20),
        tank_day(3, 7.0, washing=0.60),
        tank_day(4, 9.0, feasible=False),
        tank_day(2, 9.0, washing=0.50),
        empty=2.0,
    )
    small = candidate(
        tank_day(2, 5.0, washing=0.30),
        tank_day(2, 6.5, washing=0.60),
        tank_day(1, 5.5, washing=0.50),
        tank_day(5, 1.0, feasible=False),
        tank_day(5, 1.0, feasible=False),
        empty=1.5,
    )
    assert asdict(trade(big, small)) == {
        "stops_saved": 2 + 1 - 2,
        "fewer_on": 2,
        "more_on": 1,
        "days": 5,
        "saved_days": 2 - 1,
        "heavier": pytest.approx((3.0 + 2.5 + 1.5) / 3 + 0.5),
        "washing": pytest.approx((-0.20 - 0.40 + 0.10) / 3),
    }


def test_a_stop_saved_on_one_day_is_a_day_with_fewer_stops() -> None:
    got = trade(candidate(tank_day(1)), candidate(tank_day(2)))
    assert (got.stops_saved, got.fewer_on, got.more_on) == (1, 1, 0)


def test_one_day_is_its_own_mean_and_none_gives_the_tanks_own_masses() -> None:
    one, other = candidate(tank_day(1, 6.0, washing=0.4)), candidate(tank_day(1, 4.0, washing=0.1))
    assert trade(one, other).heavier == pytest.approx(2.0)
    assert trade(one, other).washing == pytest.approx(0.3)
    never = candidate(tank_day(1, 6.0, feasible=False), empty=3.0)
    assert trade(never, candidate(tank_day(1, 4.0), empty=1.0)) == Trade(0, 0, 0, 1, -1, 2.0, 0.0)


def test_a_tank_said_to_weigh_nothing_weighs_nothing() -> None:
    nothing, something = candidate(tank_day(1, 5.0), empty=0.0), candidate(tank_day(1, 5.0), empty=2.0)
    assert trade(nothing, something).heavier == pytest.approx(-2.0)
    assert trade(something, nothing).heavier == pytest.approx(2.0)


days = st.lists(one_day, min_size=3, max_size=3)


@given(days, days)
def test_what_one_tank_buys_the_other_costs(ours: list[object], theirs: list[object]) -> None:
    one, other = candidate(*ours, empty=1.0), candidate(*theirs, empty=2.5)  # type: ignore[arg-type]
    there, back = trade(one, other), trade(other, one)
    assert (there.stops_saved, there.saved_days) == (-back.stops_saved, -back.saved_days)
    assert (there.fewer_on, there.more_on) == (back.more_on, back.fewer_on)
    assert there.heavier == pytest.approx(-back.heavier)
    assert there.washing == pytest.approx(-back.washing)


def test_days_of_other_events_are_not_compared() -> None:
    with pytest.raises(ValueError, match="zip"):
        trade(candidate(tank_day()), candidate(tank_day(), tank_day()))


def _chain(*stops_and_masses: tuple[int, float]) -> list[Candidate]:
    return [candidate(tank_day(stops, mass)) for stops, mass in stops_and_masses]


@pytest.mark.parametrize(
    ("found", "knee"),
    [
        (_chain((0, 20.0), (1, 8.0), (2, 7.5), (3, 4.0), (4, 3.0)), 1),
        (_chain((0, 20.0), (1, 18.0), (2, 15.0), (3, 5.0), (4, 3.0)), 3),
        (_chain((2, 20.0), (3, 19.0), (4, 11.0), (10, 7.0), (11, 2.0)), 2),
        (_chain((1, 20.0), (5, 9.0), (6, 7.0), (9, 6.9)), 2),
        (_chain((1, 10.0), (2, 9.0), (3, 4.0), (4, 3.9)), 2),
        (_chain((5, 20.0), (6, 12.0), (9, 4.5), (11, 2.0)), 1),
    ],
)
def test_the_tank_between_the_ends_lies_farthest_below_their_line(found: list[Candidate], knee: int) -> None:
    first, last = found[0], found[-1]

    def below(one: Candidate) -> float:
        """Twice the area of the triangle with the two ends, which grows with the distance below their line."""
        return (last.stops - first.stops) * (first.carried - one.carried) - (one.stops - first.stops) * (
            first.carried - last.carried
        )

    assert max(range(1, len(found) - 1), key=lambda k: below(found[k])) == knee
    assert worth_considering(found) == (0, knee, len(found) - 1)


def test_without_todays_tank_the_lightest_worth_considering_is_what_the_others_are_held_against() -> None:
    found = _chain((0, 9.0), (2, 5.0), (3, 3.0), (4, 3.5))
    assert answer_of(found) == Answer(
        undominated=(0, 1, 2), worth=(0, 1, 2), base=2, trades=tuple(trade(found[k], found[2]) for k in (0, 1, 2))
    )


def test_where_no_tank_is_worth_considering_the_first_is_the_base_and_nothing_is_traded() -> None:
    never = [candidate(tank_day(feasible=False)), candidate(tank_day(feasible=False))]
    answer = answer_of(never)
    assert answer == Answer(undominated(never), (), 0, ())
