import pytest

from dashboard.presenters.car_curve import full_boost, petrol_flow, point_at
from dashboard.presenters.car_form import car_form
from dashboard.presenters.day_answer import rough_courses
from dashboard.presenters.first_use import KINDS, assumptions, make_first_plan, rough_car
from dashboard.presenters.outcome import outcome_of_file
from dashboard.presenters.workspace import Workspace
from planner.errors import BadInput
from planner.files.car_file import parse_car

ANSWERS = {
    "name": "Blue \"hatch\"", "power": "300 hp", "boost": "16 psi", "tank": "1.5 gal", "nozzle": "", "kind": "sprint",
    "date": "2026-06-06", "timezone": "Europe/London", "at_boost": "25 s",
}  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_three_answers_give_a_plan_for_every_kind_of_day(tmp_path, kind):
    usual = {**ANSWERS, "kind": kind, "at_boost": KINDS[kind].at_boost}
    made = make_first_plan(tmp_path, usual)
    outcome = outcome_of_file(tmp_path / made.event)
    assert outcome.plan is not None or outcome.no_plan is not None
    assert not outcome.faults
    assert rough_courses(outcome) == ["rough guess"]
    assert outcome.car.name == 'Blue "hatch"'


def test_the_nozzle_is_sized_for_a_usual_share_of_the_petrol():
    car = parse_car(rough_car(ANSWERS)[0], "car.toml")
    assert point_at(car, full_boost(car)).flow / petrol_flow(300) == pytest.approx(0.15, abs=0.01)
    assert car.tank.capacity * 1e3 == pytest.approx(5.678, rel=0.01)


def test_a_nozzle_that_is_known_is_taken():
    text, _ = rough_car({**ANSWERS, "nozzle": "7 gal/h"})
    assert 'rated_flow = "7 gal/h"\n' in text


def test_what_was_not_asked_shows_as_assumed(tmp_path):
    made = make_first_plan(tmp_path, ANSWERS)
    assumed = car_form(tmp_path / made.car)["assumed"]
    assert {"blend.alcohol_share", "tank.shape", "line.length", "controller.start", "pump.curve", "spread.car"} <= set(
        assumed
    )
    assert "name" not in assumed
    assert len(assumptions(ANSWERS)) >= 8


def test_a_second_plan_takes_other_names(tmp_path):
    one, two = make_first_plan(tmp_path, ANSWERS), make_first_plan(tmp_path, ANSWERS)
    assert one != two
    assert len(Workspace(tmp_path).events()) == 2


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("power", "lots", '"340 hp" or "250 kW"'),
        ("boost", "16", "no unit"),
        ("boost", "90 bar", "from 0.1 to 5 bar"),
        ("tank", "2 psi", "not a unit of volume"),
        ("tank", "2 mL", "from 0.2 L to 200 L"),
        ("nozzle", "350", "no unit"),
        ("kind", "rally", "choose one"),
        ("date", "tomorrow", "2026-06-06"),
        ("timezone", "Londn", "time zone"),
        ("at_boost", "2 h", "up to 600 s"),
    ],
)
def test_an_answer_that_cannot_be_used_says_what_to_write_and_writes_nothing(tmp_path, key, value, says):
    with pytest.raises(BadInput) as reason:
        make_first_plan(tmp_path, {**ANSWERS, key: value})
    assert says in str(reason.value)
    assert not list(tmp_path.rglob("*.toml"))
