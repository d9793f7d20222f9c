"""The demo logs are what their script computes, and what a sensible car would record."""

from itertools import pairwise

import numpy as np
import pytest

from events_demo import FOLDER
from events_demo.make_logs import COURSES, GRAVITY, LAST_DIGIT, SHUT_PRESSURE, TEAPOT, boost_of, logs, speed_along

NAMES = sorted(logs())


def stored(name):
    return np.loadtxt(FOLDER / "logs" / name, delimiter=",", skiprows=1)


def test_the_folder_holds_the_script_s_logs_and_no_other():
    assert sorted(path.name for path in (FOLDER / "logs").iterdir()) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_a_stored_log_equals_the_computed_one_to_its_last_digit(name):
    rows, computed = stored(name), logs()[name]
    assert rows.shape == computed.shape
    assert np.all(np.abs(rows - computed) <= 0.51 * np.array(LAST_DIGIT))


@pytest.mark.parametrize("name", NAMES)
def test_a_log_has_20_to_50_rows_a_second_and_plausible_values(name):
    time, boost, lateral, longitudinal = stored(name).T
    assert 1 / 50 - 1e-9 <= np.diff(time).min() <= np.diff(time).max() <= 1 / 20 + 1e-9
    assert boost.min() > SHUT_PRESSURE - 5
    assert 100 < boost.max() < 140
    assert 0.9 < np.abs(lateral).max() < 1.4
    assert -1.4 < longitudinal.min() < -0.9
    assert 0.3 < longitudinal.max() < 1.3


def test_logs_of_one_course_differ_as_runs_do():
    for course in COURSES:
        totals = [stored(f"{course.name}-{n}.csv")[:, 1].clip(0).mean() for n in range(1, course.logs + 1)]
        assert len(set(totals)) == course.logs >= 2
        assert max(totals) / min(totals) < 1.25


def test_the_stored_logs_are_under_three_megabytes():
    assert sum(path.stat().st_size for path in (FOLDER / "logs").iterdir()) < 3e6


def test_cornering_stays_within_grip():
    bends = np.concatenate([np.zeros(200), np.full(60, 1 / 30), np.zeros(200)])
    speed = speed_along(bends, TEAPOT, 0.5, start=1.0)
    assert np.max(speed**2 * bends) <= TEAPOT.grip * GRAVITY * (1 + 1e-9)
    assert speed[230] == pytest.approx(np.sqrt(TEAPOT.grip * GRAVITY * 30), rel=1e-6)


def test_braking_asks_for_no_more_than_grip_and_drag():
    bends = np.concatenate([np.zeros(600), np.full(40, 1 / 20)])
    speed = speed_along(bends, TEAPOT, 0.5, start=1.0)
    slowing = [(a**2 - b**2) / (2 * 0.5) - TEAPOT.drag * b**2 / TEAPOT.mass for a, b in pairwise(speed)]
    assert max(slowing) <= TEAPOT.grip * GRAVITY * (1 + 1e-9)
    assert max(slowing) > 0.9 * TEAPOT.grip * GRAVITY


def test_boost_rises_by_63_per_cent_in_one_spool_time():
    boost = boost_of(np.concatenate([[0.0], np.full(200, 100.0)]), spool=0.5)
    assert boost[50] == pytest.approx(100 * (1 - np.exp(-1)), abs=0.1)
