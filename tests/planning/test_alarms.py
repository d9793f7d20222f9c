"""Alarms: how often they are false, how soon a clogged nozzle is found, what each says to do."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from planner.planning.alarms import (
    LITTLE_A_DAY,
    MUCH_A_DAY,
    WINDOWS,
    Coming,
    alarm_chance,
    detectability,
    least_chances,
    level_alarms,
    stock_alarm,
    use_alarm,
)
from planner.planning.watch import Watch, filled, read, used
from planner.use.learning import Predicted, factor_mean, level_mean, start_belief
from planner.use.spread import CarFactor, log_sd

LITRE = 1e-3
RUN = 0.08


def test_the_two_sides_together_spend_less_than_one_percent_a_day():
    assert LITTLE_A_DAY + MUCH_A_DAY < 0.01


@pytest.mark.parametrize("readings", [1, 3, 7, 20])
def test_false_alarms_stay_under_one_percent_a_day_for_any_number_of_readings(readings):
    """The scores of a sound car are independent standard normal; the rule is applied as it stands."""
    scores = np.random.default_rng(readings).standard_normal((60_000, readings))
    low, high = alarm_chance(LITTLE_A_DAY, readings), alarm_chance(MUCH_A_DAY, readings)
    likely = np.abs(scores).max(axis=1) > 1.4  # no window can pass the limit otherwise
    alarmed = 0
    for day in scores[likely]:
        chances = [least_chances(tuple(day[max(k - 3, 0) : k + 1])) for k in range(readings) if abs(day[k]) > 0.6]
        alarmed += any(little <= low or much <= high for little, much in chances)
    assert 0.002 < alarmed / len(scores) < 0.01


class Day:
    """A simulated day by the learning's own model, on which flow may fall to a share at some session."""

    def __init__(self, rng, *, factor, use, dip, readings):
        self.rng, self.use, self.dip, self.readings = rng, use * LITRE, dip * LITRE, readings
        self.car = float(np.exp(factor.log_mean + log_sd(factor.variation) * rng.standard_normal()))
        self.watch = Watch(start_belief(factor, 0.0, 0.0), readings)

    def session(self, share=1.0):
        """Fill to a mark, run, read; the watch after it."""
        mark = 4 * self.use
        level = mark + self.dip * self.rng.standard_normal()
        own = np.exp(log_sd(RUN) * self.rng.standard_normal() - log_sd(RUN) ** 2 / 2)
        level -= share * self.car * own * self.use
        watch = used(filled(self.watch, mark, self.dip), self.use, RUN)
        self.watch = read(watch, level + self.dip * self.rng.standard_normal(), self.dip)
        return self.watch


def test_sound_days_alarm_on_less_than_one_percent_of_days():
    rng = np.random.default_rng(2)
    alarmed = 0
    for _ in range(1500):
        day = Day(rng, factor=CarFactor(1.0, 0.10), use=1.5, dip=0.1, readings=5)
        alarmed += any(day.session().alarm is not None for _ in range(5))
    assert alarmed / 1500 < 0.01


def _found_within_two(rng, share, sound_first, factor, use, dip):
    found = 0
    for _ in range(300):
        day = Day(rng, factor=factor, use=use, dip=dip, readings=6)
        for _ in range(sound_first):
            day.session()
        found += any((day.session(share).alarm or NO_ALARM).code == "used-too-little" for _ in range(2))
    return found / 300


class NO_ALARM:
    code = ""


def test_a_nozzle_at_70_percent_is_found_within_two_readings_on_90_percent_of_days():
    """Clogged during a day after three readings; 2 mm of dip error in a tank of 350 cm2 is 0.07 L; 3 L a session."""
    found = _found_within_two(np.random.default_rng(3), 0.7, 3, CarFactor(1.0, 0.10), 3.0, 0.07)
    assert found >= 0.90


def coming(use, dip):
    """Two readings with a fill before each, in litres."""
    return Coming(use * LITRE, RUN, dip * LITRE, dip * LITRE)


def test_a_nozzle_clogged_from_the_start_is_found_after_a_flow_test():
    verdict = detectability(CarFactor(1.0, 0.03), coming(2.0, 0.07), readings=6)
    assert verdict.possible
    found = _found_within_two(np.random.default_rng(4), 0.7, 0, CarFactor(1.0, 0.03), 2.0, 0.07)
    assert found >= 0.90
    assert found == pytest.approx(verdict.chance, abs=0.05)


@pytest.mark.parametrize(
    ("factor", "use", "dip", "words"),
    [
        (CarFactor(1.0, 0.04), 0.5, 0.12, "the dip error is large against what is used between readings"),
        (CarFactor(1.0, 0.15), 3.0, 0.10, "run a flow test, or keep the result of a day"),
    ],
)
def test_where_it_cannot_be_found_that_is_said_and_true(factor, use, dip, words):
    verdict = detectability(factor, coming(use, dip), readings=6)
    assert not verdict.possible
    assert words in verdict.text
    assert "Flow at 70% would show within two readings on" in verdict.text
    found = _found_within_two(np.random.default_rng(5), 0.7, 0, factor, use, dip)
    assert found < 0.90
    assert found == pytest.approx(verdict.chance, abs=0.12)


@pytest.mark.parametrize(("start", "filled"), [(0.2, True), (0.2, False), (0.1, False)])
def test_detectability_agrees_with_draws_of_the_linear_model(start, filled):
    """Scores by regression on the covariance of what two readings show; levels and uses in litres, 1 L a session."""
    factor, dip, readings, rng = CarFactor(1.0, 0.05), 0.2, 6, np.random.default_rng(6)
    car, own = log_sd(factor.variation), log_sd(RUN)
    c, first, second = rng.standard_normal((3, 400_000))
    use = [c * car + first * own, c * car + second * own]
    level = start * rng.standard_normal(400_000) - use[0]
    one = level + dip * rng.standard_normal(400_000)
    level = (dip * rng.standard_normal(400_000) if filled else level) - use[1]
    two = level + dip * rng.standard_normal(400_000)
    gain = np.cov(one, two)[0, 1] / one.var()
    from_level = (start**2 + dip**2) / (start**2 + dip**2 + car**2 + own**2)
    less = (1 - from_level) * -np.log(0.7) + from_level * 0.3
    left = 2 * less if not filled else less  # without a fill the second reading shows both sessions
    scores = (one + less) / one.std(), (two + left - gain * (one + less)) / (two - gain * one).std()
    limit = alarm_chance(LITTLE_A_DAY, readings)
    single, both = (-stats.norm.ppf(WINDOWS[w] * limit) for w in (1, 2))
    found = np.mean((scores[0] > single) | ((scores[0] + scores[1]) / 2**0.5 > both))
    verdict = detectability(factor, Coming(LITRE, RUN, dip * LITRE, start * LITRE, filled), readings=readings)
    assert verdict.chance == pytest.approx(found, abs=0.004)


def test_readings_in_a_row_without_a_fill_show_more():
    factor = CarFactor(1.0, 0.03)
    apart, chained = (
        detectability(factor, Coming(LITRE, RUN, 0.1 * LITRE, 0.1 * LITRE, filled), readings=6).chance
        for filled in (True, False)
    )
    assert chained > apart + 0.1


def test_nothing_used_can_show_nothing():
    verdict = detectability(CarFactor(1.0, 0.05), coming(0.0, 0.1), readings=4)
    assert not verdict.possible
    assert verdict.chance < 0.01


def told(lower, reading=3.0, expected=2.5):
    return Predicted(reading * LITRE, expected * LITRE, 0.1 * LITRE, lower)


@pytest.mark.parametrize(
    ("score", "again", "level", "code", "words"),
    [
        (
            4.0,
            False,
            "warning",
            "used-too-little",
            "stay off full boost and check nozzle, filter, pump, supply voltage, air",
        ),
        (
            5.0,
            False,
            "danger",
            "used-too-little",
            "do not run full boost until the cause is found: nozzle, filter, pump",
        ),
        (4.0, True, "danger", "used-too-little", "do not run full boost"),
        (
            -4.0,
            False,
            "warning",
            "used-too-much",
            "look for a leak, a valve that stays open, siphoning before the next run",
        ),
        (-5.5, False, "danger", "used-too-much", "Stop and look for a leak, a valve that stays open, siphoning"),
    ],
)
def test_use_alarms_come_in_two_steps_and_say_what_to_do(score, again, level, code, words):
    alarm = use_alarm((score,), told(float(stats.norm.cdf(score))), 6, again=again)
    assert (alarm.level, alarm.code) == (level, code)
    assert words in alarm.text
    assert alarm.chance == pytest.approx(stats.norm.sf(abs(score)), rel=1e-6)


def test_a_use_that_fits_gives_no_alarm():
    assert use_alarm((1.0, -1.5, 2.0), told(0.97), 6, again=False) is None


def test_several_readings_that_are_each_a_little_low_add_up():
    assert use_alarm((2.2,), told(0.98), 6, again=False) is None
    assert use_alarm((2.2, 2.2, 2.2, 2.2), told(0.98), 6, again=False).code == "used-too-little"


def _levels(mean, sd=0.2):
    return (mean + sd * stats.norm.ppf((np.arange(1000) + 0.5) / 1000))[None, :] * LITRE


@pytest.mark.parametrize(
    ("mean", "code", "level"),
    [
        (2.5, None, None),
        (1.26, None, None),
        (1.23, "reserve-and-run", "caution"),
        (1.08, "reserve-and-run", "warning"),
        (0.95, "reserve", "warning"),
        (0.8, "reserve", "danger"),
    ],
)
def test_level_alarms_come_in_two_steps_by_chance(mean, code, level):
    alarms = level_alarms(_levels(mean), np.array([1.0 * LITRE]), np.array([0.5 * LITRE]), ["Heat 3"])
    assert [(alarm.code, alarm.level) for alarm in alarms] == ([(code, level)] if code else [])
    for alarm in alarms:
        limit = 1.0 if code == "reserve" else 1.5
        assert alarm.chance == pytest.approx(stats.norm.cdf((limit - mean) / 0.2), abs=2e-3)
        assert "Heat 3" in alarm.text
        assert "Refill" in alarm.text


def test_the_reserve_alarm_names_the_session_that_is_worst():
    end = np.vstack([_levels(3.0), _levels(0.9), _levels(2.0)])
    alarms = level_alarms(end, np.full(3, LITRE), np.full(3, 0.1 * LITRE), ["one", "two", "three"])
    assert "by the end of two" in alarms[0].text


@pytest.mark.parametrize(("left", "level"), [(12.0, None), (9.6, "caution"), (5.0, "warning")])
def test_the_stock_alarm_says_how_much_is_missing(left, level):
    alarm = stock_alarm(_levels(10.0, 1.0)[0], left * LITRE)
    assert (alarm and alarm.level) == level
    if alarm:
        assert f"Mix or fetch {10 + 1.2816 - left:.1f} L more" in alarm.text


def test_while_an_alarm_stands_the_forecast_follows_the_readings_since():
    day = Day(np.random.default_rng(1), factor=CarFactor(1.0, 0.03), use=2.0, dip=0.02, readings=6)
    day.car = 1.0
    day.session()
    watch = day.session(0.6)
    assert watch.alarm.code == "used-too-little"
    assert factor_mean(watch.belief) == pytest.approx(0.6, rel=0.15)
    assert day.session(0.6).alarm.level == "danger"


def test_an_alarm_clears_when_a_reading_fits_the_sound_car_again():
    day = Day(np.random.default_rng(1), factor=CarFactor(1.0, 0.03), use=2.0, dip=0.02, readings=6)
    day.car = 1.0
    day.session()
    assert day.session(0.6).alarm
    mended = day.session(1.0)
    assert mended.alarm is None
    assert factor_mean(mended.belief) == pytest.approx(1.0, abs=0.06)
    assert day.session(0.6).alarm


def test_a_level_that_rose_is_taken_as_read_and_asks_for_the_fill():
    watch = used(Watch(start_belief(CarFactor(1.0, 0.1), 2 * LITRE, 0.05 * LITRE), 6), LITRE, RUN)
    rose = read(watch, 5 * LITRE, 0.05 * LITRE)
    assert rose.alarm.code == "level-rose"
    assert "Log the fill that is missing" in rose.alarm.text
    assert level_mean(rose.belief) == pytest.approx(5 * LITRE)
    assert factor_mean(rose.belief) == pytest.approx(factor_mean(watch.belief))
    assert read(used(rose, LITRE, RUN), 4 * LITRE, 0.05 * LITRE).alarm is None


def test_fluid_that_goes_while_the_car_stands_is_an_alarm():
    watch = Watch(start_belief(CarFactor(1.0, 0.1), 5 * LITRE, 0.05 * LITRE), 6)
    assert read(watch, 4.5 * LITRE, 0.05 * LITRE).alarm.code == "used-too-much"
