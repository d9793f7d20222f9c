"""A plan reads a course's recordings as their header is remembered, and notices at once when that changes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from planner.driving.course import course_stamp, course_traces, reading_of_log
from planner.driving.remembered import forget, key_of, memory_of, memory_stamp, remember
from planner.errors import BadInput
from planner.event import Course, Reading

ROWS = "".join(f"{0.1 * i:.1f},{100 + 20 * np.sin(i / 9):.2f},{i % 7}\n" for i in range(400))


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "logs" / "one.csv"
    path.parent.mkdir()
    path.write_text("Time (s),Pressure (kPa),Lap\n" + ROWS)
    return path


def course(log: Path, **reading: object) -> Course:
    return Course("hill", "run", logs=(log,), reading=Reading(**reading))  # type: ignore[arg-type]


def test_what_the_data_do_not_settle_is_asked_until_it_is_remembered(log: Path) -> None:
    with pytest.raises(BadInput, match="do not settle whether this is gauge pressure"):
        course_traces(course(log))
    remember(memory_of(log), key_of(log), Reading(absolute=True, ambient=None))
    assert course_traces(course(log))[0].boost.max() == pytest.approx(120e3 - 101325, abs=100)


def test_what_the_course_says_itself_prevails(log: Path) -> None:
    remember(memory_of(log), key_of(log), Reading(absolute=True))
    assert course_traces(course(log, absolute=False))[0].boost.max() == pytest.approx(120e3, abs=100)


def test_a_remembered_split_leaves_a_course_whole(log: Path) -> None:
    remember(memory_of(log), key_of(log), Reading(absolute=True, split_column="Lap"))
    assert reading_of_log(course(log), log).split_column is None
    assert len(course_traces(course(log))) == 1


def test_the_stamp_changes_with_what_is_remembered(log: Path) -> None:
    stamps = [course_stamp(course(log))]
    assert memory_stamp(log) == 0
    for absolute in (True, False):
        remember(memory_of(log), key_of(log), Reading(absolute=absolute))
        stamps.append(course_stamp(course(log)))
    forget(memory_of(log), key_of(log))
    stamps.append(course_stamp(course(log)))
    assert len(set(stamps)) == 4
