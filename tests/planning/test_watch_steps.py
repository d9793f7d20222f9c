"""The watch step by step: what each fill, run and reading leaves of belief, scores, count and alarm."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from scipy import stats

from planner.planning.alarms import Alarm, level_rose, ran_dry, use_alarm
from planner.planning.watch import FITS, Watch, filled, poured, read, used
from planner.use.learning import (
    Belief,
    after_pour,
    after_reading,
    after_use,
    at_least_used,
    at_mark,
    factor_mean,
    level_sd,
    predicted,
    reopened,
    start_belief,
    with_level_of,
)
from planner.use.spread import CarFactor

LITRE = 1e-3
SD = 0.05 * LITRE
OLD = Alarm("caution", "level-rose", 0.5, "an earlier one")


def same(one: Belief, other: Belief) -> bool:
    """Whether two beliefs hold the same numbers."""
    return all(np.array_equal(getattr(one, part.name), getattr(other, part.name)) for part in fields(Belief))


def believing(use: float = 0.77, start: float = 3.0, variation: float = 0.10, **more: object) -> Watch:
    """A watch over a tank of so many litres after a session that should have used so much."""
    belief = after_use(start_belief(CarFactor(1.0, variation), start * LITRE, SD), use * LITRE, 0.08)
    return replace(Watch(belief, readings=6), **more)  # type: ignore[arg-type]


def reading_at(belief: Belief, chance: float) -> float:
    """The reading [m3] of which one as low or lower has a chance."""
    low, high = 0.0, 10 * LITRE
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if predicted(belief, middle, SD).lower < chance else (low, middle)
    return high


@pytest.mark.parametrize(
    ("step", "learnt"),
    [
        (lambda watch: used(watch, LITRE, 0.08), lambda belief: after_use(belief, LITRE, 0.08)),
        (lambda watch: poured(watch, LITRE, 2 * SD), lambda belief: after_pour(belief, LITRE, 2 * SD)),
        (lambda watch: filled(watch, 4 * LITRE, 2 * SD), lambda belief: at_mark(belief, 4 * LITRE, 2 * SD)),
    ],
)
def test_a_run_a_pour_or_a_fill_changes_the_belief_and_ends_that_the_level_was_just_read(step, learnt):
    sound = start_belief(CarFactor(), LITRE, SD)
    kept = {"sound": sound, "alarm": OLD, "scores": (1.0,), "judged": (), "learnt": 3, "empty": 1e-4, "readings": 9}
    watch = believing(**kept, just_read=True)
    after = step(watch)
    assert same(after.belief, learnt(watch.belief))
    assert after.just_read is False
    assert {name: getattr(after, name) for name in kept} == kept


def test_a_reading_that_fits_is_judged_believed_and_counted():
    watch = believing(scores=(0.1, 0.2, -0.3, 0.4), learnt=4, alarm=OLD, judged=("before",))
    told = predicted(watch.belief, 2.2 * LITRE, SD)
    after = read(watch, 2.2 * LITRE, SD)
    assert same(after.belief, after_reading(watch.belief, 2.2 * LITRE, SD)[0])
    assert after.judged == ("before", told)
    assert after.scores == (0.2, -0.3, 0.4, told.score)
    assert (after.learnt, after.alarm, after.sound, after.just_read) == (5, None, None, True)


@pytest.mark.parametrize("reading", [2.9, 1.2])
def test_a_reading_that_alarms_gives_up_the_factor_and_keeps_the_sound_car_aside(reading):
    watch = believing(scores=(0.3,), learnt=2)
    told = predicted(watch.belief, reading * LITRE, SD)
    after = read(watch, reading * LITRE, SD)
    assert after.alarm == use_alarm((0.3, told.score), told, 6, again=False)
    assert after.alarm is not None
    assert same(after.belief, after_reading(reopened(watch.belief), reading * LITRE, SD)[0])
    assert same(after.sound, watch.belief)
    assert (after.scores, after.learnt, after.judged) == ((), 2, (told,))


def test_earlier_scores_count_with_the_next_and_the_days_readings_share_its_chance():
    watch = believing()
    score = 2.6
    reading = reading_at(watch.belief, float(stats.norm.cdf(score)))
    assert read(watch, reading, SD).alarm is None
    assert read(replace(watch, scores=(score,)), reading, SD).alarm.code == "used-too-little"
    assert read(replace(watch, scores=(score,), readings=10_000), reading, SD).alarm is None


@pytest.mark.parametrize(("above", "rose"), [(2.98, False), (3.02, True)])
def test_a_level_rose_that_stands_three_deviations_above_what_was_there_before_the_run(above, rose):
    watch = believing(learnt=2, scores=(0.5,))
    limit = 3.0 * LITRE + above * float(np.hypot(SD, 2 * SD))
    after = read(watch, limit, 2 * SD)
    assert (after.alarm.code == "level-rose") == rose
    if rose:
        assert after.alarm == level_rose(predicted(watch.belief, limit, 2 * SD))
        assert same(after.belief, at_mark(watch.belief, limit, 2 * SD))
        assert (after.learnt, after.scores, after.sound) == (2, (0.5,), None)
        assert read(replace(watch, alarm=OLD), limit, 2 * SD).alarm == OLD


@pytest.mark.parametrize(("above", "dry"), [(-0.5, True), (0.99, True), (1.01, False)])
def test_a_reading_within_one_deviation_of_what_the_pickup_cannot_reach_says_that_it_ran_dry(above, dry):
    watch = believing(use=2.8, empty=0.5 * LITRE, learnt=1, scores=(0.2,))
    reading = 0.5 * LITRE + above * SD
    told = predicted(watch.belief, reading, SD)
    assert told.score > 0
    after = read(watch, reading, SD)
    assert (after.alarm is not None and after.alarm.code == "ran-dry") == dry
    if dry:
        assert after.alarm == ran_dry(told)
        assert same(after.belief, at_mark(at_least_used(watch.belief, reading, SD), reading, SD))
        assert factor_mean(after.belief) >= factor_mean(watch.belief)
        assert (after.learnt, after.scores, after.sound) == (1, (0.2,), None)


def test_an_empty_tank_that_should_be_full_is_a_leak_not_a_tank_run_dry():
    after = read(believing(empty=0.5 * LITRE), 0.5 * LITRE, SD)
    assert after.alarm.code == "used-too-much"


def alarmed() -> Watch:
    """A watch under an alarm: too little used, then another run."""
    return used(read(believing(learnt=2), 2.9 * LITRE, SD), 0.77 * LITRE, 0.08)


@pytest.mark.parametrize(("chance", "fits"), [(0.04, False), (0.06, True), (0.94, True), (0.96, False)])
def test_under_an_alarm_a_reading_between_the_twentieths_of_the_sound_car_clears_it(chance, fits):
    assert FITS == 0.05
    watch = replace(alarmed(), scores=(0.1,))
    sound = with_level_of(watch.sound, watch.belief)
    reading = reading_at(sound, chance)
    after = read(watch, reading, SD)
    assert len(after.judged) == len(watch.judged) + 1
    if fits:
        assert same(after.belief, after_reading(sound, reading, SD)[0])
        assert (after.sound, after.alarm, after.scores, after.learnt) == (None, None, (), watch.learnt + 1)
    else:
        assert same(after.belief, after_reading(watch.belief, reading, SD)[0])
        assert same(after.sound, sound)
        assert (after.alarm, after.learnt) == (watch.alarm, watch.learnt)


@pytest.mark.parametrize("score", [4.5, -4.5])
def test_under_an_alarm_a_reading_that_does_not_fit_at_all_alarms_again_and_gravely(score):
    watch = alarmed()
    sound = with_level_of(watch.sound, watch.belief)
    reading = reading_at(sound, float(stats.norm.cdf(score)))
    told = predicted(sound, reading, SD)
    after = read(watch, reading, SD)
    assert after.alarm == use_alarm((told.score,), told, 6, again=True)
    assert after.alarm.level == "danger"


def test_read_again_the_level_is_held_against_what_was_expected_before_the_alarm():
    watch = read(believing(), 2.9 * LITRE, SD)
    told = predicted(watch.sound, 2.88 * LITRE, SD)
    again = read(watch, 2.88 * LITRE, SD)
    assert again.alarm == use_alarm((told.score,), told, 6, again=True)
    assert same(again.sound, watch.sound)
    assert same(again.belief, after_reading(watch.belief, 2.88 * LITRE, SD)[0])
    assert level_sd(again.belief) < level_sd(watch.belief)
