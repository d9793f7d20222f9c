"""The car's answer in one sentence, what limits its flow, its flow test, and its share of the petrol."""

from __future__ import annotations

from dashboard.presenters import car_whence as whence
from dashboard.presenters.car_curve import full_boost, gains, petrol_flow, point_at
from dashboard.presenters.display import Display, share
from dashboard.presenters.whence import Part
from planner.car import Car
from planner.day import car_factor
from planner.errors import BadInput
from planner.use.spread import prior_factor

USUAL, ACCEPTED = (0.08, 0.30), (0.05, 0.60)


def answer_parts(car: Car, display: Display) -> list[Part]:
    """ "Blue hatch injects from 0.34 bar on, 480 mL/min at 0.97 bar; the tank holds 7.6 L to its fill limit."."""
    return [
        f"{car.name} injects from ",
        whence.start_whence(car, display),
        " on, ",
        whence.flow_whence(car, point_at(car, full_boost(car)), display, "Flow at full boost"),
        " at ",
        whence.full_whence(car, display),
        "; the tank may be filled to ",
        whence.limit_whence(car, display),
        ".",
    ]


def limit_parts(car: Car, display: Display) -> list[Part]:
    """What limits the flow at full boost."""
    nozzles, pump = gains(car)
    main = "the nozzles limit" if nozzles > 1.5 * pump else "the pump limits" if pump > 1.5 * nozzles else "both limit"
    return [
        f"At full boost {main} the flow: nozzles a tenth larger give ",
        whence.gain_whence(car, nozzles, "nozzles", display),
        " more, a pump a tenth stronger ",
        whence.gain_whence(car, pump, "a pump", display),
        ". Largest flow: ",
        whence.largest_whence(car, display),
        ".",
    ]


def petrol_parts(car: Car, display: Display, power_hp: float | None) -> tuple[str, list[Part]]:
    """A notice's level and text on the injected share of the petrol."""
    if not power_hp:
        return "notice", ["Enter the engine's power to compare the flow with the petrol it burns."]
    point = point_at(car, full_boost(car))
    part = point.flow / petrol_flow(power_hp)
    says: list[Part] = [
        "At full boost ",
        whence.flow_whence(car, point, display, "Flow at full boost"),
        " is ",
        whence.petrol_share_whence(point.flow, power_hp, display),
        " of the ",
        whence.petrol_whence(power_hp, display),
        f" of petrol that {power_hp:g} hp burn. ",
    ]
    if not ACCEPTED[0] <= part <= ACCEPTED[1]:
        return "warning", [*says, "That is outside anything usual: check nozzles, units and power."]
    usual = "Usual is 8 to 30 % by volume (common practice, no source)."
    return "notice" if USUAL[0] <= part <= USUAL[1] else "caution", [*says, usual]


def test_parts(car: Car, display: Display) -> list[Part]:
    """What the flow test, or a kept day after it, says of the car."""
    if car.kept and car.telling_flow_test is None:
        last = car.kept[-1]
        return [
            f"The day kept last, {last.event or 'an event'} on {last.date.isoformat()}, says that the car uses "
            f"{last.factor:.2f} times its plan, uncertain by {share(last.variation)}. It holds every flow test up to "
            "then; one with a later date counts on top of it."
        ]
    if car.flow_test is None:
        return [
            f"No flow test yet: the car's own factor is uncertain by {share(car.spread.car)}. Collect what the nozzles "
            "give in a minute at full pump speed and no boost, and enter it here."
        ]
    try:
        factor = car_factor(car)
    except BadInput as reason:
        return [reason.faults[0].remedy]
    return [
        "The test gave ",
        whence.seen_whence(car, display),
        " where the data say ",
        whence.expected_whence(car, display),
        ": the car's factor is now ",
        whence.factor_whence(car, factor.mean, factor.variation, display),
        f", uncertain by {share(factor.variation)} instead of {share(prior_factor(car).variation)}.",
    ]


def power_of(text: str | None) -> float | None:
    """Engine power [hp] typed as "340", "340 hp", "250 kW" or "340 PS"; None for anything else."""
    words = (text or "").replace(",", ".").split()
    try:
        value = float(words[0]) if words else 0.0
    except ValueError:
        return None
    scale = {"hp": 1.0, "bhp": 1.0, "kw": 1.341022, "ps": 0.986320}.get(words[1].lower() if len(words) > 1 else "hp")
    return value * scale if scale and 20 <= value * scale <= 3000 else None
