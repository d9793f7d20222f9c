"""Pump, line and nozzles: the balance is found, and moves the way it must."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from planner.car import Car, Line
from planner.physics.operating_point import LOWEST_PRESSURE, Circuit, operating_point, siphon_flow
from planner.physics.pump import full_speed_flow, pump_flow, shutoff_pressure
from planner.use.flow_curve import circuit_of
from tests.cars import BAR, CAR, ML_MIN, cars


def balance(circuit: Circuit, pressure: float, boost: float, speed: float) -> float:
    """What the pump delivers beyond what the nozzles take [m3/s], one pressure at a time."""
    out = circuit.nozzles(np.array([pressure]), np.array([boost]))
    loss = circuit.loss(out)
    return float(pump_flow(pressure + loss, speed, circuit.pump_pressure, circuit.pump_flow)[0] - out[0])


@given(cars(), st.floats(-80e3, 250e3), st.floats(0.05, 1))
def test_the_operating_point_is_where_brentq_finds_it(car: Car, boost: float, speed: float) -> None:
    # scipy.optimize.brentq is the reference; it needs a sign change, which a pump with any surplus gives.
    circuit = circuit_of(car)
    high = shutoff_pressure(circuit.pump_pressure, circuit.pump_flow)
    flow, pressure = operating_point(circuit, np.array([boost]), np.array([speed]))
    low_balance = balance(circuit, LOWEST_PRESSURE, boost, speed)
    high_balance = balance(circuit, high, boost, speed)
    if not (low_balance > 0 > high_balance):
        assert flow[0] == pytest.approx(0.0, abs=1e-12)
        return
    if flow[0] == 0:  # a stalled pump balances shut nozzles over a band of pressures
        assert balance(circuit, pressure[0] + 1.0, boost, speed) <= 0
        return
    root = brentq(lambda p: balance(circuit, p, boost, speed), LOWEST_PRESSURE, high, xtol=1e-6, rtol=1e-14)
    assert pressure[0] == pytest.approx(root, abs=0.01)
    below, above = (float(circuit.nozzles(np.array([root + d]), np.array([boost]))[0]) for d in (-1.0, 1.0))
    assert below - 1e-10 <= flow[0] <= above + 1e-10


@given(cars(), st.floats(0.1, 0.9))
def test_a_faster_pump_never_injects_less(car: Car, speed: float) -> None:
    circuit, boost = circuit_of(car), np.linspace(-60e3, 200e3, 30)
    slow, _ = operating_point(circuit, boost, np.full(30, speed))
    fast, _ = operating_point(circuit, boost, np.full(30, min(1.0, speed + 0.1)))
    assert np.all(fast >= slow - 1e-12)


@given(cars())
def test_a_longer_hose_never_injects_more(car: Car) -> None:
    boost, speed = np.linspace(0, 200e3, 20), np.ones(20)
    longer = replace(car, line=replace(car.line, length=car.line.length + 2))
    short_flow, _ = operating_point(circuit_of(car), boost, speed)
    long_flow, _ = operating_point(circuit_of(longer), boost, speed)
    assert np.all(long_flow <= short_flow + 1e-12)


def test_an_unrestricted_pump_against_a_huge_nozzle_delivers_its_free_flow() -> None:
    wide = replace(
        CAR, nozzles=(replace(CAR.nozzles[0], rated_flow=1.0),), line=replace(CAR.line, opening_pressure=0.0)
    )
    no_line = replace(wide, line=replace(wide.line, length=0.0))
    flow, _ = operating_point(circuit_of(no_line), np.zeros(1), np.ones(1))
    assert flow[0] == pytest.approx(1900 * ML_MIN, rel=1e-4)


def test_a_valve_that_opens_within_the_pumps_reach_passes_the_pumps_flow_at_its_pressure() -> None:
    valved = replace(CAR, line=replace(CAR.line, opening_pressure=10 * BAR, length=0.0))
    wide = replace(valved, nozzles=(replace(CAR.nozzles[0], rated_flow=5000 * ML_MIN),))
    flow, pressure = operating_point(circuit_of(wide), np.zeros(1), np.ones(1))
    assert pressure[0] == pytest.approx(10 * BAR, rel=1e-9)
    assert flow[0] == pytest.approx(float(full_speed_flow(10 * BAR, CAR.pump.pressure, CAR.pump.flow)), rel=1e-6)


def test_a_valve_beyond_the_pumps_reach_stays_shut() -> None:
    shut = replace(CAR, line=replace(CAR.line, opening_pressure=15 * BAR))
    assert operating_point(circuit_of(shut), np.zeros(1), np.ones(1))[0][0] == 0.0


def test_slip_depends_on_pressure_alone() -> None:
    # Q(p, s) = max(0, s Q(0, 1) - (Q(0, 1) - Q(p, 1))): at 6 bar the slip is 500 mL/min at any speed.
    flows = pump_flow(np.full(3, 6 * BAR), np.array([0.2, 0.5, 1.0]), CAR.pump.pressure, CAR.pump.flow)
    np.testing.assert_allclose(flows / ML_MIN, [0.0, 450.0, 1400.0], atol=1e-9)


def test_a_curve_that_ends_with_flow_goes_on_with_its_last_slope() -> None:
    assert shutoff_pressure((0.0, 5e5), (4e-5, 2e-5)) == pytest.approx(10e5)
    assert full_speed_flow(7.5e5, (0.0, 5e5), (4e-5, 2e-5)) == pytest.approx(1e-5)
    assert shutoff_pressure((0.0, 5e5), (4e-5, 4e-5)) == pytest.approx(5e5)


def test_siphoning_follows_the_orifice_law_through_a_still_pump() -> None:
    after = replace(CAR, nozzles=(replace(CAR.nozzles[0], place="after throttle"),))
    free = replace(after, line=replace(CAR.line, length=0.0, opening_pressure=0.0))
    circuit = circuit_of(free)
    flow = siphon_flow(circuit, np.array([-60e3, -20e3, 0.0, 50e3]))
    law = (
        2 * 250 * ML_MIN * np.sqrt(np.array([60e3, 20e3, 0.0, 0.0]) / (100 * 6894.757293168) * 998.2 / circuit.density)
    )
    np.testing.assert_allclose(flow, law, rtol=1e-6, atol=1e-15)


def test_a_hose_slows_siphoning_and_a_nozzle_before_the_throttle_has_none() -> None:
    after = replace(
        CAR, nozzles=(replace(CAR.nozzles[0], place="after throttle"),), line=replace(CAR.line, opening_pressure=0.0)
    )
    free = replace(after, line=replace(after.line, length=0.0))
    vacuum = np.array([-60e3])
    assert 0 < siphon_flow(circuit_of(after), vacuum)[0] < siphon_flow(circuit_of(free), vacuum)[0]
    assert siphon_flow(circuit_of(CAR), vacuum)[0] == 0.0


@pytest.mark.parametrize("vacuum", [-70e3, -30e3, -8e3])
def test_what_is_siphoned_is_what_the_vacuum_drives_through_hose_and_nozzle(vacuum: float) -> None:
    """By brentq: the flow at which hose and nozzle together lose the whole of the vacuum."""
    circuit = circuit_of(
        replace(CAR, nozzles=(replace(CAR.nozzles[0], place="after throttle"),), line=Line(9.0, 0.002))
    )

    def left_over(flow: float) -> float:
        nozzle = (flow / circuit.stages[0].rated_flow) ** 2 * circuit.stages[0].rated_pressure * circuit.density / 998.2
        return -vacuum - nozzle - float(circuit.loss(np.array([flow]))[0])

    expected = brentq(left_over, 1e-12, 1e-3, xtol=1e-16)
    assert siphon_flow(circuit, np.array([vacuum]))[0] == pytest.approx(expected, rel=1e-6)


def test_a_valve_lets_nothing_be_siphoned_until_the_vacuum_opens_it() -> None:
    after = replace(CAR, nozzles=(replace(CAR.nozzles[0], place="after throttle"),))
    valved = circuit_of(replace(after, line=Line(9.0, 0.002, 0.2 * BAR)))
    free = circuit_of(replace(after, line=Line(9.0, 0.002)))
    vacuum = np.array([-70e3, -19.9e3, -10e3])
    drawn = siphon_flow(valved, vacuum)
    assert drawn[1] == drawn[2] == 0.0
    # Through so narrow a hose a free nozzle would see less than 0.2 bar, so the valve holds that much back.
    assert 0 < drawn[0] < siphon_flow(free, vacuum)[0]
    assert float(valved.loss(drawn[:1])[0]) == pytest.approx(70e3 - 20e3, rel=1e-9)
    # Through a wide one it stands open and takes nothing.
    wide, open_ = (circuit_of(replace(after, line=Line(1.0, 0.008, p * BAR))) for p in (0.2, 0.0))
    np.testing.assert_allclose(siphon_flow(wide, vacuum)[0], siphon_flow(open_, vacuum)[0], rtol=1e-12)


def test_only_the_nozzles_after_the_throttle_are_drawn_through() -> None:
    both = replace(
        CAR,
        nozzles=(CAR.nozzles[0], replace(CAR.nozzles[0], place="after throttle", count=1)),
        line=Line(4.0, 0.004),
    )
    one = replace(both, nozzles=both.nozzles[1:])
    vacuum = np.array([-60e3, -5e3, 10e3])
    np.testing.assert_array_equal(siphon_flow(circuit_of(both), vacuum), siphon_flow(circuit_of(one), vacuum))
    assert siphon_flow(circuit_of(both), vacuum)[2] == 0.0
