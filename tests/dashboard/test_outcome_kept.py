"""A day's text is read once, and again as soon as it or a file that it names changes."""

import os
import time

import pytest

from dashboard.presenters import outcome as module
from tests.dashboard.days import write_workspace


@pytest.fixture
def read(monkeypatch):
    """The texts that were read from the start, in order."""
    texts, truly = [], module.parse_day
    monkeypatch.setattr(module, "parse_day", lambda text, path: texts.append(text) or truly(text, path))
    return texts


@pytest.fixture
def path(tmp_path):
    """An event's file; it, its car and its recordings were last changed an hour ago."""
    event = write_workspace(tmp_path)
    for file in tmp_path.rglob("*.*"):
        hour_ago = time.time() - 3600
        os.utime(file, (hour_ago, hour_ago))
    return event


def car_of(path):
    return next((path.parent.parent / "cars").glob("*.toml"))


def test_a_text_is_read_once(path, read):
    first, second = (module.outcome_of_file(path) for _ in range(2))
    assert len(read) == 1
    assert first.plan == second.plan
    changed = path.read_text().replace("Moth", "Marsh")
    assert module.outcome_of_text(changed, path).plan["event"].startswith("Marsh")
    assert len(read) == 2


def test_a_changed_car_is_read_again_and_answers(path, read):
    before = module.outcome_of_file(path).plan
    car = car_of(path)
    car.write_text(car.read_text().replace("250 mL/min", "200 mL/min"))
    after = module.outcome_of_file(path).plan
    assert len(read) == 2
    assert after["largest_flow_mL_min"] < before["largest_flow_mL_min"]


def test_a_car_that_is_gone_is_told_and_one_that_changes_just_now_is_not_kept(path, read):
    assert module.outcome_of_file(path).plan
    car = car_of(path)
    text = car.read_text()
    car.unlink()
    assert any("plum" in fault.line() for fault in module.outcome_of_file(path).faults)
    car.write_text(text)
    for _ in range(2):
        assert module.outcome_of_file(path).plan
    assert len(read) == 4
