"""The board: what is next, what the readings teach, which alarms stand, through every turn a day takes."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from freezegun import freeze_time

from planner.day import plan_day
from planner.entry import Entry
from planner.errors import BadInput
from planner.event import Reserve
from planner.follow import clock_for, detectability_of, follow_day
from planner.follow.json import pit_json
from tests.cars import CAR
from tests.pit_days import DAY, LITRE, PLENTY, SMALL, Log, TrueDay, at, event_of

ACTIONS = {"fill", "refill", "go", "over"}


def board(log: Log | None, moment: datetime, event=DAY, car=CAR, **options):
    return follow_day(event, car, log.entries if log else [], moment, **options)


def mark_of(event=DAY, car=CAR) -> float:
    return plan_day(event, car).refills.best.marks[0] / LITRE


def started(event=DAY, car=CAR) -> Log:
    return Log().mark(at(9), mark_of(event, car))


def test_before_the_day_the_board_says_what_the_plan_says():
    state = board(None, at(8))
    plan = plan_day(DAY, CAR)
    assert state.action.kind == "fill"
    assert state.action.session == 1
    assert state.action.mark == plan.refills.best.marks[0]
    assert state.action.by < at(9, 30)
    assert f"Fill to {state.action.mark / LITRE:.2f} L" in state.action.text
    assert "start by 09:" in state.action.text
    assert state.alarms == ()
    assert state.change == ""


def test_after_the_fill_nothing_is_left_to_fill():
    state = board(started(), at(9, 5))
    assert state.action.kind == "go"
    assert state.action.text.startswith("Nothing to fill before Heat 1 at 09:30.")
    assert state.level == pytest.approx(mark_of() * LITRE)
    assert "Filled to" in state.change


TWO = event_of([at(9, 30), at(10, 30)], reserve=Reserve(final=15.0))


@pytest.mark.parametrize("litres", [4.85, 4.9, 4.95])
def test_a_fill_that_is_likely_not_needed_is_still_told_for_a_level_that_reads_lower(litres):
    action = board(Log().mark(at(9, 10), mark_of(TWO)).level(at(9, 55), litres, after=1), at(9, 56), event=TWO).action
    assert action.kind == "refill"
    assert action.add < 1e-4 <= action.most
    assert f"only if it reads less, {action.most / LITRE:.1f} L at most" in action.text


def test_nothing_is_to_be_filled_only_where_the_worst_of_100_days_needs_less_than_a_tenth_of_a_litre():
    for litres in np.arange(4.5, 5.6, 0.05):
        log = Log().mark(at(9, 10), mark_of(TWO)).level(at(9, 55), float(litres), after=1)
        state = board(log, at(9, 56), event=TWO)
        added = state.ahead.plan.refills.levels.added(state.ahead.plan.problem, state.ahead.before)
        assert (state.action.kind == "go") == (np.quantile(added, 0.99) < 1e-4)


def test_a_fill_that_is_too_small_is_not_enough():
    log = Log()(at(9), "fill", to_mark=False, add_L=1.0)
    state = board(log, at(9, 5))
    assert state.action.kind == "refill"
    assert state.action.session == 1


def test_time_for_the_first_fill_runs_out():
    state = board(None, at(9, 28))
    assert state.action.kind in ("go", "refill")
    assert {alarm.code for alarm in state.alarms} >= {"reserve"}


def test_during_a_session_the_level_falls_with_the_clock():
    levels = [board(started(), at(9, minute)).level for minute in (30, 35, 40, 45, 50)]
    assert np.all(np.diff(levels) < 0)
    assert np.diff(levels) == pytest.approx(np.full(4, np.diff(levels)[0]), rel=1e-6)
    assert pit_json(board(started(), at(9, 40)))["running"]["name"] == "Heat 1"


def test_a_low_reading_raises_the_factor_and_a_high_one_lowers_it():
    expected = board(started(), at(9, 55)).level / LITRE
    low = board(started().level(at(9, 55), expected - 0.15), at(9, 56))
    high = board(started().level(at(9, 55), expected + 0.15), at(9, 56))
    assert low.factor[0] > 1.01 > 0.99 > high.factor[0]
    assert low.factor[1] < board(started(), at(9, 55)).factor[1]
    assert "less than expected" in low.change
    assert "The car now counts as using 1.0" in low.change


def test_an_undo_restores_what_was_known():
    log = started().level(at(9, 55), 3.0)
    undone = board(log(at(9, 56), "undo", undoes="e2"), at(9, 57))
    plain = board(started(), at(9, 57))
    assert undone.factor == plain.factor
    assert undone.level == plain.level
    assert "Taken back: level 3.00 L" in undone.change
    assert pit_json(undone)["entries"][1]["undone"] is True


def test_real_runs_count():
    fewer = board(started()(at(9, 45), "done", session=1, runs=1), at(9, 46)).level
    planned = board(started()(at(9, 45), "done", session=1), at(9, 46)).level
    used = mark_of() * LITRE - planned
    assert mark_of() * LITRE - fewer == pytest.approx(used / 3)


def test_a_cancelled_session_uses_nothing_and_lowers_the_next_mark():
    event = event_of([at(9, 30), at(10, 30), at(11, 30)], runs=1, reserve=Reserve(final=15.0))
    state = board(Log()(at(8), "cancelled", session=3, session_name="Heat 3"), at(8, 30), event)
    assert state.action.mark < mark_of(event) * LITRE
    assert pit_json(state)["sessions"][2]["status"] == "cancelled"
    assert "Heat 3 cancelled. Fill to" in state.change


def test_a_late_day_moves_the_time_to_begin():
    early, late = board(None, at(8)), board(Log()(at(8), "late", minutes=15), at(8))
    assert late.action.by - early.action.by == timedelta(minutes=15)
    assert "Heat 1 starts 15 min later than planned." in late.notices


def test_a_session_running_over_is_asked_after():
    state = board(started(), at(9, 58))
    assert any("Heat 1 should be over since 09:50" in notice for notice in state.notices)
    assert not any("should be over" in notice for notice in board(started(), at(10, 15)).notices)


def test_a_refill_comes_up_when_its_leg_is_used_up():
    state = board(Log().mark(at(9), mark_of(DAY, SMALL)), at(9, 5), DAY, SMALL)
    assert state.action.kind == "go"
    assert "Next refill: before Heat" in state.action.text
    day = TrueDay(DAY, SMALL, np.random.default_rng(1))
    kinds = []
    for k in range(6):
        kinds.append(day.board(DAY.sessions[k].start - timedelta(minutes=20)).action.kind)
        day.gap(DAY.sessions[k].start - timedelta(minutes=20))
        day.session(k)
    assert kinds[0] == "fill"
    assert 1 <= kinds.count("refill") <= 2


def test_a_stop_follows_its_plan_unless_the_readings_say_otherwise():
    """The plan for the rest of the day has the same stops when the readings are as expected."""
    planned = plan_day(DAY, SMALL).refills.best.stops
    log = Log().mark(at(9), mark_of(DAY, SMALL))
    state = board(log, at(9, 5), DAY, SMALL)
    assert [fill["before_session"] for fill in pit_json(state)["refills"]] == [stop + 1 for stop in planned]


def test_use_far_over_plan_brings_the_stop_forward_or_the_mark_up():
    log = Log().mark(at(9), mark_of(DAY, SMALL))
    plain = pit_json(board(log, at(9, 52), DAY, SMALL))
    expected = board(log, at(9, 52), DAY, SMALL).level / LITRE
    heavy = pit_json(board(log.level(at(9, 52), expected - 0.25), at(9, 53), DAY, SMALL))
    first = [(fill["before_session"], -fill["mark_L"]) for fill in plain["refills"]]
    assert [(fill["before_session"], -fill["mark_L"]) for fill in heavy["refills"]] < first or len(
        heavy["refills"]
    ) > len(first)


def test_a_clogged_nozzle_is_an_alarm_with_what_to_do():
    """28 runs of 24 s a session leave 2 mm of dip error small beside the use."""
    event = event_of([at(9, 30), at(10, 30), at(11, 30), at(14)], runs=12, reserve=Reserve(final=5.0, extra=0))
    day = TrueDay(event, CAR, np.random.default_rng(2))
    day.factor = 1.0
    for k in range(2):
        day.gap(event.sessions[k].start - timedelta(minutes=30))
        assert not [alarm for alarm in day.session(k).alarms if alarm.code.startswith("used")]
    alarms = [day.session(k, 0.5).alarms for k in (2, 3) if day.gap(event.sessions[k].start - timedelta(minutes=30))]
    assert alarms[1][0].code == "used-too-little"
    assert "full boost" in alarms[1][0].text


def test_a_leak_is_an_alarm():
    state = board(started().level(at(9, 55), 1.0), at(9, 56))
    assert "used-too-much" in [alarm.code for alarm in state.alarms]


def test_a_tank_read_empty_says_that_injection_starved():
    log = Log()(at(9), "fill", to_mark=False, add_L=0.6).level(at(9, 55), 0.3)
    alarms = board(log, at(9, 56)).alarms
    assert alarms[0].code == "ran-dry"
    assert "Do not run again before it is filled" in alarms[0].text


def test_stock_that_will_not_last_is_an_alarm():
    log = Log().mark(at(9), mark_of(DAY, SMALL))(at(9, 10), "stock", left_L=0.1)
    short = [alarm for alarm in board(log, at(9, 15), DAY, SMALL).alarms if alarm.code == "stock"]
    assert "will not last the day" in short[0].text
    log(at(9, 20), "stock", left_L=30.0)
    assert "stock" not in [alarm.code for alarm in board(log, at(9, 25), DAY, SMALL).alarms]


def test_the_jugs_are_counted_down():
    event = replace(DAY, stock=PLENTY)
    before = board(None, at(8), event).stock_left
    assert board(started(event), at(9, 5), event).stock_left == pytest.approx(before - mark_of(event) * LITRE)
    counted = started(event)(at(9, 1), "stock", left_L=4.0)(at(9, 2), "fill", to_mark=False, add_L=1.0)
    assert board(counted, at(9, 5), event).stock_left == pytest.approx(3 * LITRE)


def test_a_day_without_a_plan_is_still_followed():
    event = event_of([at(9), at(10)], runs=40)
    state = board(None, at(8), event, SMALL)
    assert state.action.kind == "fill"
    assert state.action.mark == SMALL.tank.limit
    assert "no-plan" in [alarm.code for alarm in state.alarms]
    assert json.dumps(pit_json(state), allow_nan=False)


def test_a_fill_nobody_logged_is_assumed_and_said():
    state = board(None, at(10, 0))
    assert "The fill before Heat 1 is not in the log; it is taken as made to" in state.notices[0]
    assert state.level > 0.5 * mark_of() * LITRE
    assert not board(started(), at(10, 15)).notices


def test_with_the_amount_poured_a_fill_to_the_mark_tells_the_use():
    log = started()
    log(at(9, 55), "fill", to_mark=True, mark_L=mark_of(), mark_mm=1.0, add_L=1.0)
    poured = board(log, at(10, 0))
    assert poured.past.watch.learnt == 1
    assert poured.level == pytest.approx(mark_of() * LITRE)


def test_after_the_last_session_the_day_is_over():
    state = board(started(), at(17))
    assert state.action.kind == "over"
    assert state.ahead is None
    assert pit_json(state)["next"]["session"] is None


def test_a_reading_beyond_the_tank_s_brim_is_taken_as_full():
    assert board(Log().level(at(9), CAR.tank.capacity / LITRE + 0.4), at(9, 5)).level <= CAR.tank.capacity


def test_a_clock_without_a_zone_is_refused():
    with pytest.raises(BadInput, match="a time needs an offset"):
        follow_day(DAY, CAR, [], datetime(2026, 5, 16, 12, 0))


def test_the_board_speaks_the_event_s_time_wherever_the_clock_is():
    state = board(None, at(8).astimezone(UTC))
    assert state.now.utcoffset() == timedelta(hours=1)
    assert pit_json(state)["now"].endswith("+01:00")


@freeze_time("2026-05-16T09:40:00+01:00")
def test_the_frozen_clock_moves_the_board():
    state = board(started(), datetime.now(UTC))
    assert state.timeline.on.number == 1


def test_a_day_across_the_night_keeps_the_level():
    event = event_of([at(15), at(16), at(9, day=17), at(10, day=17)])
    state = board(Log().mark(at(14), 5.0).level(at(16, 25), 3.5), at(7, day=17), event)
    assert state.timeline.next.number == 3
    assert state.level == pytest.approx(3.5 * LITRE, rel=0.05)


def test_a_clock_change_in_the_night_keeps_the_countdown_right():
    """London's clock goes back on 25 October 2026."""
    base = event_of(
        [datetime(2026, 10, 25, 0, 30, tzinfo=at(9).tzinfo), datetime(2026, 10, 25, 3, 0, tzinfo=at(9).tzinfo)]
    )
    state = board(None, datetime(2026, 10, 24, 23, 0, tzinfo=UTC), base)
    assert state.timeline.next.number == 1
    later = board(None, datetime(2026, 10, 25, 1, 30, tzinfo=UTC), base)
    assert later.timeline.next.session.start.isoformat() == "2026-10-25T03:00:00+00:00"
    assert (later.timeline.next.session.start.astimezone(UTC) - later.now.astimezone(UTC)) == timedelta(minutes=90)


def test_the_clock_to_show_for_a_day_long_past_is_its_last_entry_s():
    log = started().level(at(9, 55), 4.0)
    assert clock_for(DAY, log.entries, at(12)) == at(12)
    assert clock_for(DAY, log.entries, at(12) + timedelta(days=60)) == at(9, 55)
    assert clock_for(DAY, [], at(12) + timedelta(days=60)) == at(12) + timedelta(days=60)


def test_the_board_has_every_key_that_scripts_rely_on():
    shown = pit_json(board(started().level(at(9, 55), 4.0), at(9, 56)))
    keys = {"now", "level_expected_L", "level_read_L", "car_factor", "next", "sessions", "alarms", "entries"}
    assert keys <= set(shown)
    assert {"mean", "sd"} <= set(shown["car_factor"])
    assert {"session", "action", "mark_L", "mark_mm", "by"} <= set(shown["next"])
    assert shown["next"]["action"] in ACTIONS
    row = {"name", "start", "runs", "use_mean_L", "use_p50_L", "use_p90_L", "use_p99_L", "floor_L", "short_chance"}
    row |= {"unusable_level_L", "unusable_slosh_L", "level_start_p50_L", "level_end_p50_L", "level_end_p01_L"}
    assert all(row <= set(session) for session in shown["sessions"])
    assert [session["number"] for session in shown["sessions"]] == [1, 2, 3, 4, 5, 6]
    assert {"id", "at", "kind", "value", "undone"} <= set(shown["entries"][0])
    assert shown["level_read_L"] == 4.0
    assert json.dumps(shown, allow_nan=False)


def test_every_minute_of_a_day_has_a_board():
    log = started().level(at(9, 52), 4.6)(at(10, 51), "done", session=2)(at(11, 0), "late", minutes=7)
    for minute in range(0, 12 * 60, 23):
        shown = pit_json(board(log, at(7) + timedelta(minutes=minute)))
        assert json.dumps(shown, allow_nan=False)
        assert shown["next"]["text"]


def test_an_entry_of_a_kind_from_a_later_program_does_no_harm():
    log = started()
    log.entries.append(Entry("x", at(9, 10), "weather", {"rain": True}, number=2))
    assert board(log, at(9, 15)).level == pytest.approx(mark_of() * LITRE)


def test_whether_a_clogged_nozzle_would_be_found_is_told():
    verdict = detectability_of(board(None, at(8)))
    assert "Flow at 70% would show within two readings on" in verdict.text
    narrow = replace(CAR, tank=replace(CAR.tank, shape=replace(CAR.tank.shape, length=0.9)))
    assert detectability_of(board(None, at(8), car=narrow)).chance < verdict.chance


def test_healthy_days_that_follow_the_board_raise_no_alarm():
    rng, alarmed = np.random.default_rng(8), []
    event = replace(DAY, stock=PLENTY)
    for _ in range(25):
        day = TrueDay(event, SMALL, rng)
        for k in range(6):
            states = [day.gap(event.sessions[k].start - timedelta(minutes=30)), day.session(k)]
            alarmed += [alarm.code for state in states for alarm in state.alarms]
    assert alarmed == []
