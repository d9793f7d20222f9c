"""The gaps as whole records: numbers, seconds, what can be poured and the full reason of each refusal."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from planner.event import Refill
from planner.planning.gaps import Gap, gaps_of
from tests.planning.test_gaps import LONDON, RULES, day

HERE = "the event file forbids a refill here (refill = false)"


def test_a_gap_is_told_whole() -> None:
    assert gaps_of(day(pause=10), RULES) == (
        Gap(1, float("inf"), True, float("inf"), ""),
        Gap(2, 600.0, True, 240.0 * RULES.pour_rate, ""),
    )


def test_time_since_the_crew_was_ready_limits_the_first_pour_too() -> None:
    ready = datetime(2026, 5, 16, 9, 52, tzinfo=LONDON)
    assert gaps_of(day(), RULES, ready, first_number=3)[0] == Gap(3, 480.0, True, 120.0 * RULES.pour_rate, "")


@pytest.mark.parametrize(
    ("gap", "refill", "pause", "reason"),
    [
        ("grid", None, 40, "the car stands at grid; refills are allowed at paddock or pit lane"),
        ("paddock", False, 40, HERE),
        ("grid", False, 1, HERE),
        ("grid", None, 1, "the car stands at grid; refills are allowed at paddock or pit lane"),
        ("grid", True, 4, "4 min is too short: setting up alone takes 6 min"),
        ("pit lane", None, 6, "6 min is too short: setting up alone takes 6 min"),
    ],
)
def test_each_reason_for_a_refusal_is_told_whole(gap: str, refill: bool | None, pause: float, reason: str) -> None:
    rules = replace(RULES, stop_at=("paddock", "pit lane"))
    assert gaps_of(day(gap, refill, pause), rules)[1] == Gap(2, pause * 60, False, 0.0, reason)


def test_where_no_place_is_named_a_refill_is_allowed_nowhere_that_has_a_name() -> None:
    rules = Refill(setup=360.0, pour_rate=2e-3 / 60, stop_at=())
    assert gaps_of(day("paddock"), rules)[1].reason == "the car stands at paddock; refills are allowed at nowhere"
    assert gaps_of(day(None), rules)[1].refill_possible


def test_a_refusal_tells_minutes_to_the_minute() -> None:
    slow = replace(RULES, setup=45 * 60.0)
    assert gaps_of(day(pause=40), slow)[1].reason == "40 min is too short: setting up alone takes 45 min"


def test_the_least_gap_lasts_longer_than_setting_up() -> None:
    assert not gaps_of(day(pause=6), RULES)[1].refill_possible
    assert gaps_of(day(pause=6.02), RULES)[1].refill_possible
