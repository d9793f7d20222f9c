"""Where each number of the page Car comes from."""

from __future__ import annotations

from dashboard.presenters.car_curve import ML_MIN, Point, full_boost, petrol_flow, point_at
from dashboard.presenters.display import Display, share
from dashboard.presenters.whence import Whence
from planner.car import Car
from planner.use.flow_curve import flow_curve, full_speed_flow_at_rest

FLOW_LAW = "Nozzle: q = rated flow · √(Δp ÷ rated pressure · ρ water ÷ ρ blend). Pump, line and nozzles in balance."
FLOW_SOURCE = "Orifice law (Lefebvre, Atomization and Sprays; from memory); line loss by Darcy and Weisbach."
CONTROLLER = "The car's [controller] table."
PETROL_LAW = "Engine power × 0.60 lb/hp/h ÷ 0.745 kg/L of petrol."
PETROL_SOURCE = "Petrol's use and density from memory (0.55 to 0.65 lb/hp/h, turbocharged at full boost)."


def start_boost(car: Car) -> float:
    """Boost [Pa gauge] from which the controller runs the pump."""
    control = car.controller
    return control.points[0][0] if control.kind == "table" else control.start


def start_whence(car: Car, display: Display) -> Whence:
    """The boost from which the controller runs the pump."""
    inputs = (("Kind of controller", car.controller.kind),)
    return Whence(display.pressure(start_boost(car) / 1e3), "Injection starts", inputs, "As written.", CONTROLLER)


def full_whence(car: Car, display: Display) -> Whence:
    """The boost at which the pump first runs at its highest speed."""
    inputs = (
        ("Kind of controller", car.controller.kind),
        ("Starts at", display.pressure(start_boost(car) / 1e3)),
        ("Pump speed there", share(point_at(car, full_boost(car)).speed)),
    )
    formula = (
        "The lowest boost at which the controller commands its highest speed; for a switch at least 1 bar (chosen)."
    )
    return Whence(display.pressure(full_boost(car) / 1e3), "Full boost", inputs, formula, CONTROLLER)


def point_inputs(car: Car, point: Point, display: Display) -> tuple[tuple[str, str], ...]:
    """What the flow at an operating point follows from."""
    rated = sum(nozzle.rated_flow * nozzle.count for nozzle in car.nozzles) * ML_MIN
    return (
        ("Boost", display.pressure(point.boost)),
        ("Pump speed", share(point.speed)),
        ("Pressure before the nozzles", display.pressure(point.line_pressure)),
        ("Nozzles, rated with water", display.flow(rated)),
        ("Methanol, share by volume", share(car.blend.alcohol_share)),
    )


def flow_whence(car: Car, point: Point, display: Display, title: str = "Flow") -> Whence:
    """The flow at an operating point."""
    return Whence(display.flow(point.flow), title, point_inputs(car, point, display), FLOW_LAW, FLOW_SOURCE)


def speed_whence(car: Car, point: Point, display: Display) -> Whence:
    """The pump's speed at an operating point."""
    control = car.controller
    inputs: tuple[tuple[str, str], ...] = (("Boost", display.pressure(point.boost)), ("Kind", control.kind))
    if control.kind == "ramp":
        inputs += (
            ("Starts at", display.pressure(control.start / 1e3)),
            ("Full at", display.pressure(control.full / 1e3)),
            ("Speed at start", share(control.minimum_speed)),
        )
    formula = "Off below the start; straight between the controller's points; the last one's speed above."
    return Whence(share(point.speed), "Pump speed", inputs, formula, CONTROLLER)


def pressure_whence(car: Car, point: Point, display: Display) -> Whence | str:
    """The pressure before the nozzles at an operating point."""
    if point.flow <= 0:
        return ""
    inputs = (
        ("Flow", display.flow(point.flow)),
        ("Pump speed", share(point.speed)),
        ("Valve opens at", display.pressure(car.line.opening_pressure / 1e3)),
    )
    formula = (
        "Pump: Q(p, s) = s · Q(0, 1) − (Q(0, 1) − Q(p, 1)); less the line's loss. Where nozzles take the same flow."
    )
    return Whence(display.pressure(point.line_pressure), "Pressure before the nozzles", inputs, formula, FLOW_SOURCE)


def petrol_whence(power_hp: float, display: Display) -> Whence:
    """Petrol that the engine burns at full boost."""
    inputs = (("Engine power, typed here", f"{power_hp:g} hp"),)
    return Whence(display.flow(petrol_flow(power_hp)), "Petrol at full boost", inputs, PETROL_LAW, PETROL_SOURCE)


def petrol_share_whence(flow: float, power_hp: float, display: Display) -> Whence:
    """The injected flow [mL/min] as a share of the petrol."""
    inputs = (
        ("Injected", display.flow(flow)),
        ("Petrol", display.flow(petrol_flow(power_hp))),
        ("Engine power, typed here", f"{power_hp:g} hp"),
    )
    return Whence(share(flow / petrol_flow(power_hp)), "Share of the petrol", inputs, PETROL_LAW, PETROL_SOURCE)


def limit_whence(car: Car, display: Display) -> Whence:
    """The tank's fill limit."""
    inputs = (("Inside", display.volume(car.tank.capacity * 1e3)), ("May be filled to", share(car.tank.fill_limit)))
    formula = "Inside volume of the shape × the share that may be filled."
    volume = display.volume(car.tank.limit * 1e3)
    return Whence(volume, "The tank's fill limit", inputs, formula, "The car's [tank] table.")


def gain_whence(car: Car, gain: float, of: str, display: Display) -> Whence:
    """By what share the flow grows with nozzles or a pump a tenth larger."""
    point = point_at(car, full_boost(car))
    inputs = (("Flow now", display.flow(point.flow)), ("Flow then", display.flow(point.flow * (1 + gain))))
    formula = f"The flow at full boost, solved again with {of} a tenth larger ÷ the flow now − 1."
    return Whence(share(gain), "Gain in flow", inputs, formula, FLOW_SOURCE)


def largest_whence(car: Car, display: Display) -> Whence:
    """The car's largest flow."""
    full = point_at(car, full_boost(car))
    inputs = (("At full boost", display.flow(full.flow)),)
    formula = "The largest flow over all boosts that the curve covers; the final reserve counts with it."
    return Whence(display.flow(flow_curve(car).largest * ML_MIN), "Largest flow", inputs, formula, FLOW_SOURCE)


def seen_whence(car: Car, display: Display) -> Whence:
    """The flow that the flow test gave."""
    test = car.flow_test
    assert test is not None
    inputs = (
        ("Collected", display.volume(test.volume * 1e3, 3)),
        ("In", f"{test.time:g} s"),
        ("Error of the measurement", share(test.error)),
    )
    flow = test.volume / test.time * ML_MIN
    return Whence(display.flow(flow), "Flow in the test", inputs, "Volume ÷ time.", "The car's [flow_test] table.")


def expected_whence(car: Car, display: Display) -> Whence:
    """The flow that the data let expect in the test."""
    formula = "Operating point at full pump speed and no boost."
    inputs = (("Methanol, share by volume", share(car.blend.alcohol_share)), ("Law", FLOW_LAW))
    flow = full_speed_flow_at_rest(car) * ML_MIN
    return Whence(display.flow(flow), "Flow expected in the test", inputs, formula, FLOW_SOURCE)


def factor_whence(car: Car, mean: float, variation: float, display: Display) -> Whence:
    """The car's factor after its flow test."""
    inputs = (
        ("Uncertain before", share(car.spread.car)),
        ("Uncertain now", share(variation)),
        ("Test ÷ data", f"{seen_ratio(car):.3f}"),
    )
    formula = "Weighted mean of 1 and the test's ratio on the log scale, weights by their variances (conjugate)."
    return Whence(
        f"{mean:.2f}", "The car's factor", inputs, formula, "Bayes' rule for a normal mean; see Method, Spread."
    )


def seen_ratio(car: Car) -> float:
    """The flow test's flow over the flow expected [1]."""
    test = car.flow_test
    assert test is not None
    return test.volume / test.time / full_speed_flow_at_rest(car)
