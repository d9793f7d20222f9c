"""A level that is read again while an alarm stands: it confirms the alarm, or shows that the level was misread."""

from __future__ import annotations

import numpy as np
import pytest

from planner.planning.alarms import use_alarm
from planner.planning.watch import Watch, filled, poured, read, used
from planner.use.learning import factor_mean, level_mean, predicted, start_belief
from planner.use.spread import CarFactor

LITRE = 1e-3
SD = 0.05 * LITRE


@pytest.fixture
def after_run():
    """A tank of 3 L after a session that should have used 0.77 L."""
    watch = Watch(start_belief(CarFactor(1.0, 0.10), 3 * LITRE, SD), readings=6)
    return used(watch, 0.77 * LITRE, 0.08)


@pytest.mark.parametrize("first", [2.9, 1.2])
@pytest.mark.parametrize("off", [-0.03, 0.0, 0.03])
def test_reading_the_same_level_again_keeps_the_alarm_and_makes_it_grave(after_run, first, off):
    alarmed = read(after_run, first * LITRE, SD)
    again = read(alarmed, (first + off) * LITRE, SD)
    assert alarmed.alarm is not None
    assert again.alarm.code == alarmed.alarm.code
    assert again.alarm.level == "danger"
    assert read(again, first * LITRE, SD).alarm.code == alarmed.alarm.code


@pytest.mark.parametrize("misread", [2.9, 1.2])
def test_reading_the_expected_level_again_clears_the_alarm_of_a_misread_one(after_run, misread):
    cleared = read(read(after_run, misread * LITRE, SD), 2.22 * LITRE, SD)
    assert cleared.alarm is None
    assert level_mean(cleared.belief) == pytest.approx(2.22 * LITRE, abs=0.05 * LITRE)
    assert factor_mean(cleared.belief) == pytest.approx(1.0, abs=0.1)


def test_after_another_run_the_level_is_held_against_the_use_of_that_run(after_run):
    alarmed = read(read(after_run, 2.9 * LITRE, SD), 2.9 * LITRE, SD)
    sound = used(alarmed, 0.77 * LITRE, 0.08)
    assert read(sound, 2.13 * LITRE, SD).alarm is None
    assert read(sound, 2.8 * LITRE, SD).alarm.code == "used-too-little"


@pytest.mark.parametrize("fill", [filled, poured])
def test_a_fill_between_makes_the_next_reading_one_of_its_own(after_run, fill):
    alarmed = read(after_run, 2.9 * LITRE, SD)
    amount = 3.5 * LITRE if fill is filled else 0.6 * LITRE
    after = read(fill(alarmed, amount, SD), 3.5 * LITRE, SD)
    assert level_mean(after.belief) == pytest.approx(3.5 * LITRE, abs=0.05 * LITRE)


def test_a_first_alarm_of_the_first_step_is_not_yet_grave(after_run):
    found = 0
    for litres in np.arange(1.0, 3.0, 0.005):
        told = predicted(after_run.belief, litres * LITRE, SD)
        alone = use_alarm((told.score,), told, after_run.readings, again=False)
        if alone is not None and alone.level != "danger":
            assert read(after_run, litres * LITRE, SD).alarm == alone
            found += 1
    assert found > 3
