"""What must not matter does not, and what must scale does: from the files' text to the plan."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.car import Car, Pickup
from planner.day import plan_day
from planner.day.json import plan_json
from planner.event import Course, Event, Piece
from planner.files.event_file import read_day
from planner.use.flow_curve import flow_curve
from tests.cars import CAR, PSI

DEMO = Path(__file__).resolve().parents[1] / "events_demo"
G = 9.80665

CAR_FILE = (DEMO / "cars" / "turnip.toml").read_text()
DAY = """
name = "Button Field"
date = 2026-07-04
timezone = "Europe/Berlin"
car = "button.toml"
[reserve]
confidence = 0.99
final = "FINAL"
extra = 1
[refill]
setup = "SETUP"
pour_rate = "RATE"
[stock]
containers = [JUGS]
COURSES
"""
LOOP = '[[course]]\nname = "loop"\nper = "run"\ntime_at_boost = [["BOOST", "20 s"]]\n'
FIELD = '[[course]]\nname = "field"\nper = "run"\ntime_at_boost = [["BOOST", "30 s"]]\n'
SESSIONS = "".join(
    f'[[session]]\nname = "{k}"\nstart = "{9 + k}:00"\nlength = "LENGTH"\ncourse = "{course}"\nruns = 3\n'
    for k, course in enumerate(("loop", "field", "loop"))
)
METRIC = {
    "FINAL": "45 s",
    "SETUP": "6 min",
    "RATE": "2 L/min",
    "JUGS": '"10 L", "5 L"',
    "BOOST": "100 kPa",
    "LENGTH": "20 min",
}
OTHERS = {
    "FINAL": "0.75 min",
    "SETUP": "360 s",
    "RATE": "2000 cc/min",
    "JUGS": '"5000 mL", "0.01 m^3"',
    "BOOST": "1 bar",
    "LENGTH": "1200 s",
}


def planned(folder: Path, car: str = CAR_FILE, words: dict[str, str] = METRIC, courses: str = LOOP + FIELD) -> dict:
    """The plan's plain data of the texts of a car and of a day."""
    text = DAY.replace("COURSES", courses + SESSIONS)
    for word, value in words.items():
        text = text.replace(word, value)
    (folder / "button.toml").write_text(car)
    (folder / "day.toml").write_text(text)
    return plan_json(plan_day(*read_day(folder / "day.toml")))


def same(one: object, other: object) -> None:
    """Two plain data alike, numbers to a part in a million."""
    if isinstance(one, dict):
        assert isinstance(other, dict)
        assert one.keys() == other.keys()
        for key in one:
            same(one[key], other[key])
    elif isinstance(one, list):
        assert isinstance(other, list)
        assert len(one) == len(other)
        for a, b in zip(one, other, strict=True):
            same(a, b)
    else:
        assert other == (pytest.approx(one, rel=1e-6, abs=1e-6) if isinstance(one, float) else one)


def test_any_unit_gives_the_same_plan(tmp_path: Path) -> None:
    in_others = (
        CAR_FILE.replace('"200 mm"', '"20 cm"')
        .replace('"130 mm"', '"0.13 m"')
        .replace('"380 mL/min"', '"0.38 L/min"')
        .replace('"20 degC"', '"68 degF"')
    )
    assert in_others != CAR_FILE
    same(planned(tmp_path), planned(tmp_path, in_others, OTHERS))


def test_the_order_of_courses_and_of_nozzles_changes_nothing(tmp_path: Path) -> None:
    second = '\n[[nozzle]]\ncount = 1\nrated_flow = "90 mL/min"\nrated_pressure = "100 psi"\nplace = "after throttle"\n'
    first = re.search(r"\n\[\[nozzle\]\].*?(?=\n\[controller\])", CAR_FILE, re.S)
    assert first
    one = CAR_FILE.replace(first[0], first[0] + second)
    other = CAR_FILE.replace(first[0], second + first[0])
    same(planned(tmp_path, one), planned(tmp_path, other, courses=FIELD + LOOP))


def test_half_the_time_at_boost_is_half_the_use(tmp_path: Path) -> None:
    halved = planned(tmp_path, courses=LOOP.replace("20 s", "10 s") + FIELD.replace("30 s", "15 s"))
    for half, whole in zip(halved["sessions"], planned(tmp_path)["sessions"], strict=True):
        assert half["use_mean_L"] == pytest.approx(whole["use_mean_L"] / 2, abs=6e-4)


def mirrored(car: Car, event: Event) -> tuple[Event, Car]:
    """The same day as a mirror shows it: corners and pickup on the other side."""
    pickup = car.tank.pickup
    other = replace(car, tank=replace(car.tank, pickup=Pickup(pickup.ahead, -pickup.left, pickup.height)))
    courses = tuple(
        replace(c, pieces=tuple(replace(p, lateral=None if p.lateral is None else -p.lateral) for p in c.pieces))
        for c in event.courses
    )
    return replace(event, courses=courses), other


@settings(max_examples=12)
@given(st.floats(-0.06, 0.06), st.floats(-1.2, 1.2), st.floats(-1.2, 1.2))
def test_a_mirrored_car_on_a_mirrored_course_has_the_same_plan(left: float, first: float, second: float) -> None:
    event, _ = read_day(DEMO / "events" / "snail-society-autocross.toml")
    pieces = (
        Piece(3.0, 12 * PSI, lateral=first * G, longitudinal=0.2 * G),
        Piece(2.0, 10 * PSI, lateral=second * G, longitudinal=-0.1 * G),
    )
    name = event.courses[0].name
    event = replace(event, courses=(Course(name=name, per="run", pieces=pieces),))
    car = replace(CAR, tank=replace(CAR.tank, pickup=Pickup(-0.1, left, 0.008)))
    plain, mirror = plan_json(plan_day(event, car)), plan_json(plan_day(*mirrored(car, event)))
    for a, b in zip(plain["sessions"], mirror["sessions"], strict=True):
        assert a["unusable_slosh_L"] == pytest.approx(b["unusable_slosh_L"], abs=2e-3)
        assert a["use_mean_L"] == b["use_mean_L"]
    assert [f["mark_L"] for f in plain["refills"]] == pytest.approx([f["mark_L"] for f in mirror["refills"]], abs=0.051)


def test_one_nozzle_counted_twice_is_two_nozzles() -> None:
    one = flow_curve(CAR)
    split = replace(CAR, nozzles=(replace(CAR.nozzles[0], count=1), replace(CAR.nozzles[0], count=1)))
    assert CAR.nozzles[0].count == 2
    assert flow_curve(split).injected.left == pytest.approx(one.injected.left, rel=1e-12)
