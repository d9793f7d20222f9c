"""What would make a plan possible: a larger tank, a lower confidence, one more gap, no extra run; days by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import Mend
from planner.planning.gaps import Gap
from planner.planning.mends import breaking_session, holds_session_by_session, is_feasible, no_plan, smallest_scale
from planner.planning.problem import Problem

DRAWS = 640


def a_day(*uses: float, limit: float, may_fill: Sequence[bool] = (), **more: object) -> Problem:
    """Sessions that use so much [m3] in every draw, over a floor of 0.5 m3; the first starts filled to the limit."""
    count, allowed = len(uses), np.array(may_fill or (True, *(False,) * (len(uses) - 1)))
    problem = Problem(
        drain=np.repeat(np.array(uses)[:, None], DRAWS, axis=1),
        expected=np.array(uses),
        unit=np.full(count, 0.25),
        floor=np.full(count, 0.5),
        may_fill=allowed,
        can_pour=np.where(allowed, np.inf, 0.0),
        minutes=np.full(count, 60.0),
        limit=limit,
        in_tank=0.0,
        prime=0.0,
        confidence=0.99,
        extra=0.0,
        washing=(0.0, 0.0),
        density=927.0,
    )
    return replace(problem, **more)  # type: ignore[arg-type]


def in_a_few(problem: Problem, more: float, draws: int) -> Problem:
    """The same day on which the first session takes more [m3] in some of the draws; its mean stands."""
    drain = problem.drain.copy()
    drain[0, :draws] += more
    return replace(problem, drain=drain)


def mends_of(problem: Problem, scales: bool = False) -> list[Mend]:
    """What would mend a day whose sessions are called H4, H5 and so on; whether a larger tank holds more."""
    assert not is_feasible(problem)
    names = [f"H{k + 4}" for k in range(problem.sessions)]
    gaps = [Gap(k + 4, 60.0, bool(problem.may_fill[k]), 0.0, f"closed {k + 4}") for k in range(problem.sessions)]
    reason = no_plan(
        problem,
        names,
        gaps,
        capacity=8e-3,
        problem_at=lambda scale: replace(problem, limit=problem.limit * (scale if scales else 1.0)),
    )
    return list(reason.mends)


def gap(number: int) -> Mend:
    """The mend that opens the gap before a session."""
    return Mend("gap", f"allow one refill before H{number} (now refused: closed {number})", float(number))


NONE = Mend("none", "no single change does it: shorten the sessions, or change tank and gaps together")


@pytest.mark.parametrize(
    ("uses", "may_fill", "numbers"),
    [
        ((4.0, 4.0), (True, False), [5]),
        ((2.0, 2.0, 2.0, 2.0), (True, False, False, False), [6]),
        ((1.0, 2.0, 2.0, 2.0), (True, True, False, False), [6, 7]),
        ((2.0, 2.0, 2.0), (True, False, False), [5, 6]),
    ],
)
def test_every_gap_that_alone_would_do_is_named_with_why_it_is_closed(
    uses: tuple[float, ...], may_fill: tuple[bool, ...], numbers: list[int]
) -> None:
    assert mends_of(a_day(*uses, limit=5.0, may_fill=may_fill)) == [gap(number) for number in numbers]


def test_the_gap_before_the_first_session_is_named_too() -> None:
    day = a_day(4.0, 1.0, limit=6.0, may_fill=(False, False), in_tank=2.0)
    assert mends_of(day) == [gap(4)]


def test_where_no_single_change_does_it_that_is_said() -> None:
    assert mends_of(a_day(4.0, 4.0, 4.0, limit=5.0)) == [NONE]
    assert mends_of(a_day(6.0, limit=5.0, extra=1.0)) == [NONE]


@pytest.mark.parametrize(("short", "confidence"), [(85, 0.867), (320, 0.5), (200, 0.687)])
def test_the_confidence_offered_is_the_days_best_rounded_down(short: int, confidence: float) -> None:
    assert confidence == np.floor((DRAWS - short) / DRAWS * 1000) / 1000
    text = f"accept a confidence of {confidence:.3f} instead of 0.99: the highest this tank reaches"
    assert mends_of(in_a_few(a_day(4.0, limit=5.0), 1.0, short)) == [Mend("confidence", text, confidence)]


def test_less_than_even_odds_are_not_offered_nor_a_confidence_that_would_not_do() -> None:
    assert mends_of(in_a_few(a_day(4.0, limit=5.0), 1.0, 322)) == [NONE]
    assert mends_of(in_a_few(a_day(4.0, limit=5.0, expected=np.array([4.75])), 1.0, 85)) == [NONE]


@pytest.mark.parametrize("extra", [0.5, 1.0, 2.0])
def test_the_extra_run_is_given_up_where_that_does_it(extra: float) -> None:
    text = "keep no extra run on top of each leg (reserve.extra = 0)"
    assert mends_of(a_day(4.0, limit=4.5, extra=extra)) == [Mend("extra", text, 0.0)]


def test_mends_come_in_the_order_tank_confidence_gap_extra() -> None:
    day = in_a_few(a_day(2.0, 2.0, limit=4.5), 0.5, 85)
    assert [mend.kind for mend in mends_of(day, scales=True)] == ["tank", "confidence", "gap"]
    day = a_day(2.0, 2.0, limit=4.5, extra=1.0)
    assert [mend.kind for mend in mends_of(day, scales=True)] == ["tank", "gap", "extra"]


@given(st.floats(1.001, 15.9))
def test_the_smallest_scale_is_that_of_the_least_tank_to_one_part_in_180(least: float) -> None:
    day = a_day(4.0, limit=4.5 / least)
    scale = smallest_scale(lambda factor: replace(day, limit=day.limit * factor))
    assert scale is not None
    assert least * (1 - 1e-9) <= scale <= least * (1 + 1 / 180)


def test_a_tank_more_than_sixteen_times_as_large_is_not_offered() -> None:
    day = a_day(4.0, limit=4.5 / 16.1)
    assert smallest_scale(lambda factor: replace(day, limit=day.limit * factor)) is None
    assert smallest_scale(lambda factor: replace(day, limit=day.limit * factor), top=17.0) is not None
    assert mends_of(day, scales=True) == [NONE]


@pytest.mark.parametrize("just", [1 - 1e-6, 1 + 1e-6])
def test_the_tank_offered_is_the_least_one_rounded_up_to_a_tenth_of_a_litre(just: float) -> None:
    day = a_day(4.0, limit=3.0)
    scale = smallest_scale(lambda factor: replace(day, limit=day.limit * factor))
    assert scale is not None
    capacity = 12.4e-3 / scale * just
    offered = 12.4 if just < 1 else 12.5
    reason = no_plan(
        day,
        ["a"],
        [Gap(1, np.inf, True, np.inf, "")],
        capacity=capacity,
        problem_at=lambda factor: replace(day, limit=day.limit * factor),
    )
    text = f"fit a tank of {offered} L of the same shape instead of {12.4 / scale:.1f} L"
    (mend,) = reason.mends
    assert (mend.kind, mend.text) == ("tank", text)
    assert mend.value == pytest.approx(offered / 1e3, rel=1e-9)


@pytest.mark.parametrize(("uses", "number"), [((6.0, 1.0), 4), ((2.0, 2.0, 2.0), 6), ((1.0, 1.0, 3.5, 1.0), 6)])
def test_the_message_names_the_session_that_breaks_the_day_by_its_own_number(
    uses: tuple[float, ...], number: int
) -> None:
    day = a_day(*uses, limit=5.004e-3)
    day = replace(day, drain=day.drain / 1e3, expected=day.expected / 1e3, floor=day.floor / 1e3, confidence=0.975)
    gaps = [Gap(k + 4, 60.0, False, 0.0, "closed") for k in range(day.sessions)]
    reason = no_plan(day, [f"H{k + 4}" for k in range(day.sessions)], gaps, capacity=5e-3, problem_at=lambda _: day)
    assert reason.session == number
    assert reason.message == (
        f"no plan exists: session {number} (H{number}) cannot be driven with 97.5% confidence, "
        "even with the tank filled to 5.00 L at every allowed stop"
    )


def test_the_tank_of_today_is_told_to_a_tenth_of_a_litre() -> None:
    day = a_day(4.0, limit=3.0)
    reason = no_plan(
        day,
        ["a"],
        [Gap(1, np.inf, True, np.inf, "")],
        capacity=8.049e-3,
        problem_at=lambda factor: replace(day, limit=day.limit * factor),
    )
    assert reason.mends[0].text.endswith("of the same shape instead of 8.0 L")


def test_a_session_that_ends_exactly_at_its_floor_does_not_break_the_day() -> None:
    assert breaking_session(a_day(4.5, 0.25, 0.25, limit=5.0)) == 1
    assert breaking_session(in_a_few(a_day(4.25, 0.25, 0.25, limit=5.0), 0.25, 320)) == 1


def test_as_many_draws_as_may_fail_do_not_break_the_day_and_one_more_does() -> None:
    """Of 640 draws 634 must hold; those that failed once stay lost, though the tank is filled again."""
    day = a_day(4.0, 4.0, 4.0, limit=5.0, may_fill=(True, True, True))
    most = in_a_few(day, 1.0, 6)
    assert is_feasible(most)
    drain = most.drain.copy()
    drain[1, 6] += 1.0
    assert breaking_session(replace(most, drain=drain)) == 1
    drain = most.drain.copy()
    drain[1, 5] += 1.0
    drain[2, 7] += 1.0
    assert breaking_session(replace(most, drain=drain)) == 2
    assert breaking_session(in_a_few(day, 1.0, 7)) == 0


def test_each_leg_needs_its_own_mean_use_alone_and_the_first_the_priming() -> None:
    day = a_day(4.0, 2.0, 4.0, limit=5.0, may_fill=(True, True, False))
    assert breaking_session(day) == 2
    day = a_day(3.0, 1.0, 4.0, limit=4.5, may_fill=(True, False, True), prime=0.25, confidence=0.5)
    assert breaking_session(day) == 1


def test_a_day_that_may_not_be_filled_at_its_start_lives_on_what_is_in_the_tank() -> None:
    assert breaking_session(a_day(1.0, 0.75, 1.0, limit=5.0, may_fill=(False,) * 3, in_tank=2.5)) == 2


def test_a_pour_cut_short_breaks_the_day_where_its_mean_use_and_extra_run_no_longer_fit() -> None:
    """5 m3 less 2 leave 3; 0.25 is poured; 2 and an extra of 1 over 0.5 want 3.5. The third session is filled."""
    day = a_day(2.0, 2.0, 2.0, limit=5.0, may_fill=(True, True, True), extra=4.0)
    assert is_feasible(day)
    short = replace(day, can_pour=np.array([np.inf, 0.25, np.inf]))
    assert not is_feasible(short)
    assert breaking_session(short) == 1
    assert is_feasible(replace(day, can_pour=np.array([np.inf, 0.5, np.inf])))
    primed = replace(day, can_pour=np.array([np.inf, 0.5, np.inf]), prime=0.25)
    assert breaking_session(primed) == 1


@pytest.mark.parametrize(("limit", "holds"), [(2.74, False), (2.75, True), (2.76, True)])
def test_refilled_before_each_session_the_first_takes_the_priming_too(limit: float, holds: bool) -> None:
    day = a_day(2.0, 2.0, limit=limit, prime=0.25, expected=np.array([1.0, 1.0]))
    assert holds_session_by_session(day) == holds


@pytest.mark.parametrize(("limit", "holds"), [(2.74, False), (2.75, True)])
def test_refilled_before_each_session_the_mean_use_and_its_extra_run_must_fit(limit: float, holds: bool) -> None:
    day = a_day(1.0, 1.0, limit=limit, extra=1.0, expected=np.array([1.0, 2.0]))
    assert holds_session_by_session(day) == holds


@pytest.mark.parametrize(("short", "holds"), [(64, True), (65, False)])
def test_refilled_before_each_session_as_many_draws_must_hold_as_the_confidence_asks(short: int, holds: bool) -> None:
    assert holds_session_by_session(in_a_few(a_day(4.0, limit=5.0, confidence=0.9), 1.0, short)) == holds
