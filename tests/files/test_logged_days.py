"""Results kept in the car's file: for later days alone, beside what stands there, and taken back with their entry."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from planner.car import FlowTest, Kept
from planner.day import car_factor
from planner.entry import Entry
from planner.errors import BadInput
from planner.files.car_file import parse_car, read_car
from planner.files.car_writer import car_toml
from planner.files.event_file import read_day
from planner.files.logged_days import logged_day, logged_days, settle_car, touches_kept
from planner.files.pit_log import PitLog
from tests.dashboard.days import CAR, write_workspace

KEPT = '\n[[kept]]  # first\ndate = 2026-04-01\nfactor = 1.10\nvariation = 0.05\nevent = "Newt Pond"\n'
AT = datetime(2026, 5, 16, 18, 0, tzinfo=UTC)


@pytest.fixture
def path(tmp_path):
    return write_workspace(tmp_path)


def kept(name="k", mean=1.04, variation=0.05):
    return Entry(name, AT, "kept", {"mean": mean, "variation": variation, "readings": 3})


def test_a_kept_result_is_written_beside_what_stands_there_and_taken_back(path):
    car_path = path.parent.parent / "cars" / "plum.toml"
    car_path.write_text(CAR + KEPT)
    event, _ = read_day(path)
    log = PitLog(path)
    log.append(kept())
    settle_car(event, log.entries())
    assert read_car(car_path).kept == (
        Kept(date(2026, 4, 1), 1.10, 0.05, "Newt Pond"),
        Kept(date(2026, 5, 16), 1.04, 0.05, "Moth Meadow"),
    )
    assert "# beside the spare wheel" in car_path.read_text()
    assert "# first" in car_path.read_text()
    log.append(kept("again", 1.06))
    settle_car(event, log.entries())
    assert [row.factor for row in read_car(car_path).kept] == [1.10, 1.06]
    log.undo("again", at=AT)
    settle_car(event, log.entries())
    assert [row.factor for row in read_car(car_path).kept] == [1.10, 1.04]
    log.undo("k", at=AT)
    settle_car(event, log.entries())
    assert [row.factor for row in read_car(car_path).kept] == [1.10]
    settle_car(event, log.entries())
    assert car_path.read_text() == CAR + KEPT


def test_without_any_result_the_car_s_file_is_as_before(path):
    car_path = path.parent.parent / "cars" / "plum.toml"
    event, _ = read_day(path)
    log = PitLog(path)
    log.append(kept())
    settle_car(event, log.entries())
    log.undo(at=AT)
    settle_car(event, log.entries())
    assert car_path.read_text() == CAR + "\n"
    log.append(kept("again"))
    settle_car(event, log.entries())
    log.undo(at=AT)
    settle_car(event, log.entries())
    assert car_path.read_text() == CAR + "\n"


def test_a_result_counts_for_later_days_alone(path):
    car_path = path.parent.parent / "cars" / "plum.toml"
    car_path.write_text(CAR + KEPT)
    assert car_factor(read_day(path)[1]).mean == 1.10
    text = path.read_text()
    for day in ("2026-04-01", "2026-03-01"):
        path.write_text(text.replace("2026-05-16", day))
        assert car_factor(read_day(path)[1]).mean == 1.0
    assert car_factor(read_car(car_path)).variation == 0.05


def test_the_newest_result_counts_however_they_stand(path):
    newer = KEPT.replace("2026-04-01", "2026-03-01").replace("1.10", "0.9")
    car = parse_car(CAR + KEPT + newer, "car.toml")
    assert car_factor(car).mean == 1.10


def test_a_flow_test_counts_once(path):
    """A kept result holds the flow test that was there; only a test dated after it tells more."""
    car = parse_car(CAR + KEPT, "car.toml")
    test = FlowTest(4.2e-4, 60.0)
    assert car_factor(replace(car, flow_test=test)).mean == 1.10
    assert car_factor(replace(car, flow_test=replace(test, date=date(2026, 4, 1)))).mean == 1.10
    newer = car_factor(replace(car, flow_test=replace(test, date=date(2026, 4, 2))))
    assert newer.variation < 0.05
    assert newer.mean != 1.10
    assert car_factor(replace(car, flow_test=test, kept=())).variation < 0.05


def test_results_and_dated_tests_are_written_as_they_are_read():
    test = '\n[flow_test]\nvolume = "410 mL"\ntime = "60 s"\ndate = 2026-04-02\n'
    car = parse_car(CAR + test + KEPT, "car.toml")
    assert car.flow_test.date == date(2026, 4, 2)
    assert parse_car(car_toml(car), "car.toml") == car


@pytest.mark.parametrize(
    ("old", "new", "key", "text"),
    [
        ("1.10", "110", "kept[1].factor", "from 0.1 to 10"),
        ("0.05", "5", "kept[1].variation", "0.05"),
        ("2026-04-01", '"April"', "kept[1].date", "not a date"),
        ("factor = 1.10\n", "", "kept[1].factor", "missing"),
        ("factor", "facto", "kept[1].facto", "factor"),
        ("[[kept]]", "[kept]", "kept", "double brackets"),
    ],
)
def test_a_faulty_result_is_told(old, new, key, text):
    with pytest.raises(BadInput) as told:
        parse_car(CAR + KEPT.replace(old, new), "car.toml")
    assert any(fault.key == key and text in fault.remedy for fault in told.value.faults), told.value


def test_only_what_keeps_or_takes_back_touches_the_car():
    note, undo = Entry("n", AT, "note", {"text": "x"}), Entry("u", AT, "undo", {"undoes": "k"})
    assert touches_kept([kept()], [kept()])
    assert touches_kept([undo], [kept(), undo])
    assert not touches_kept([note], [kept(), note])
    assert not touches_kept([Entry("u", AT, "undo", {"undoes": "n"})], [kept(), note])


def test_logged_days_are_those_with_an_entry_that_stands(path):
    assert logged_day(path, AT) is None
    log = PitLog(path)
    log.append(Entry("f", AT - timedelta(hours=10), "fill", {"to_mark": False, "add_L": 6.0}))
    log.append(Entry("l", AT - timedelta(hours=9), "level", {"level_L": 3.0, "level_mm": 52.0, "after": 1}))
    day = logged_day(path, AT)
    assert (day.name, day.date, day.readings, day.judged) == ("Moth Meadow", date(2026, 5, 16), 1, 1)
    earlier = path.with_name("earlier.toml")
    earlier.write_text(path.read_text().replace("2026-05-16", "2026-05-02").replace("Moth", "Newt"))
    for entry in log.entries():
        PitLog(earlier).append(replace(entry, at=entry.at - timedelta(days=14)))
    broken = path.with_name("broken.toml")
    broken.write_text("name = 5")
    PitLog(broken).append(Entry("n", AT, "note", {"text": "x"}))
    found = logged_days([path, earlier, broken, path.with_name("unlogged.toml")], AT)
    assert [day.name for day in found] == ["Newt Meadow", "Moth Meadow"]
    log.undo("f", at=AT)
    log.undo("l", at=AT)
    assert logged_day(path, AT) is None
