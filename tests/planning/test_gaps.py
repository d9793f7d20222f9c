"""Gaps: elapsed time across clock changes, what can be poured, and the reason for every refusal."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from planner.event import Refill, Session
from planner.planning.gaps import gaps_of, seconds_between

LONDON = ZoneInfo("Europe/London")
RULES = Refill(setup=360.0, pour_rate=2e-3 / 60, stop_at=("paddock",))


def session(start: datetime, gap: str | None = "paddock", refill: bool | None = None, minutes: float = 20) -> Session:
    """A session of 20 minutes."""
    return Session("s", start, minutes * 60, "c", 5, gap=gap, refill=refill)


def day(gap: str | None = "paddock", refill: bool | None = None, pause: float = 40) -> list[Session]:
    """Two sessions with a pause [min] between."""
    first = session(datetime(2026, 5, 16, 10, 0, tzinfo=LONDON))
    return [first, session(first.start + timedelta(minutes=20 + pause), gap, refill)]


def test_the_gap_before_the_first_session_is_all_the_time_there_is() -> None:
    first, second = gaps_of(day(), RULES)
    assert first.refill_possible
    assert first.seconds == float("inf")
    assert second.seconds == 40 * 60


def test_what_can_be_poured_is_the_time_left_after_setting_up() -> None:
    assert gaps_of(day(pause=10), RULES)[1].can_pour == pytest.approx(4 * 2e-3)


@pytest.mark.parametrize(
    ("gap", "refill", "pause", "fragment"),
    [
        ("grid", None, 40, "the car stands at grid; refills are allowed at paddock"),
        ("paddock", False, 40, "refill = false"),
        ("paddock", None, 6, "6 min is too short: setting up alone takes 6 min"),
        ("paddock", None, 3, "3 min is too short"),
    ],
)
def test_every_refusal_has_its_reason(gap: str, refill: bool | None, pause: float, fragment: str) -> None:
    refused = gaps_of(day(gap, refill, pause), RULES)[1]
    assert not refused.refill_possible
    assert refused.can_pour == 0.0
    assert fragment in refused.reason


def test_true_allows_a_refill_whatever_the_gap_is_called_and_no_list_allows_all() -> None:
    assert gaps_of(day("grid", True), RULES)[1].refill_possible
    assert gaps_of(day("grid"), replace(RULES, stop_at=None))[1].refill_possible
    assert gaps_of(day(None), RULES)[1].refill_possible


def test_time_across_a_clock_change_is_elapsed_time() -> None:
    # Europe/London goes forward at 01:00 UTC on 29 March 2026 (tz database).
    before = datetime(2026, 3, 29, 0, 30, tzinfo=LONDON)
    after = datetime(2026, 3, 29, 2, 30, tzinfo=LONDON)
    assert seconds_between(before, after) == 3600
    assert session(before, minutes=60).end == after


def test_numbers_go_on_when_a_day_is_planned_again() -> None:
    late = datetime(2026, 5, 16, 9, 50, tzinfo=LONDON)
    first, second = gaps_of(day(), RULES, late, first_number=4)
    assert (first.before_session, second.before_session) == (4, 5)
    assert first.seconds == 600
