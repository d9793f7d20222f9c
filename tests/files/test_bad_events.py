"""Broken event files: each fault is one clear line with its key, and nothing is read."""
# ruff: noqa: E501

from __future__ import annotations

from pathlib import Path

import pytest

from tests.files.samples import CAR, EVENT, event_faults, replaced, workspace

# What stands in the sound file, what is put in its place, the key blamed, and words of the sentence.
BROKEN: list[tuple[str, str, str, str]] = [
    # head
    ('name = "Thistle Down sprint"', "name = 1", "name", "a name is a text"),
    ('name = "Thistle Down sprint"', "", "name", "missing; "),
    ("date = 2026-05-16", 'date = "16/05/2026"', "date", "year, month and day without quotes, such as 2026-05-16"),
    ("date = 2026-05-16", "date = 2026-05-16T09:00:00", "date", "write the date alone"),
    ("date = 2026-05-16", "date = 20260516", "date", "not a date"),
    ("date = 2026-05-16", "date = 1026-05-16", "date", "the year must be from 1970 to 2200"),
    ("date = 2026-05-16", "date = 2026-02-30", "line 2", "not TOML"),
    ("date = 2026-05-16", "", "date", "missing; "),
    ("date =", "day =", "day", "no such key; here are known: name, date"),
    ("Europe/London", "Europe/Lodnon", "timezone", 'did you mean "Europe/London"?'),
    ("Europe/London", "London", "timezone", 'did you mean "Europe/London"?'),
    ("Europe/London", "europe/london", "timezone", 'did you mean "Europe/London"?'),
    ("Europe/London", "New York", "timezone", 'did you mean "America/New_York"?'),
    ("Europe/London", "BST", "timezone", 'did you mean "Europe/London"?'),
    ("Europe/London", "PDT", "timezone", 'did you mean "America/Los_Angeles"?'),
    ("Europe/London", "+01:00", "timezone", "an offset says nothing of summer time"),
    ("Europe/London", "UTC+1", "timezone", "an offset says nothing of summer time"),
    ("Europe/London", "Europe", "timezone", "no such time zone"),
    ("Europe/London", "../../etc/passwd", "timezone", "no such time zone"),
    ("Europe/London", "Zzyzx Qwrtp", "timezone", 'write one such as "Europe/London"'),
    ("Europe/London", "", "timezone", "no such time zone"),
    ('timezone = "Europe/London"', "timezone = 1", "timezone", "a name in quotes"),
    ('timezone = "Europe/London"', "", "timezone", "missing; a time zone is a name"),
    ("time" + "zone =", "time_zone =", "time_zone", "did you mean timezone?"),
    ('car = "../cars/plum.toml"', 'car = "../cars/plumm.toml"', "car", "no such file; did you mean plum.toml?"),
    ('car = "../cars/plum.toml"', 'car = "../auto/plum.toml"', "car", "no such file, and no such folder"),
    ('car = "../cars/plum.toml"', 'car = "../cars"', "car", "a folder, not a file"),
    ('car = "../cars/plum.toml"', "car = '..\\cars\\plum.toml'", "car", "write / between folders: ../cars/plum.toml"),
    ('car = "../cars/plum.toml"', "car = 5", "car", "not a file; write its path"),
    ('car = "../cars/plum.toml"', 'car = ""', "car", "not a file"),
    ('car = "../cars/plum.toml"', f'car = "{"x" * 5000}"', "car", "no such file"),
    ('car = "../cars/plum.toml"', "", "car", "missing; "),
    # reserve
    ("confidence = 0.99 ", "confidence = 99 ", "reserve.confidence", "did you mean 0.99?"),
    ("confidence = 0.99 ", "confidence = 99.5 ", "reserve.confidence", "did you mean 0.995?"),
    ("confidence = 0.99 ", 'confidence = "99%" ', "reserve.confidence", "without quotes: 0.99"),
    ("confidence = 0.99 ", "confidence = 1 ", "reserve.confidence", "must be from 0.5 to 0.9999"),
    ("confidence = 0.99 ", "confidence = 0.01 ", "reserve.confidence", "must be from 0.5 to 0.9999"),
    ("confidence = 0.99 ", "confidance = 0.99 ", "reserve.confidance", "did you mean confidence?"),
    ('final = "45 s"', "final = 45", "reserve.final", "a bare number has no unit"),
    ('final = "45 s"', 'final = "45 h"', "reserve.final", "more than 30 min"),
    ('final = "45 s"', 'final = "45 mL"', "reserve.final", "not a unit of time"),
    ("extra = 1\n", "extra = -1\n", "reserve.extra", "must be from 0 to 100"),
    ("extra = 1\n", 'extra = "1 run"\n', "reserve.extra", "not a number"),
    ('prime = "0.1 L"', 'prime = "-0.1 L"', "reserve.prime", "must be at least zero"),
    ('prime = "0.1 L"', 'prime = "9 L"', "reserve.prime", "the tank of Plum hatch holds 8.064 L"),
    # refill
    ('setup = "6 min"', 'setup = "6"', "refill.setup", "no unit"),
    ('setup = "6 min"', 'setup = "-6 min"', "refill.setup", "must be at least zero"),
    ('pour_rate = "2 L/min"', 'pour_rate = "0 L/min"', "refill.pour_rate", "must be more than zero"),
    ('pour_rate = "2 L/min"', 'pour_rate = "2 L"', "refill.pour_rate", "not a unit of flow"),
    ('spill = "20 mL"', 'spill = "20"', "refill.spill", "no unit"),
    ('"fewest stops"', '"fewest stop"', "refill.priority", 'did you mean "fewest stops"?'),
    ('"fewest stops"', '"Lightest Car"', "refill.priority", 'did you mean "lightest car"?'),
    ('"fewest stops"', '"cheapest"', "refill.priority", 'write "fewest stops" or "lightest car" or "calmest tank"'),
    ('stop_at = ["paddock"]', 'stop_at = "paddock"', "refill.stop_at", 'not a list; write ["paddock"]'),
    ('stop_at = ["paddock"]', "stop_at = [1]", "refill.stop_at[1]", "a name is a text"),
    ('stop_at = ["paddock"]', 'stop_at = ["Pad-dock"]', "session[1].gap", 'refill.stop_at has "Pad-dock"; spell both alike'),
    # stock
    ('in_tank = "0 L"', 'in_tank = "-1 L"', "stock.in_tank", "must be at least zero"),
    ('in_tank = "0 L"', 'in_tank = "8.2 L"', "stock.in_tank", "the tank of Plum hatch holds 8.064 L"),
    ('in_tank = "0 L"', 'in_tank = "5000 L"', "stock.in_tank", "more than 500 L"),
    ('["10 L", "5 L"]', '["10 L", "0 L"]', "stock.containers[2]", "must be more than zero"),
    ('["10 L", "5 L"]', '["10 L", 5]', "stock.containers[2]", "a bare number has no unit"),
    ('["10 L", "5 L"]', '"10 L"', "stock.containers", "not a list"),
    ('alcohol_price = "2.40 / L"', "alcohol_price = 2.4", "stock.alcohol_price", 'such as "2.40 / L"'),
    ('alcohol_price = "2.40 / L"', 'alcohol_price = "-1 / L"', "stock.alcohol_price", "must be at least zero"),
    ('water_price = "0.60 / L"', 'water_price = "0.60 / kg"', "stock.water_price", "not a unit of price"),
    ('water_price = "0.60 / L"', 'methanol_price = "1 / L"', "stock.methanol_price", "no such key"),
    # courses
    ('name = "hill"\n', "", "course[1].name", "missing; write name ="),
    ('name = "field"', 'name = "hill"', "course[2].name", "course[1] has that name; choose another"),
    ('per = "run"', 'per = "heat"', "course[1].per", 'write "run" or "lap" or "minute"'),
    ('per = "run"\n', "", "course[1].per", "missing; write per ="),
    ('"../logs/hill-1.csv"', '"../logs/hil-1.csv"', "course[1].logs[1]", "did you mean hill-"),
    ('"../logs/hill-2.csv"', '"../logs/hill-1.csv"', "course[1].logs[2]", "named twice"),
    ('"../logs/hill-2.csv"', '"../logs"', "course[1].logs[2]", "a folder, not a file"),
    ('"../logs/hill-2.csv"', '"/nowhere/x.csv"', "course[1].logs[2]", "no such folder"),
    ('"../logs/hill-2.csv"', "2", "course[1].logs[2]", "not a file"),
    ('["../logs/hill-1.csv", "../logs/hill-2.csv"]', '"../logs/hill-1.csv"', "course[1].logs", "not a list"),
    ('["../logs/hill-1.csv", "../logs/hill-2.csv"]', "[]", "course[1].logs", "needs at least 1 entry"),
    ("logs =", "loggs =", "course[1].loggs", "did you mean logs?"),
    ('per = "lap"', 'per = "lap"\nlogs = ["../logs/hill-1.csv"]', "course[2].pieces", "keep this or logs"),
    ('per = "minute"', 'per = "minute"\npieces = [{ time = "9 s", boost = "1 psi" }]', "course[3].time_at_boost", "keep this or pieces"),
    ('time_at_boost = [["5 psi", "3 s"], ["12 psi", "19 s"]]', "", "course[3]", "give it one of logs, pieces or time_at_boost"),
    ('["12 psi", "19 s"]', '["12 psi", "59 s"]', "course[3].time_at_boost", "adds up to 62 s of a minute"),
    ('["12 psi", "19 s"]', '["19 s", "12 psi"]', "course[3].time_at_boost[2]", "write the boost first"),
    ('["12 psi", "19 s"]', '["14 gal", "19 s"]', "course[3].time_at_boost[2]", "boost: 'gal' is not a unit of pressure"),
    ('["12 psi", "19 s"]', '["12 psi", "0 s"]', "course[3].time_at_boost[2]", "time: must be more than zero"),
    ('["12 psi", "19 s"]', '["12 psia", "19 s"]', "course[3].time_at_boost[2]", "boost: an absolute pressure"),
    ('boost = "13 psi"', "boost = 13", "course[2].pieces[1].boost", "a bare number has no unit"),
    ('boost = "13 psi"', 'boots = "13 psi"', "course[2].pieces[1].boots", "did you mean boost?"),
    ('boost = "13 psi", ', "", "course[2].pieces[1].boost", "missing; write boost ="),
    ('longitudinal = "0.4 g"', 'longitudinal = "0.4 m"', "course[2].pieces[1].longitudinal", "not a unit of acceleration"),
    ('longitudinal = "0.4 g"', 'longitudinal = "40 g"', "course[2].pieces[1].longitudinal", "more than 10 g"),
    ('lateral = "-0.9 g"', 'lateral = "-0,9 g"', "course[2].pieces[2].lateral", "a decimal point"),
    ('lateral = "-0.9 g"', 'sideways = "-0.9 g"', "course[2].pieces[2].sideways", "here are known: time, boost"),
    ('time = "3 s"', 'time = "0 s"', "course[2].pieces[2].time", "must be more than zero"),
    ('spool = "0.5 s"', 'spool = "-0.5 s"', "course[2].spool", "must be at least zero"),
    ('per = "run"', 'per = "run"\nspool = "1 s"', "course[1].spool", "is for pieces alone"),
    ('per = "lap"', 'per = "lap"\nrate = "9 Hz"', "course[2].rate", "is for reading logs, and this course has none"),
    ('per = "lap"', 'per = "lap"\nsplit = { column = "a" }', "course[2].split", "is for reading logs"),
    ("{ boost = \"Manifold\" }", "{ boots = \"Manifold\" }", "course[1].columns", "did you mean boost?"),
    ("{ boost = \"Manifold\" }", "{ boost = 3 }", "course[1].columns", "not a table of texts"),
    ("{ boost = \"kPa\" }", "{ boost = \"gal\" }", "course[1].units", "'gal' is not a unit of pressure"),
    ("{ boost = \"kPa\" }", "\"kPa\"", "course[1].units", "not a table of texts"),
    ("absolute = true", "absolute = \"yes\"", "course[1].absolute", "write true or false"),
    ('ambient = "98 kPa"', 'ambient = "9.8 kPa"', "course[1].ambient", "less than 0.4 bar"),
    ('ambient = "98 kPa"', 'ambient = "98 psi"', "course[1].ambient", "more than 1.2 bar"),
    ('rate = "50 Hz"', "rate = 50", "course[1].rate", 'such as "50 Hz"'),
    ('rate = "50 Hz"', 'rate = "50 kHz"', "course[1].rate", "not a rate"),
    ('rate = "50 Hz"', 'rate = "0 Hz"', "course[1].rate", "not a rate"),
    ('rate = "50 Hz"', 'rate = "nan Hz"', "course[1].rate", "not a rate"),
    ('{ stops_longer = "20 s" }', "{ }", "course[1].split", "needs one of column, stops_longer and windows"),
    ('{ stops_longer = "20 s" }', '{ stops_longer = "2 s", column = "x" }', "course[1].split", "needs one of column"),
    ('{ stops_longer = "20 s" }', '{ stop_longer = "2 s" }', "course[1].split.stop_longer", "did you mean stops_longer?"),
    ('{ stops_longer = "20 s" }', '{ windows = [["9 s", "3 s"]] }', "course[1].split.windows[1]", "must end after it starts"),
    ('{ stops_longer = "20 s" }', '{ windows = [["3 s", "3 s"]] }', "course[1].split.windows[1]", "must end after it starts"),
    ('{ stops_longer = "20 s" }', '"Lap"', "course[1].split", "not a table; write { column ="),
    # sessions
    ('name = "Heat 1"', "", "session[1].name", "missing; write name ="),
    ('start = "09:30"', 'start = "9:30 am"', "session[1].start", 'write the time from 00:00 to 23:59: "09:30"'),
    ('start = "12:00"', 'start = "2 pm"', "session[3].start", '"14:00"'),
    ('start = "09:30"', 'start = "25:30"', "session[1].start", "not a time of day"),
    ('start = "09:30"', 'start = "09:61"', "session[1].start", "not a time of day"),
    ('start = "09:30"', "start = 930", "session[1].start", "not a time of day"),
    ('start = "09:30"', "start = 2026-05-16T09:30:00", "session[1].start", "write the time alone"),
    ('start = "09:30"\n', "", "session[1].start", "missing; write start ="),
    ('start = "10:30"', 'start = "10:00"', "session[2].start", '"Heat 1" is still under way until 10:10'),
    ('start = "10:30"', 'start = "08:00"', "session[2].start", 'before "Heat 1" at 09:30, which stands above it'),
    ('start = "10:30"', 'start = "09:30"', "session[2].start", '"Heat 1" is still under way until 10:10'),
    ('start = "12:00"', 'start = "09:45"', "session[3].start", 'before "Heat 2" at 10:30'),
    ('start = "12:00"', 'start = "10:45"', "session[3].start", '"Heat 2" is still under way until 11:05'),
    ('length = "40 min"', 'length = "4 h"', "session[2].start", '"Heat 1" is still under way until 13:30'),
    ('length = "40 min"', 'length = "0 min"', "session[1].length", "must be more than zero"),
    ('length = "40 min"', "length = 40", "session[1].length", "a bare number has no unit"),
    ('length = "40 min"', 'length = "40 m"', "session[1].length", "'m' is not a unit of time"),
    ('length = "40 min"', 'length = "40 days"', "session[1].length", "more than 24 h"),
    ('course = "hill"\nruns', 'course = "hil"\nruns', "session[1].course", 'did you mean "hill"?'),
    ('course = "hill"\nruns', 'course = "zoo"\nruns', "session[1].course", "the file has: hill, field, road"),
    ('course = "hill"\nruns', "runs", "session[1].course", "missing; write course ="),
    ("runs = 3", "runs = 0", "session[1].runs", "must be above 0 and up to 1500"),
    ("runs = 3", "runs = -3", "session[1].runs", "must be above 0"),
    ("runs = 3", 'runs = "3"', "session[1].runs", "write the number without quotes: 3"),
    ("runs = 3", "laps = 3", "session[1].laps", "no such key; here are known: name, start"),
    ("runs = 3", "runs = inf", "session[1].runs", "not a finite number"),
    ('driver = "A"', "driver = 1", "session[1].driver", "a name is a text"),
    ("refill = false", 'refill = "no"', "session[2].refill", "write true or false"),
    ("refill = false", "refil = false", "session[2].refil", "did you mean refill?"),
    ('start = "12:00"', 'start = "12:00"\ndate = 2026-05-15', "session[3].date", "from the event's date, 2026-05-16"),
    ('start = "12:00"', 'start = "12:00"\ndate = 2027-05-17', "session[3].date", "to 31 days after it"),
    ('start = "12:00"', 'start = "12:00"\ndate = "tomorrow"', "session[3].date", "not a date"),
    ("# a short break only\n[[session]]", "[session]", "line 57", "once only"),
    # the file as a whole
    ("[stock]", "[stok]", "stok", "did you mean stock?"),
    ("[stock]", 'pour_rate = "1 L/min"\n[stock]', "line 19", "once only"),
    ('car = "../cars/plum.toml"', 'car = "../cars/plum.toml"\nconfidence = 0.9', "confidence", "belongs in [reserve], below that line"),
    ('in_tank = "0 L"', 'in_tank = "0 L"\nspill = "1 mL"', "stock.spill", "belongs in [refill], not here"),
]  # fmt: skip


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return workspace(tmp_path_factory.mktemp("work"))


@pytest.mark.parametrize(("old", "new", "key", "words"), BROKEN)
def test_a_broken_event_file_is_refused_with_its_key_and_a_remedy(
    path: Path, old: str, new: str, key: str, words: str
) -> None:
    faults = event_faults(path, replaced(EVENT, old, new))
    fault = next((fault for fault in faults if fault.key == key), None)
    assert fault is not None, faults
    assert words in fault.remedy
    assert fault.file == str(path)
    assert len(fault.line().splitlines()) == 1
    assert len(faults) <= 3


@pytest.mark.parametrize(
    ("day", "start", "words"),
    [
        ("2026-03-29", "01:30", "the clocks go forward over that time on 2026-03-29 in Europe/London; write 02:30"),
        ("2026-03-29", "01:00", "write 02:00 if that is meant"),
    ],
)
def test_a_start_that_the_clocks_skip_is_refused(path: Path, day: str, start: str, words: str) -> None:
    text = replaced(replaced(EVENT, "2026-05-16", day), '"09:30"', f'"{start}"')
    assert [(fault.key, words in fault.remedy) for fault in event_faults(path, text)] == [("session[1].start", True)]


def test_every_session_that_a_long_one_covers_is_named(path: Path) -> None:
    faults = event_faults(path, replaced(EVENT, '"40 min"', '"3 h"'))
    assert [fault.key for fault in faults] == ["session[2].start", "session[3].start"]


def test_an_unknown_zone_does_not_hide_an_overlap(path: Path) -> None:
    text = replaced(replaced(EVENT, "Europe/London", "Europe/Nowhere"), '"10:30"', '"10:00"')
    assert [fault.key for fault in event_faults(path, text)] == ["timezone", "session[2].start"]


def test_a_course_with_a_broken_name_brings_no_second_fault_to_its_sessions(path: Path) -> None:
    faults = event_faults(path, replaced(EVENT, 'name = "road"', "name = 5"))
    assert [fault.key for fault in faults] == ["course[3].name"]


@pytest.mark.parametrize("table", ["course", "session"])
def test_an_event_without_courses_or_sessions_is_told_to_have_some(path: Path, table: str) -> None:
    head = EVENT.split("[[course]]")[0]
    faults = {fault.key: fault.remedy for fault in event_faults(path, head)}
    assert faults[table] == f"missing; write [[{table}]] on a line of its own and its keys below"


def test_a_course_in_single_brackets_is_told_to_be_doubled(path: Path) -> None:
    head = EVENT.split("[[course]]")[0]
    faults = event_faults(path, head + '[course]\nname = "a"\nper = "run"\ntime_at_boost = [["1 psi", "1 s"]]\n')
    assert ("course", "write [[course]] in double brackets, once for each") in [(f.key, f.remedy) for f in faults]
    assert {fault.key for fault in faults} == {"course", "session"}


def test_a_car_file_given_as_an_event_is_recognised(path: Path) -> None:
    assert event_faults(path, CAR)[0].remedy == "this is the file of a car; name that of an event here"


def test_an_event_that_names_an_event_as_its_car_is_told_so(path: Path) -> None:
    faults = event_faults(path, replaced(EVENT, "../cars/plum.toml", "day.toml"))
    assert [fault.remedy for fault in faults] == ["this is the file of an event; name that of a car here"]
