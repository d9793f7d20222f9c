"""The flow curve: the car's hydraulics as physics takes them, its knots, and what it says at each boost."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from planner.car import Blend, Car, Controller, Kept, Line, Nozzle
from planner.errors import OutsideModel
from planner.physics.blend import density, viscosity
from planner.physics.nozzle import Stage
from planner.physics.operating_point import Circuit, operating_point, siphon_flow
from planner.use.flow_curve import (
    HIGHEST_BOOST,
    LOWEST_BOOST,
    STEP,
    circuit_of,
    controller_speed,
    flow_curve,
    full_speed_flow_at_rest,
)
from tests.cars import BAR, CAR, ML_MIN, PSI

TABLE = Controller("table", points=((20e3, 0.2), (50e3, 0.6), (90e3, 1.0)))
STAGED: Car = replace(
    CAR,
    blend=Blend(0.3, 5.0),
    nozzles=(
        Nozzle(250 * ML_MIN, 100 * PSI, count=2),
        Nozzle(180 * ML_MIN, 90 * PSI, count=3, place="after throttle", opens_at=61e3),
    ),
    controller=TABLE,
    line=Line(2.5, 0.005, 0.0),
)


def test_the_circuit_is_the_cars_with_the_blend_at_its_temperature() -> None:
    assert circuit_of(STAGED) == Circuit(
        pump_pressure=(0.0, 6 * BAR, 11 * BAR, 14 * BAR),
        pump_flow=CAR.pump.flow,
        stages=(
            Stage(500 * ML_MIN, 100 * PSI, after_throttle=False, opens_at=None),
            Stage(540 * ML_MIN, 90 * PSI, after_throttle=True, opens_at=61e3),
        ),
        line_length=2.5,
        line_diameter=0.005,
        opening_pressure=0.0,
        density=float(density(0.3, 5.0)),
        viscosity=float(viscosity(0.3, 5.0)),
    )


def test_each_controller_commands_its_own_speed() -> None:
    boost = np.array([0.0, 20e3, 35e3, 70e3, 95e3])
    ramp = Controller("ramp", start=20e3, full=70e3, minimum_speed=0.4)
    np.testing.assert_allclose(controller_speed(ramp, boost), [0, 0.4, 0.58, 1, 1])
    np.testing.assert_array_equal(controller_speed(Controller("switch", start=35e3), boost), [0, 0, 1, 1, 1])
    np.testing.assert_allclose(controller_speed(TABLE, boost), [0, 0.2, 0.4, 0.8, 1])


@pytest.mark.parametrize(
    ("car", "breaks"),
    [
        (STAGED, [0.0, 20e3, 50e3, 61e3, 90e3]),
        (CAR, [0.0, 5 * PSI, 14 * PSI]),
        (replace(CAR, controller=Controller("ramp", start=5 * PSI, full=700e3)), [0.0, 5 * PSI]),
    ],
    ids=["staged", "ramp", "full beyond the curve"],
)
def test_knots_stand_at_every_break_and_between_them_in_equal_steps_of_at_most_400_pascal(
    car: Car, breaks: list[float]
) -> None:
    marks = np.array([LOWEST_BOOST, *breaks, HIGHEST_BOOST])
    spans = [np.linspace(a, b, int(np.ceil((b - a) / STEP)) + 1) for a, b in itertools.pairwise(marks)]
    curve = flow_curve(car)
    np.testing.assert_allclose(curve.boost, np.unique(np.concatenate(spans)), rtol=1e-12)
    np.testing.assert_array_equal(curve.knots.x, curve.boost)
    assert np.diff(curve.boost).max() <= 400 * (1 + 1e-9)
    assert np.isin(marks, curve.boost).all()


def test_at_a_knot_all_is_as_the_balance_has_it_there() -> None:
    curve = flow_curve(STAGED)
    at = curve.boost[:-1]
    speed = controller_speed(TABLE, at)
    flow, pressure = operating_point(circuit_of(STAGED), at, speed)
    drawn = siphon_flow(circuit_of(STAGED), at)
    np.testing.assert_allclose(curve.flow(at), np.where(speed > 0, flow, 0.0), rtol=1e-9, atol=1e-18)
    np.testing.assert_allclose(curve.siphon(at), np.where(speed > 0, 0.0, drawn), rtol=1e-9, atol=1e-18)
    np.testing.assert_array_equal(curve.pump_speed[:-1], speed)
    np.testing.assert_allclose(curve.line_pressure[:-1], pressure, rtol=1e-9)
    np.testing.assert_array_equal(curve.flowing.values(curve.knots.locate(at)), curve.flow(at) > 0)
    assert curve.pump_speed.size == curve.line_pressure.size == curve.boost.size
    assert (curve.pump_speed[-1], curve.line_pressure[-1]) == (1.0, pytest.approx(pressure[-1], rel=1e-2))
    assert curve.largest == max(curve.flow(at).max(), curve.flow(np.array([HIGHEST_BOOST]))[0])


def test_just_below_a_knot_the_value_from_the_left_holds() -> None:
    """At 61 kPa a stage opens and at 20 kPa the pump starts: the curve jumps there and is flat to neither side."""
    curve = flow_curve(STAGED)
    for jump in (20e3, 61e3):
        just_below, at = curve.flow(np.array([np.nextafter(jump, 0.0), jump]))
        speed = controller_speed(TABLE, np.array([np.nextafter(jump, 0.0)]))
        left, _ = operating_point(circuit_of(STAGED), np.array([np.nextafter(jump, 0.0)]), speed)
        assert just_below == pytest.approx(float(left[0]) if jump == 61e3 else 0.0, rel=1e-9)
        assert at > 1.1 * just_below


def test_only_open_lines_with_nozzles_after_the_throttle_siphon() -> None:
    open_car = replace(STAGED, nozzles=(replace(STAGED.nozzles[1], opens_at=None),))
    vacuum = np.array([-60e3])
    assert flow_curve(open_car).siphon(vacuum)[0] > 0
    for closed in (
        replace(open_car, line=replace(STAGED.line, shutoff_valve=True)),
        replace(open_car, nozzles=CAR.nozzles),
    ):
        assert flow_curve(closed).siphon(vacuum)[0] == 0.0


@pytest.mark.parametrize("boost", [-101.4e3, 600.1e3, np.nan])
def test_a_boost_beyond_the_curve_is_refused(boost: float) -> None:
    for ask in (flow_curve(CAR).flow, flow_curve(CAR).siphon):
        with pytest.raises(OutsideModel, match="is outside -101 to 600 kPa"):
            ask(np.array([0.0, boost]))
    assert flow_curve(CAR).flow([LOWEST_BOOST, HIGHEST_BOOST])[0] == 0.0


def test_a_kept_result_leaves_the_curve_and_a_blend_changes_it() -> None:
    kept = replace(CAR, kept=(Kept.__new__(Kept),), assumed=frozenset({"line"}))
    assert flow_curve(kept) is flow_curve(CAR)
    assert flow_curve(replace(CAR, blend=Blend(0.5, 30.0))) is not flow_curve(CAR)


def test_a_flow_test_sees_the_nozzles_that_are_open_without_boost_at_full_speed() -> None:
    flow, _ = operating_point(circuit_of(replace(STAGED, nozzles=STAGED.nozzles[:1])), np.zeros(1), np.ones(1))
    assert full_speed_flow_at_rest(STAGED) == pytest.approx(float(flow[0]), rel=1e-9)
    assert full_speed_flow_at_rest(replace(STAGED, nozzles=STAGED.nozzles[1:])) == 0.0
