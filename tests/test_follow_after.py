"""After the day: what is compared, what can be kept and when not, and how bands are judged."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from scipy import stats

from planner.event import Reserve
from planner.follow.after import (
    DAY_TO_DAY,
    FEWEST,
    Logged,
    Result,
    after_json,
    calibration,
    chance_range,
    end_of,
    keep_json,
    logged,
    result_of,
)
from tests.cars import CAR
from tests.pit_days import DAY, LITRE, PLENTY, Log, TrueDay, at, event_of
from tests.test_follow import board

EVENT = replace(DAY, stock=PLENTY)


def followed(*readings: float) -> Log:
    """Filled to 5 L at 9:00, then read after each heat."""
    log = Log().mark(at(9), 5.0)
    for k, litres in enumerate(readings):
        log.level(EVENT.sessions[k].end + timedelta(minutes=2), litres, after=k + 1)
    return log


def states(*readings: float):
    log = followed(*readings)
    return board(log, end_of(EVENT, [entry.at for entry in log.entries], at(23)), EVENT)


def test_each_session_s_forecast_stands_beside_what_happened():
    told = after_json(states(4.4, 3.7), [])
    first, second, third = told["sessions"][:3]
    assert first["use_L"] == pytest.approx(0.6, abs=0.01)
    assert second["use_L"] == pytest.approx(0.7, abs=0.08)  # the level before is known to 0.1 L
    assert first["planned_use_low_L"] < first["planned_use_L"] < first["planned_use_high_L"]
    assert first["level_low_L"] < first["level_expected_L"] < first["level_high_L"]
    assert first["level_read_L"] == 4.4
    assert (third["level_read_L"], third["use_L"], third["inside"]) == (None, None, None)
    assert third["level_expected_L"] < 3.7
    assert "2 sessions over" in told["text"]
    assert [row["assumed"] for row in told["sessions"]] == [False, False, True, True, True, True]


def test_a_reading_after_two_sessions_tells_the_use_of_neither():
    log = Log().mark(at(9), 5.0).level(EVENT.sessions[1].end + timedelta(minutes=2), 3.8, after=2)
    rows = after_json(board(log, at(11, 10), EVENT), [])["sessions"]
    assert rows[0]["level_read_L"] is None
    assert rows[1]["level_read_L"] == 3.8
    assert rows[1]["use_L"] is None
    assert rows[1]["inside"] is True


def test_a_forgotten_fill_is_no_failure_of_the_forecast():
    state = states(4.4, 6.5)
    rows = after_json(state, [])["sessions"]
    assert rows[1]["level_read_L"] == 6.5
    assert rows[1]["inside"] is None
    assert logged(state).judged == 1


def test_sessions_to_come_have_a_forecast_alone():
    rows = after_json(board(followed(4.4), at(10, 0), EVENT), [])["sessions"]
    assert rows[3]["status"] == "planned"
    assert rows[3]["planned_use_L"] > 0
    assert rows[3]["level_expected_L"] is None


def test_what_could_be_kept_is_the_posterior_widened_by_a_night():
    state = states(4.4, 3.7, 3.1)
    result = result_of(state)
    mean, sd = state.factor
    assert isinstance(result, Result)
    assert result.mean == pytest.approx(mean, abs=1e-4)
    assert result.variation == pytest.approx(np.hypot(sd / mean, DAY_TO_DAY), abs=1e-4)
    assert result.readings == 3
    assert "Keep it only if nozzles, filter, pump and blend stay as they were" in keep_json(state, result)["text"]


def test_nothing_is_kept_of_a_day_without_readings_or_with_a_fault():
    assert "no reading has taught anything yet" in result_of(states())
    strange = board(followed(1.2), at(9, 55), EVENT)
    assert strange.past.watch.sound is not None
    assert "a day with a fault says nothing" in result_of(strange)
    told = after_json(strange, [])
    assert told["keep"] is None
    assert "alarm" in told["keep_refusal"]
    assert "0 of 1 reading lay within their 90 % band. An alarm on the use stands" in told["text"]
    assert logged(strange).alarm
    assert not logged(states(4.4)).alarm
    unread = board(Log().mark(at(9), 5.0)(at(9, 55), "done", session=1), at(10), EVENT)
    assert "1 session over; planned use" in after_json(unread, [])["text"]
    assert "No level was read" in after_json(unread, [])["text"]
    assert "The log says of no session" in after_json(states(), [])["text"]
    assert min(row["level_high_L"] for row in told["sessions"] if row["level_high_L"] is not None) >= 0


def test_the_day_is_looked_back_at_from_its_end():
    assert end_of(EVENT, [], at(23)) == EVENT.sessions[-1].end
    assert end_of(EVENT, [at(20)], at(23)) == at(20)
    assert end_of(EVENT, [at(9)], at(12)) == at(12)


@pytest.mark.parametrize("count", [0, 1, 10, 33, 200])
def test_what_chance_gives_is_the_binomial_s_central_range(count):
    least, most = chance_range(count, 0.9)
    assert (least, most) == tuple(int(stats.binom.ppf(chance, count, 0.9)) for chance in (0.025, 0.975))


def days_with(inside: int, judged: int) -> list[Logged]:
    """One logged day of so many readings."""
    return [Logged("Moth Meadow", DAY.date, (1.0, 0.1), (1.0, 0.03), judged, False, inside, judged)]


@pytest.mark.parametrize(
    ("inside", "judged", "holds", "text"),
    [
        (0, 0, None, "No level has been read"),
        (FEWEST - 1, FEWEST - 1, None, "too few to judge"),
        (36, 40, True, "so the bands hold"),
        (25, 40, False, "surer than it should be"),
        (100, 100, False, "wider than they need be"),
    ],
)
def test_bands_are_judged_by_what_chance_gives(inside, judged, holds, text):
    told = calibration(days_with(inside, judged))
    assert told["holds"] is holds
    assert text in told["text"]
    assert told["share"] == (pytest.approx(inside / judged, abs=1e-4) if judged else None)


def test_bands_hold_on_simulated_days():
    rng = np.random.default_rng(4)
    event = event_of([at(9, 30), at(10, 30), at(11, 30), at(14)], runs=6, reserve=Reserve(final=5.0), stock=PLENTY)
    days = []
    for _ in range(30):
        day = TrueDay(event, CAR, rng)
        for k in range(4):
            day.gap(event.sessions[k].start - timedelta(minutes=30))
            state = day.session(k)
        days.append(logged(state))
    told = calibration(days)
    assert told["readings"] == 120
    assert told["holds"], told["text"]


def test_figures_of_a_day_are_those_of_its_board():
    state = states(4.4, 3.7)
    day = logged(state)
    assert day.factor == state.factor
    assert day.before == pytest.approx((1.0, 0.1))
    assert (day.readings, day.judged, day.inside, day.kept) == (2, 2, 2, False)
    assert state.level < 3.7 * LITRE
