"""What each alarm says, and the chances at which its steps come: whole alarms, built by hand from counted draws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from planner.planning.alarms import (
    LITTLE_A_DAY,
    MUCH_A_DAY,
    Alarm,
    Coming,
    alarm_chance,
    detectability,
    least_chances,
    level_alarms,
    level_rose,
    ran_dry,
    stock_alarm,
    use_alarm,
)
from planner.use.learning import Predicted
from planner.use.spread import CarFactor, log_sd

LITRE = 1e-3


def told(lower: float, reading: float = 3.4549, expected: float = 2.5) -> Predicted:
    """A reading and what was expected, in litres, with the chance of one as low or lower."""
    return Predicted(reading * LITRE, expected * LITRE, 0.1 * LITRE, lower)


def test_a_days_chance_is_shared_among_its_readings() -> None:
    assert alarm_chance(0.006, 5) == pytest.approx(0.001)
    assert alarm_chance(0.006, 1) == alarm_chance(0.006, 0) == pytest.approx(0.005)


@given(st.lists(st.floats(-5, 5), min_size=1, max_size=8))
def test_one_two_and_four_readings_are_judged_by_the_sum_of_their_scores(scores: list[float]) -> None:
    chances = []
    for count, share in ((1, 0.4), (2, 1.0), (4, 0.25)):
        if count <= len(scores):
            total = sum(scores[len(scores) - count :])
            law = stats.norm(scale=count**0.5)
            chances.append((law.sf(total) / share, law.cdf(total) / share))
    little, much = zip(*chances, strict=True)
    assert least_chances(scores) == (pytest.approx(min(little), rel=1e-9), pytest.approx(min(much), rel=1e-9))


def _score(budget: float, readings: int, chance: float) -> float:
    """The score at which one reading's chance is a share of what the day's budget allows it."""
    return float(stats.norm.isf(chance * 0.4 * budget / (1.2 * readings)))


@pytest.mark.parametrize(("side", "budget"), [(1, LITTLE_A_DAY), (-1, MUCH_A_DAY)])
@pytest.mark.parametrize(("share", "level"), [(1.01, None), (0.99, "warning"), (0.0505, "warning"), (0.0495, "danger")])
def test_the_second_step_comes_at_a_twentieth_of_the_chance_of_the_first(
    side: int, budget: float, share: float, level: str | None
) -> None:
    alarm = use_alarm((side * _score(budget, 7, share),), told(0.5), 7, again=False)
    assert (alarm and alarm.level) == level


def test_the_chance_told_is_the_least_of_the_windows_and_the_readings_own() -> None:
    four = use_alarm((2.2, 2.2, 2.2, 2.2), told(0.98), 6, again=False)
    assert four is not None
    assert four.chance == pytest.approx(stats.norm.sf(4.4) / 0.25)
    low, high = (use_alarm((score,), told(lower), 6, again=False) for score, lower in ((-6.0, 1e-12), (6.0, 1 - 1e-12)))
    assert low is not None
    assert high is not None
    assert low.chance == 1e-12
    assert high.chance == pytest.approx(1e-12, rel=1e-3)
    sure = use_alarm((6.0,), told(1.0), 6, again=False)
    assert sure is not None
    assert sure.chance == 1e-15


LITTLE = "nozzle, filter, pump, supply voltage, air in the line"
MUCH = "a leak, a valve that stays open, siphoning"


@pytest.mark.parametrize(
    ("side", "again", "level", "code", "text"),
    [
        (
            1,
            False,
            "warning",
            "used-too-little",
            "Used 0.95 L less than expected (chance 0.01% in a sound car). "
            f"Read the level again; if it holds, stay off full boost and check {LITTLE}.",
        ),
        (
            1,
            True,
            "danger",
            "used-too-little",
            "Used 0.95 L less than expected (chance 0.01% in a sound car). "
            f"Too little is injected: do not run full boost until the cause is found: {LITTLE}.",
        ),
        (
            -1,
            False,
            "warning",
            "used-too-much",
            "0.95 L more is gone than expected (chance 0.01% in a sound car). "
            f"Read the level again; if it holds, look for {MUCH} before the next run.",
        ),
        (
            -1,
            True,
            "danger",
            "used-too-much",
            f"0.95 L more is gone than expected (chance 0.01% in a sound car). Stop and look for {MUCH}. "
            "Spilled blend is toxic, and its flame is nearly invisible: no ignition, wipe it up before the engine "
            "starts.",
        ),
    ],
)
def test_an_alarm_on_the_use_says_how_much_how_likely_and_what_to_do(
    side: int, again: bool, level: str, code: str, text: str
) -> None:
    chance = 6e-5
    one = told(1 - chance) if side > 0 else told(chance, 2.5, 3.4549)
    alarm = use_alarm((side * float(stats.norm.isf(chance)),), one, 2, again=again)
    assert alarm is not None
    assert (alarm.level, alarm.code, alarm.text) == (level, code, text)
    assert alarm.chance == pytest.approx(chance)


def test_a_level_that_rose_and_a_tank_that_ran_dry_are_told_whole() -> None:
    assert level_rose(told(0.9375, 4.994)) == Alarm(
        "caution",
        "level-rose",
        0.0625,
        "4.99 L is more than was left before the run. Log the fill that is missing, or undo the reading if it was "
        "misread; until then the level is taken as read and the use is not judged.",
    )
    assert ran_dry(told(0.9, 4.994)) == Alarm(
        "danger",
        "ran-dry",
        1.0,
        "The tank is down to what the pickup cannot reach (4.99 L): injection has starved. Do not run again before "
        "it is filled and the engine has been looked at; air in the line needs a test spray.",
    )


def ends(*counts: tuple[int, float], draws: int = 100) -> np.ndarray:
    """Levels (draws,) of which so many stand at a value [m3], the rest at 9."""
    levels = np.full(draws, 9.0)
    done = 0
    for count, value in counts:
        levels[done : done + count] = value
        done += count
    return levels


def on_level(*sessions: np.ndarray, unit: float = 0.5) -> list[Alarm]:
    """The alarms for sessions over a floor of 1 m3 each, named A, B and so on."""
    floor = np.full(len(sessions), 1.0)
    return level_alarms(np.array(sessions), floor, np.full(len(sessions), unit), "ABCDE"[: len(sessions)])


@pytest.mark.parametrize(
    ("count", "level"), [(49, None), (50, "warning"), (79, "warning"), (80, "danger"), (100, "danger")]
)
def test_a_shortage_is_an_alarm_from_even_odds_and_grave_from_four_in_five(count: int, level: str | None) -> None:
    text = (
        f"With chance {count}% the level falls below the final reserve by the end of B. "
        "Refill before the car goes out, or leave out runs; come in when the level is doubtful."
    )
    expected = [Alarm(level, "reserve", count / 100, text)] if level else []  # type: ignore[arg-type]
    assert on_level(ends(), ends((count, 0.5)), ends()) == expected


@pytest.mark.parametrize(("count", "level"), [(89, None), (90, "caution"), (97, "caution"), (98, "warning")])
def test_less_than_one_run_left_is_told_from_nine_in_ten_and_more_gravely_from_98_in_a_hundred(
    count: int, level: str | None
) -> None:
    text = (
        f"With chance {count}% less than the final reserve and one run is left after B. "
        "Refill earlier if a gap allows it, or plan one run fewer."
    )
    expected = [Alarm(level, "reserve-and-run", count / 100, text)] if level else []  # type: ignore[arg-type]
    assert on_level(ends((100, 1.25)), ends((count, 1.25))) == expected


def test_a_level_at_the_reserve_is_not_below_it_nor_one_at_the_reserve_and_a_run_short_of_it() -> None:
    assert on_level(ends((60, 1.0))) == []
    assert on_level(ends((95, 1.5))) == []
    assert on_level(ends((80, 1.0), (10, 9.0)), ends((10, 9.0), (55, 0.5)))[0].text.count("end of B") == 1
    assert level_alarms(np.empty((0, 100)), np.empty(0), np.empty(0), []) == []


def test_a_shortage_in_any_session_counts_once_for_each_day() -> None:
    first, second = ends((30, 0.5)), ends((40, 0.75))
    second[:40] = 9.0
    second[40:80] = 0.75
    (alarm,) = on_level(first, second)
    assert (alarm.chance, alarm.level) == (0.7, "warning")
    assert "end of B" in alarm.text


@pytest.mark.parametrize(
    ("count", "level"), [(59, None), (60, "caution"), (94, "caution"), (95, "warning"), (100, "warning")]
)
def test_blend_that_runs_short_is_told_from_three_in_five_and_more_gravely_from_19_in_20(
    count: int, level: str | None
) -> None:
    needed = np.full(100, 8.0 * LITRE)
    needed[:count] = 9.5 * LITRE
    short = 9.5 - 8.0 if count > 10 else 0.0
    text = (
        f"The jugs hold about 8.0 L and will not last the day (chance {count}%). "
        f"Mix or fetch {short:.1f} L more, or leave out runs at the end."
    )
    expected = Alarm(level, "stock", count / 100, text) if level else None  # type: ignore[arg-type]
    assert stock_alarm(needed, 8.0 * LITRE) == expected


def test_what_the_jugs_lack_is_nine_days_in_tens_need_and_an_overdrawn_jug_is_empty() -> None:
    needed = np.linspace(10.0, 20.0, 101) * LITRE
    alarm = stock_alarm(needed, -1.0 * LITRE)
    assert alarm is not None
    assert "hold about 0.0 L" in alarm.text
    assert "fetch 20.0 L more" in alarm.text
    fine = stock_alarm(np.full(5, 149.92 * LITRE), 99.98 * LITRE)
    assert fine is not None
    assert "hold about 100.0 L" in fine.text
    assert "fetch 49.9 L more" in fine.text


@pytest.mark.parametrize(
    ("factor", "coming", "why"),
    [
        (
            CarFactor(1.0, 0.10),
            Coming(LITRE, 0.11, 0.08 * LITRE, 0.08 * LITRE),
            "the dip error is large against what is used between readings: read after more runs, or read finer",
        ),
        (
            CarFactor(1.0, 0.10),
            Coming(2 * LITRE, 0.20, 0.2 * LITRE, 0.2 * LITRE),
            "the use differs much from session to session: give more recordings of the course",
        ),
        (
            CarFactor(1.0, 0.21),
            Coming(2 * LITRE, 0.20, 0.2 * LITRE, 0.2 * LITRE),
            "the car's own factor is little known: run a flow test, or keep the result of a day",
        ),
        (
            CarFactor(1.0, 3.0),
            Coming(0.0, 2.0, 0.1 * LITRE, 0.1 * LITRE),
            "the dip error is large against what is used between readings: read after more runs, or read finer",
        ),
    ],
)
def test_what_stands_in_the_way_of_finding_a_loss_is_the_largest_of_three(
    factor: CarFactor, coming: Coming, why: str
) -> None:
    found = detectability(factor, coming, readings=6, share=0.8)
    assert not found.possible
    assert found.text == f"Flow at 80% would show within two readings on {found.chance:.0%} of days: {why}."


def test_a_loss_that_is_found_is_told_without_a_reason() -> None:
    found = detectability(CarFactor(1.0, 0.02), Coming(2 * LITRE, 0.05, 0.02 * LITRE, 0.02 * LITRE), readings=6)
    assert found.possible
    assert found.text == f"Flow at 70% would show within two readings on {found.chance:.0%} of days."
    assert detectability(CarFactor(1.0, 0.02), Coming(0.0, 0.05, 0.1, 0.1), readings=6).chance == 0.0


@pytest.mark.parametrize("share", [0.9, 0.8, 0.6])
@pytest.mark.parametrize("readings", [1, 6, 15])
@pytest.mark.parametrize("spreads", [(0.05, 0.08), (0.15, 0.03), (0.02, 0.2)])
def test_with_levels_known_exactly_the_chance_is_that_of_two_logarithms(
    share: float, readings: int, spreads: tuple[float, float]
) -> None:
    """Each reading then shows ln(C R) less a constant: two correlated normals, scored one after the other."""
    car, run = (log_sd(spread) for spread in spreads)
    lost, one = -np.log(share), np.hypot(car, run)
    slope = car**2 / one**2
    two = np.sqrt(one**2 - slope**2 * one**2)
    first, second = lost / one, lost * (1 - slope) / two
    limit = LITTLE_A_DAY / (1.2 * readings)
    single, both = stats.norm.isf(0.4 * limit), stats.norm.isf(limit)
    missed = integrate.quad(
        lambda score: stats.norm.pdf(score - first) * stats.norm.cdf(2**0.5 * both - score - second), -9, single
    )[0]
    got = detectability(CarFactor(1.0, spreads[0]), Coming(LITRE, spreads[1], 0.0, 0.0), readings=readings, share=share)
    assert got.chance == pytest.approx(1 - missed, abs=1e-7)
    assert got.possible == (got.chance >= 0.9)
