import re
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from dashboard.presenters.car_answer import answer_parts, limit_parts, petrol_parts, power_of
from dashboard.presenters.car_answer import test_parts as told_of_test
from dashboard.presenters.car_curve import boosts_of, full_boost, gains, petrol_flow, point_at
from dashboard.presenters.car_table import curve_table
from dashboard.presenters.car_whence import start_boost
from dashboard.presenters.display import Display
from dashboard.presenters.whence import Whence, words
from planner.car import Controller, FlowTest, Kept
from planner.use.flow_curve import flow_curve, full_speed_flow_at_rest
from tests.cars import CAR, ML_MIN, PSI, SWITCHED


def test_the_answer_gives_the_flow_at_full_boost():
    said = words(answer_parts(CAR, Display("us")))
    flow = float(flow_curve(CAR).flow(np.array([14 * PSI]))[0]) / ML_MIN
    assert f"{flow / 63.0902:.2f}\u202fgal/h at 14.0\u202fpsi" in said
    assert "from 5.0\u202fpsi on" in said


@pytest.mark.parametrize(
    ("controller", "full", "start"),
    [
        (Controller("ramp", start=5 * PSI, full=14 * PSI, minimum_speed=0.3), 14 * PSI, 5 * PSI),
        (Controller("switch", start=20 * PSI), 20 * PSI, 20 * PSI),
        (Controller("table", points=((4 * PSI, 0.3), (12 * PSI, 0.9), (16 * PSI, 0.9))), 12 * PSI, 4 * PSI),
    ],
)
def test_full_boost_is_where_the_controller_first_gives_its_most(controller, full, start):
    car = replace(CAR, controller=controller)
    assert full_boost(car) == full
    assert start_boost(car) == start


def test_the_curve_is_drawn_upright_where_it_jumps():
    boosts = boosts_of(SWITCHED)
    at = int(np.searchsorted(boosts, 5 * PSI))
    assert boosts[at] - boosts[at - 1] == pytest.approx(1.0)
    assert list(boosts) == sorted(boosts)


def test_an_operating_point_agrees_with_the_flow_curve():
    point = point_at(CAR, 90e3)
    assert point.flow == pytest.approx(float(flow_curve(CAR).flow(np.array([90e3]))[0]) / ML_MIN)
    assert 0.3 < point.speed < 1
    assert point_at(CAR, 0.0).flow == 0


def test_a_strong_pump_leaves_the_limit_to_the_nozzles_and_a_weak_one_takes_it():
    weak = replace(CAR, pump=replace(CAR.pump, flow=tuple(0.25 * flow for flow in CAR.pump.flow)))
    assert gains(CAR)[0] > gains(CAR)[1]
    assert gains(weak)[1] > gains(weak)[0]
    assert "the nozzles limit" in words(limit_parts(CAR, Display()))
    assert "the pump limits" in words(limit_parts(weak, Display()))


def test_petrol_of_400_hp_at_060_lb_per_hp_and_hour():
    assert petrol_flow(400) == pytest.approx(2435, abs=1)


@pytest.mark.parametrize(
    ("hp", "level"), [(300, "caution"), (500, "notice"), (1600, "caution"), (2500, "warning"), (40, "warning")]
)
def test_the_share_of_the_petrol_is_judged(hp, level):
    found, says = petrol_parts(CAR, Display(), hp)
    assert found == level
    assert "common practice" in words(says) or level == "warning"


def test_without_a_power_the_petrol_is_asked_for():
    assert petrol_parts(CAR, Display(), None)[1][0].startswith("Enter the engine's power")


@pytest.mark.parametrize(
    ("text", "hp"),
    [("340", 340), ("340 hp", 340), ("250 kW", 335.26), ("300 PS", 295.9), ("", None), ("much", None), ("5 hp", None)],
)
def test_power_is_read_in_the_units_people_use(text, hp):
    assert power_of(text) == (pytest.approx(hp, abs=0.1) if hp else None)


def test_a_kept_day_stands_before_an_older_flow_test():
    test = FlowTest(0.9 * full_speed_flow_at_rest(CAR) * 60, 60.0, date=date(2026, 5, 1))
    kept = replace(CAR, flow_test=test, kept=(Kept(date(2026, 5, 16), 1.04, 0.05, "Moth Meadow"),))
    text = words(told_of_test(kept, Display()))
    assert "Moth Meadow on 2026-05-16, says that the car uses 1.04 times its plan, uncertain by 5" in text
    newer = replace(kept, flow_test=replace(test, date=date(2026, 5, 17)))
    assert re.search(r"uncertain by \S+\s?% instead of 5\s?%", words(told_of_test(newer, Display())))


def test_a_flow_test_tells_factor_and_spread():
    expected = full_speed_flow_at_rest(CAR)
    car = replace(CAR, flow_test=FlowTest(0.9 * expected * 60, 60.0))
    assert "No flow test yet" in words(told_of_test(CAR, Display()))
    assert "the car's factor is now 0.9" in words(told_of_test(car, Display()))


def test_the_table_compares_with_petrol_only_at_full_boost():
    rows = curve_table(CAR, Display(), 400).rows
    assert rows[0].cells[3] == ""
    assert rows[-1].cells[3].text.endswith("%")


def test_every_number_of_the_page_opens_to_inputs_formula_and_source():
    tested = replace(CAR, flow_test=FlowTest(0.9 * full_speed_flow_at_rest(CAR) * 60, 60.0))
    parts = [*answer_parts(tested, Display()), *limit_parts(tested, Display()), *told_of_test(tested, Display())]
    parts += petrol_parts(tested, Display(), 400)[1]
    parts += [cell for row in curve_table(tested, Display(), 400).rows for cell in row.cells]
    numbers = [part for part in parts if isinstance(part, Whence)]
    assert len(numbers) > 30
    assert all(number.inputs and number.formula and number.source for number in numbers)
    assert not any(
        any(letter.isdigit() for letter in part) for part in answer_parts(CAR, Display()) if isinstance(part, str)
    )


def test_the_gain_of_a_nozzle_is_the_flow_then_over_the_flow_now():
    gain = next(part for part in limit_parts(CAR, Display()) if isinstance(part, Whence))
    now, then = (float(value.split("\u202f")[0]) for _, value in gain.inputs)
    assert then / now - 1 == pytest.approx(gains(CAR)[0], abs=0.01)
