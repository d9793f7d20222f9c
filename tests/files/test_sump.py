"""A tank with a sump from its file to the plan, the slosh answer, the change page and the drawing on paper."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from planner.car import Pickup
from planner.day import plan_day
from planner.day.json import plan_json
from planner.day.slosh import slosh_json
from planner.files.car_file import parse_car
from planner.files.dipstick import dipstick_sections, graduations
from planner.files.tank_drawing import tank_drawing
from planner.physics.tank import Box, WithSump
from planner.use.tank_changes import turned
from tests.files.samples import CAR, replaced
from tests.plans import event_of

PLAIN_TEXT = replaced(CAR, 'low_level_switch = "0.5 L"\n', "")
SUMP = '[tank.sump]\nlength = "60 mm"\nwidth = "70 mm"\nheight = "30 mm"\nahead = "-125 mm"\n\n'
PLAIN = parse_car(PLAIN_TEXT, "")
EVENT = replace(event_of(3), sessions=tuple(replace(session, runs=1) for session in event_of(3).sessions))
SUMPED = parse_car(replaced(PLAIN_TEXT, "[pump]", SUMP + "[pump]"), "")


def test_a_plan_with_a_sump_may_run_lower_and_counts_millimetres_from_the_sumps_floor() -> None:
    plain, sumped = (plan_json(plan_day(EVENT, car)) for car in (PLAIN, SUMPED))
    for before, after in zip(plain["sessions"], sumped["sessions"], strict=True):
        assert after["unusable_slosh_L"] < before["unusable_slosh_L"]
        assert after["unusable_level_L"] == pytest.approx(0.06 * 0.07 * 0.008 * 1e3, abs=1e-3)
    mark = sumped["refills"][0]
    assert mark["mark_mm"] == pytest.approx(30 + (mark["mark_L"] - 0.126) / (0.32 * 0.18), abs=0.06)


def test_the_slosh_answer_looks_at_levels_in_the_sump_too() -> None:
    found = slosh_json(SUMPED)
    assert found["tank_capacity_L"] == pytest.approx(8.064 + 0.126)
    assert found["unusable_slosh_L"] < slosh_json(PLAIN)["unusable_slosh_L"]
    assert found["levels"][0]["level_mm"] > 30


def test_the_dipstick_is_close_lined_in_the_sump_and_wide_lined_above() -> None:
    lines = graduations(SUMPED.tank.shape)
    for line in lines:
        assert float(SUMPED.tank.shape.volume_from_level(line.level / 1e3)) == pytest.approx(
            line.amount / 1e3, abs=1e-8
        )


def test_paper_shows_the_sump_below_the_tank_and_lines_no_wider_than_it() -> None:
    plan = plan_json(plan_day(EVENT, SUMPED))
    shown = tank_drawing({**plan, "sessions": [{"floor_L": 0.1}]}, SUMPED, (90.0, 40.0))
    outline = re.search(r'<path d="M2 [\d.]+h([\d.]+)V([\d.]+)H([\d.]+)V([\d.]+)H([\d.]+)V', shown)
    assert outline is not None
    width, rim, end, floor, start = (float(value) for value in outline.groups())
    assert (end - start) / width == pytest.approx(60 / 320, abs=0.01)
    assert (floor - rim) / width == pytest.approx(30 / 320, abs=0.01)
    middle = (start + end) / 2 - (2.0 + width / 2)  # seen from the left, the front of the car is to the left
    assert middle / width == pytest.approx(-SUMPED.tank.shape.ahead / 0.320, abs=0.01)
    low = re.search(r'<path d="M([\d.]+) [\d.]+H([\d.]+)"[^>]*dasharray', shown)
    assert low is not None
    assert (float(low[1]), float(low[2])) == pytest.approx((start, end), abs=0.02)
    assert "<rect" in tank_drawing(plan, PLAIN, (90.0, 40.0))


def test_turning_a_tank_takes_its_sump_and_pickup_along() -> None:
    shape = SUMPED.tank.shape
    assert isinstance(shape, WithSump)
    tank = replace(SUMPED.tank, shape=replace(shape, left=0.04), pickup=Pickup(-0.12, 0.02, 0.008))
    left, right = turned(tank)
    assert left.shape == WithSump(Box(0.18, 0.32, 0.14), Box(0.07, 0.06, 0.03), -0.04, -0.125)
    assert right.shape == WithSump(Box(0.18, 0.32, 0.14), Box(0.07, 0.06, 0.03), 0.04, 0.125)
    assert (left.pickup.ahead, left.pickup.left) == (-0.02, -0.12)
    assert (right.pickup.ahead, right.pickup.left) == (0.02, 0.12)


def test_a_pickup_at_the_height_of_the_sumps_rim_may_stand_anywhere_on_the_tanks_floor() -> None:
    text = replaced(PLAIN_TEXT, "[pump]", SUMP + "[pump]")
    rim = replaced(replaced(text, 'height = "8 mm"', 'height = "30 mm"'), 'ahead = "-150 mm"', 'ahead = "100 mm"')
    assert parse_car(rim, "").tank.pickup == Pickup(0.1, 0.0, 0.03)


def test_the_dipstick_says_to_stand_it_in_the_sump() -> None:
    plan = plan_json(plan_day(EVENT, SUMPED))
    assert "the floor of its sump" in dipstick_sections(plan, SUMPED)
    assert "sump" not in dipstick_sections(plan_json(plan_day(EVENT, PLAIN)), PLAIN)
