"""The car's answer in one sentence, what limits its flow, its flow test, and its share of the petrol."""

from __future__ import annotations

from dashboard.presenters.car_curve import ML_MIN, full_boost, gains, petrol_flow, point_at
from dashboard.presenters.display import Display, share
from dashboard.presenters.whence import Whence
from planner.car import Car
from planner.day import car_factor
from planner.errors import BadInput
from planner.use.flow_curve import flow_curve, full_speed_flow_at_rest

FLOW_LAW = "Nozzle: q = rated flow · √(Δp ÷ rated pressure · ρ water ÷ ρ blend). Pump, line and nozzles in balance."
FLOW_SOURCE = "Orifice law (Lefebvre, Atomization and Sprays; from memory); line loss by Darcy and Weisbach."
USUAL, ACCEPTED = (0.08, 0.30), (0.05, 0.60)


def _flow_whence(car: Car, display: Display, boost: float) -> Whence:
    point = point_at(car, boost)
    rated = sum(nozzle.rated_flow * nozzle.count for nozzle in car.nozzles) * ML_MIN
    inputs = (
        ("Boost", display.pressure(point.boost)),
        ("Pump speed", share(point.speed)),
        ("Pressure before the nozzles", display.pressure(point.line_pressure)),
        ("Nozzles, rated with water", display.flow(rated)),
        ("Methanol, share by volume", share(car.blend.alcohol_share)),
    )
    return Whence(display.flow(point.flow), "Flow at full boost", inputs, FLOW_LAW, FLOW_SOURCE)


def start_boost(car: Car) -> float:
    """Boost [Pa gauge] from which the controller runs the pump."""
    control = car.controller
    return control.points[0][0] if control.kind == "table" else control.start


def answer_parts(car: Car, display: Display) -> list[str | Whence]:
    """ "Blue hatch injects from 0.34 bar on, 480 mL/min at 0.97 bar; the tank holds 7.6 L to its fill limit."."""
    full = full_boost(car)
    tank = car.tank
    volume = Whence(
        display.volume(tank.limit * 1e3),
        "The tank's fill limit",
        (("Inside", display.volume(tank.capacity * 1e3)), ("May be filled to", share(tank.fill_limit))),
        "Inside volume of the shape × the share that may be filled.",
        "The car's [tank] table.",
    )
    begins = display.pressure(start_boost(car) / 1e3)
    return [
        f"{car.name} injects from {begins} on, ",
        _flow_whence(car, display, full),
        f" at {display.pressure(full / 1e3)}; the tank may be filled to ",
        volume,
        ".",
    ]


def limit_sentence(car: Car, display: Display) -> str:
    """What limits the flow at full boost."""
    nozzles, pump = gains(car)
    main = "the nozzles limit" if nozzles > 1.5 * pump else "the pump limits" if pump > 1.5 * nozzles else "both limit"
    return (
        f"At full boost {main} the flow: nozzles a tenth larger give {share(nozzles)} more, "
        f"a pump a tenth stronger {share(pump)}. Largest flow: {display.flow(flow_curve(car).largest * ML_MIN)}."
    )


def petrol_sentence(car: Car, display: Display, power_hp: float | None) -> tuple[str, str]:
    """A notice's level and text on the injected share of the petrol."""
    if not power_hp:
        return "notice", "Enter the engine's power to compare the flow with the petrol it burns."
    flow, petrol = point_at(car, full_boost(car)).flow, petrol_flow(power_hp)
    part = flow / petrol
    says = (
        f"At full boost {display.flow(flow)} is {share(part)} of the {display.flow(petrol)} of petrol that "
        f"{power_hp:g} hp burn (0.60 lb/hp/h, from memory)."
    )
    if not ACCEPTED[0] <= part <= ACCEPTED[1]:
        return "warning", f"{says} That is outside anything usual: check nozzles, units and power."
    if not USUAL[0] <= part <= USUAL[1]:
        return "caution", f"{says} Usual is 8 to 30 % by volume (common practice, no source)."
    return "notice", f"{says} Usual is 8 to 30 % by volume (common practice, no source)."


def test_sentence(car: Car, display: Display) -> str:
    """What the flow test says of the car."""
    if car.flow_test is None:
        return (
            f"No flow test yet: the car's own factor is uncertain by {share(car.spread.car)}. Collect what the nozzles "
            "give in a minute at full pump speed and no boost, and enter it here."
        )
    try:
        factor = car_factor(car)
    except BadInput as reason:
        return reason.faults[0].remedy
    expected = full_speed_flow_at_rest(car) * ML_MIN
    seen = car.flow_test.volume / car.flow_test.time * ML_MIN
    return (
        f"The test gave {display.flow(seen)} where the data say {display.flow(expected)}: the car's factor is now "
        f"{factor.mean:.2f}, uncertain by {share(factor.variation)} instead of {share(car.spread.car)}."
    )


def power_of(text: str | None) -> float | None:
    """Engine power [hp] typed as "340", "340 hp", "250 kW" or "340 PS"; None for anything else."""
    words = (text or "").replace(",", ".").split()
    try:
        value = float(words[0]) if words else 0.0
    except ValueError:
        return None
    scale = {"hp": 1.0, "bhp": 1.0, "kw": 1.341022, "ps": 0.986320}.get(words[1].lower() if len(words) > 1 else "hp")
    return value * scale if scale and 20 <= value * scale <= 3000 else None
