"""event.toml into an Event, and with its car into a day."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from planner.errors import BadInput
from planner.event import Event, Piece, Reading, Refill, Reserve, Stock
from planner.files.event_file import parse_event, read_day, read_event
from planner.files.event_writer import event_toml
from tests.files.samples import CAR, EVENT, replaced, workspace

G, PSI = 9.80665, 6894.757293168
LEAST = """
name = "Least"
date = 2026-05-16
timezone = "Europe/London"
car = "../cars/plum.toml"
[[course]]
name = "field"
per = "run"
time_at_boost = [["14 psi", "19 s"]]
[[session]]
name = "One"
start = "09:30"
length = "10 min"
course = "field"
runs = 1
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return workspace(tmp_path)


def read(path: Path, text: str) -> Event:
    path.write_text(text, encoding="utf-8")
    return read_event(path)


def test_every_key_of_an_event_file_lands_in_its_place(path: Path) -> None:
    event = read_event(path)
    assert (event.name, event.date, event.timezone) == ("Thistle Down sprint", dt.date(2026, 5, 16), "Europe/London")
    assert event.car_path.resolve() == (path.parent.parent / "cars" / "plum.toml").resolve()
    assert event.path == path
    assert event.reserve == Reserve(0.99, 45.0, 1.0, pytest.approx(0.1e-3))
    assert event.refill == Refill(360.0, pytest.approx(2e-3 / 60), pytest.approx(20e-6), "fewest stops", ("paddock",))
    containers = (pytest.approx(0.01), pytest.approx(0.005))
    assert event.stock == Stock(0.0, containers, pytest.approx(2400), pytest.approx(600))


def test_courses_hold_logs_with_their_reading_pieces_or_times(path: Path) -> None:
    hill, field, road = read_event(path).courses
    assert [log.resolve() for log in hill.logs] == [
        (path.parent.parent / "logs" / f"hill-{number}.csv").resolve() for number in (1, 2)
    ]
    assert hill.reading == Reading(
        columns=(("boost", "Manifold"),), units=(("boost", "kPa"),), absolute=True, ambient=98e3, rate=50.0,
        split_stops=20.0,
    )  # fmt: skip
    assert field.pieces[0] == Piece(4.0, pytest.approx(13 * PSI), None, pytest.approx(0.4 * G))
    assert field.pieces[1] == Piece(3.0, 0.0, pytest.approx(-0.9 * G), None)
    assert (field.per, field.spool) == ("lap", 0.5)
    assert road.time_at_boost == (pytest.approx((5 * PSI, 3.0)), pytest.approx((12 * PSI, 19.0)))


def test_sessions_start_at_aware_times_of_the_events_zone(path: Path) -> None:
    first, second, third = read_event(path).sessions
    assert first.start.isoformat() == "2026-05-16T09:30:00+01:00"
    assert (first.length, first.course, first.runs, first.driver, first.gap) == (2400.0, "hill", 3.0, "A", "paddock")
    assert (first.refill, second.refill, third.driver, third.gap) == (None, False, None, None)


def test_what_an_event_file_leaves_out_is_the_default_and_named_as_assumed(path: Path) -> None:
    event = read(path, LEAST)
    assert (event.reserve, event.refill, event.stock) == (Reserve(), Refill(), Stock())
    assert event.assumed == {
        "reserve.confidence", "reserve.final", "reserve.extra", "reserve.prime", "refill.setup", "refill.pour_rate",
        "refill.spill", "refill.priority", "stock.in_tank",
    }  # fmt: skip


def test_a_spool_is_assumed_of_pieces_alone(path: Path) -> None:
    assert read(path, replaced(EVENT, 'spool = "0.5 s"\n', "")).assumed == {"course[2].spool"}
    assert read(path, EVENT).assumed == set()


@pytest.mark.parametrize(
    ("split", "expected"),
    [
        ('{ column = "Lap" }', Reading(split_column="Lap")),
        ('{ windows = [["0 s", "60 s"], ["75 s", "2 min"]] }', Reading(split_windows=((0.0, 60.0), (75.0, 120.0)))),
    ],
)
def test_a_recording_may_be_split_by_a_column_or_by_windows(path: Path, split: str, expected: Reading) -> None:
    reading = read(path, replaced(EVENT, '{ stops_longer = "20 s" }', split)).courses[0].reading
    assert (reading.split_column, reading.split_windows) == (expected.split_column, expected.split_windows)


@pytest.mark.parametrize("written", ["09:30:00", '"9:30"', '"09.30"', '"09:30:00"', '" 09:30 "'])
def test_a_start_may_be_written_in_several_ways(path: Path, written: str) -> None:
    assert read(path, replaced(LEAST, '"09:30"', written)).sessions[0].start.time() == dt.time(9, 30)


def test_a_date_may_stand_in_quotes(path: Path) -> None:
    assert read(path, replaced(LEAST, "2026-05-16", '"2026-05-16"')).date == dt.date(2026, 5, 16)


def test_a_session_may_be_on_a_later_day(path: Path) -> None:
    later = replaced(EVENT, 'start = "12:00"', 'date = 2026-05-17\nstart = "08:00"')
    assert read(path, later).sessions[2].start.isoformat() == "2026-05-17T08:00:00+01:00"


def test_of_a_time_that_comes_twice_the_first_is_meant(path: Path) -> None:
    text = replaced(replaced(LEAST, "2026-05-16", "2026-10-25"), '"09:30"', '"01:30"')
    assert read(path, text).sessions[0].start.utcoffset() == dt.timedelta(hours=1)


def test_sessions_may_touch_across_a_change_of_clocks(path: Path) -> None:
    text = replaced(replaced(LEAST, "2026-05-16", "2026-03-29"), '"09:30"', '"00:30"').replace('"10 min"', '"30 min"')
    event = read(
        path, text + '[[session]]\nname = "Two"\nstart = "02:00"\nlength = "5 min"\ncourse = "field"\nruns = 1\n'
    )
    utc = ZoneInfo("UTC")
    assert event.sessions[1].start.astimezone(utc) == event.sessions[0].end.astimezone(utc)


def test_read_day_gives_the_event_and_its_car(path: Path) -> None:
    event, car = read_day(path)
    assert (event.name, car.name) == ("Thistle Down sprint", "Plum hatch")


def test_faults_of_event_and_car_come_together_each_under_its_file(path: Path) -> None:
    path.write_text(replaced(EVENT, '"45 s"', "45"))
    car = path.parent.parent / "cars" / "plum.toml"
    car.write_text(replaced(CAR, '"20 degC"', '"20 bar"'))
    with pytest.raises(BadInput) as caught:
        read_day(path)
    assert [(fault.file, fault.key) for fault in caught.value.faults] == [
        (str(path), "reserve.final"),
        (str(car), "blend.temperature"),
    ]


def test_a_car_without_toml_is_told_together_with_the_events_faults(path: Path) -> None:
    path.write_text(replaced(EVENT, '"45 s"', "45"))
    (path.parent.parent / "cars" / "plum.toml").write_text("name = \n")
    with pytest.raises(BadInput) as caught:
        read_day(path)
    assert [fault.key for fault in caught.value.faults] == ["reserve.final", "line 1"]


def test_more_in_the_tank_than_the_cars_tank_holds_is_a_fault_of_the_event(path: Path) -> None:
    path.write_text(replaced(EVENT, 'in_tank = "0 L"', 'in_tank = "9 L"'))
    with pytest.raises(
        BadInput, match=r'stock.in_tank = "9 L": the tank of Plum hatch holds 8.064 L; write at most that'
    ):
        read_day(path)


def test_faults_of_every_table_are_told_at_once(path: Path) -> None:
    text = EVENT
    for old, new in (
        ("0.99", "99"), ('"6 min"', "6"), ('"0 L"', '"-1 L"'), ('per = "lap"', 'per = "labs"'),
        ("runs = 3", "runs = 0"),
        ("hill-1.csv", "hill-9.csv"), ("Europe/London", "Europe/Lundon"), ('"10:30"', '"10:00"'),
        ('"road"\nruns', '"raod"\nruns'),
    ):  # fmt: skip
        text = replaced(text, old, new)
    with pytest.raises(BadInput) as caught:
        read(path, text)
    assert {fault.key for fault in caught.value.faults} == {
        "reserve.confidence", "refill.setup", "stock.in_tank", "course[2].per", "session[1].runs", "course[1].logs[1]",
        "timezone", "session[2].start", "session[3].course",
    }  # fmt: skip


@pytest.mark.parametrize("text", [EVENT, LEAST])
def test_a_written_event_reads_back_to_the_same_record(path: Path, text: str) -> None:
    event = read(path, text)
    assert parse_event(event_toml(event), path) == event


def test_a_written_event_keeps_days_seconds_and_splits(path: Path) -> None:
    event = read(path, EVENT)
    late = event.sessions[2]
    start = dt.datetime(2026, 5, 18, 7, 5, 9, tzinfo=ZoneInfo("Europe/London"))
    windows = replace(event.courses[0].reading, split_stops=None, split_windows=((0.0, 61.5), (70.0, 90.0)))
    column = replace(event.courses[0].reading, split_stops=None, split_column="Lap number")
    for reading in (windows, column):
        course = replace(event.courses[0], reading=reading)
        changed = replace(
            event,
            sessions=(*event.sessions[:2], replace(late, start=start)),
            courses=(course, *event.courses[1:]),
        )
        assert parse_event(event_toml(changed), path) == changed


def test_a_written_event_names_its_files_from_the_folder_it_is_for(path: Path) -> None:
    event = read_event(path)
    elsewhere = path.parent.parent / "more" / "days"
    elsewhere.mkdir(parents=True)
    again = parse_event(event_toml(event, elsewhere), elsewhere / "day.toml")
    assert again.car_path.resolve() == event.car_path.resolve()
    assert [log.resolve() for log in again.courses[0].logs] == [log.resolve() for log in event.courses[0].logs]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('["12 psi", "19 s"]', '["12 psi", "57 s"]'),
        ('start = "10:30"', 'start = "10:10"'),
        ('in_tank = "0 L"', 'in_tank = "8.064 L"'),
        ('start = "12:00"', 'start = "12:00"\ndate = 2026-06-16'),
        ('stop_at = ["paddock"]', "stop_at = []"),
        ('containers = ["10 L", "5 L"]', "containers = []"),
        ("runs = 3", "runs = 0.5"),
    ],
)
def test_what_just_fits_is_taken(path: Path, old: str, new: str) -> None:
    path.write_text(replaced(EVENT, old, new))
    assert read_day(path)[0].name == "Thistle Down sprint"


def test_a_lap_may_hold_more_than_a_minute(path: Path) -> None:
    text = replaced(EVENT, 'per = "minute"', 'per = "lap"')
    assert len(read(path, replaced(text, '"19 s"', '"190 s"')).courses) == 3
