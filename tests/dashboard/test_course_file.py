"""Saving the courses: undo walks back over a save, and a change from outside is met, not overwritten."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from dashboard.presenters import course_draft as drafting
from dashboard.presenters.whence import words
from planner.errors import Conflict
from tests.dashboard.course_days import Page, recorded_day


@pytest.fixture
def page(tmp_path: Path) -> Page:
    return Page(recorded_day(tmp_path))


def names(page: Page) -> list[str]:
    return [course["name"] for course in tomllib.loads(page.path.read_text())["course"]]


def test_undo_after_a_save_takes_a_new_course_away_again(page: Page) -> None:
    before = page.path.read_text()
    page.give(drafting.course_added(page.draft, page.base)[1])
    page.type("n1.name", "Later")
    page.save()
    assert names(page) == ["meadow", "loop", "Later"]
    page.undo()
    assert list(page.made.names.values()) == ["meadow", "loop", "New course"]
    page.undo()
    page.save()
    assert tomllib.loads(page.path.read_text()) == tomllib.loads(before)


def test_no_undo_leads_over_a_save_that_moved_courses(page: Page) -> None:
    page.give(drafting.course_dropped(page.draft, page.base, "c1")[1])
    page.save()
    assert names(page) == ["loop"]
    assert page.draft["past"] == []
    page.file.take_back(page.path, page.draft, page.base)
    assert names(page) == ["meadow", "loop"]


def test_a_change_from_outside_is_told_and_not_overwritten(page: Page) -> None:
    page.type("c1.name", "lawn")
    page.path.write_text(page.path.read_text().replace('per = "lap"', 'per = "run"', 1))
    with pytest.raises(Conflict):
        page.save()
    found = page.file.outside(page.path, page.draft)
    assert found is not None
    assert found.table is not None
    assert [(words(row.head), *map(words, row.cells)) for row in found.table.rows] == [
        ("Course 1, measure", "lap", "run", "as it was")
    ]
    done = page.file.keep_mine(page.path, page.draft)
    page.draft, page.base = done.draft, done.form
    page.save()
    assert names(page) == ["lawn", "loop"]
    assert tomllib.loads(page.path.read_text())["course"][0]["per"] == "run"


@pytest.mark.parametrize(("slot", "slots", "shown"), [("c2", "c1 c2", "c2"), ("n1", "c1 c2", "c2"), ("c9", "c1", "c1"),
                                                       (None, "c1 c2", "c1"), ("c1", "", "")])  # fmt: skip
def test_the_course_shown_is_the_chosen_one_or_the_one_just_saved(slot: str | None, slots: str, shown: str) -> None:
    assert drafting.shown_slot(slot, slots.split()) == shown
