"""The day as a whole: draws that settle, a flow test that corrects, tanks and boosts that move marks as they must."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from planner.car import FlowTest, Nozzle
from planner.day import Situation, car_factor, plan_day, with_tank_scaled
from planner.day.json import plan_json, session_rows
from planner.errors import BadInput, NoPlan
from planner.files.event_file import read_day
from planner.use.flow_curve import full_speed_flow_at_rest
from tests.cars import CAR, ML_MIN, PSI

DEMO = Path(__file__).resolve().parents[1] / "events_demo" / "events"


def paths() -> list[Path]:
    """The demo days that have a plan."""
    return sorted(path for path in DEMO.glob("*.toml") if path.stem != "gherkin-hour")


@pytest.mark.parametrize("path", paths(), ids=lambda path: path.stem)
def test_another_seed_changes_no_mark_by_more_than_a_jugs_step_and_no_level_by_a_printed_digit(path: Path) -> None:
    event, car = read_day(path)
    one, two = (plan_json(plan_day(event, car, seed=seed)) for seed in (1, 2))
    assert [f["before_session"] for f in one["refills"]] == [f["before_session"] for f in two["refills"]]
    for a, b in zip(one["refills"], two["refills"], strict=True):
        assert a["mark_L"] == pytest.approx(b["mark_L"], abs=0.0501)
    shift = one["refills"][0]["mark_L"] - two["refills"][0]["mark_L"]
    for a, b in zip(one["sessions"], two["sessions"], strict=True):
        assert a["use_p99_L"] == b["use_p99_L"]
        assert a["level_end_p01_L"] == pytest.approx(b["level_end_p01_L"] + shift, abs=0.1)


def test_a_flow_test_corrects_use_and_narrows_it() -> None:
    expected = full_speed_flow_at_rest(CAR)
    tested = replace(CAR, flow_test=FlowTest(volume=0.9 * expected * 60, time=60.0))
    before, after = car_factor(CAR), car_factor(tested)
    assert before.mean == 1.0
    assert 0.9 < after.mean < 0.92
    assert after.variation < 0.03


def test_a_flow_test_of_a_car_whose_nozzles_are_shut_at_rest_is_refused_with_a_sentence() -> None:
    shut = replace(CAR, nozzles=(Nozzle(250 * ML_MIN, 100 * PSI, opens_at=5 * PSI),))
    with pytest.raises(BadInput, match="no nozzle is open at no boost"):
        car_factor(replace(shut, flow_test=FlowTest(4e-4, 60.0)))


def test_a_scaled_tank_keeps_its_proportions_and_its_pickups_place() -> None:
    bigger = with_tank_scaled(CAR, 2.0)
    assert bigger.tank.capacity == pytest.approx(8 * CAR.tank.capacity)
    assert bigger.tank.pickup.ahead / bigger.tank.shape.length == pytest.approx(
        CAR.tank.pickup.ahead / CAR.tank.shape.length
    )


def test_more_confidence_never_lowers_the_first_mark_of_a_demo_day() -> None:
    event, car = read_day(DEMO / "teapot-ring-open-day.toml")
    marks = []
    for confidence in (0.8, 0.95, 0.99):
        careful = replace(event, reserve=replace(event.reserve, confidence=confidence))
        plan = plan_day(careful, car)
        marks.append((len(plan.refills.best.stops), plan.refills.best.marks[0]))
    assert marks == sorted(marks)


def test_what_is_left_of_a_day_is_planned_from_the_level_there_is() -> None:
    event, car = read_day(DEMO / "teapot-ring-open-day.toml")
    rest = plan_day(event, car, Situation(sessions_done=5, level=3e-3, ready=event.sessions[4].end))
    data = plan_json(rest)
    assert [row["number"] for row in data["sessions"]] == [6, 7]
    assert data["refills"][0]["before_session"] == 6
    assert data["balance"]["in_tank_L"] == pytest.approx(3.0)


def test_the_tank_that_the_mend_names_does_make_a_plan() -> None:
    event, car = read_day(DEMO / "gherkin-hour.toml")
    with pytest.raises(NoPlan) as refused:
        plan_day(event, car)
    tank = next(mend for mend in refused.value.mends if mend.kind == "tank")
    assert tank.value is not None
    factor = (tank.value / car.tank.capacity) ** (1 / 3)
    assert plan_day(event, with_tank_scaled(car, factor)) is not None
    with pytest.raises(NoPlan):
        plan_day(event, with_tank_scaled(car, factor * 0.97))


@pytest.mark.parametrize("path", paths(), ids=lambda path: path.stem)
def test_levels_are_told_as_numpys_quantiles_of_the_simulated_days(path: Path) -> None:
    plan = plan_day(*read_day(path))
    levels = plan.refills.levels
    for k, row in enumerate(session_rows(plan)):
        told = [row[f"level_start_{name}_L"] for name in ("p01", "p50")]
        told += [row[f"level_end_{name}_L"] for name in ("p01", "p50", "p99")]
        start, end = np.quantile(levels.start[k], (0.01, 0.5)), np.quantile(levels.end[k], (0.01, 0.5, 0.99))
        assert told == pytest.approx([*(start * 1e3), *(end * 1e3)], abs=5.1e-4)
