"""Cautions in words of our own: before mixing, before refilling, on the jug and in an emergency.

Levels are worded after ANSI Z535.4: danger will harm, warning could, caution means minor harm, notice no harm.
Facts: Prudent Practices in the Laboratory (National Research Council), NIOSH pocket guide, CSB case study 2014;
classes after the CLP regulation and the German accident insurers' database, those below 20 % by mass from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.physics.blend import flash_point, mass_fraction
from planner.planning.warning import Warning

DEFER = "Local code, the venue and the event's rules come first; have it shown by someone trained for it."

BEFORE_MIXING = (
    Warning(
        "danger",
        "poison",
        "Methanol blinds and kills in mouthfuls, and it goes through the skin. Harm shows 9 to 48 hours late and its "
        "smell does not warn: whoever swallowed any goes to hospital at once, well or not.",
    ),
    Warning(
        "danger",
        "fire",
        "Its flame is nearly invisible in daylight, and the vapour in a part-empty jug can explode. Mix outdoors, "
        "upwind, with no flame, spark, smoking or hot engine within 15 m, and an extinguisher at hand.",
    ),
    Warning(
        "warning",
        "protection",
        "Goggles, butyl or laminate gloves (thin nitrile lets methanol through soon), closed shoes, no bare skin.",
    ),
    Warning("caution", "static", "Stand can and jug on the ground, touching, and pour slowly."),
    Warning("notice", "water", "Use distilled or deionised water: chloride in tap water eats aluminium."),
    Warning("notice", "label", "Label the jug before you fill it, to 95 % at most; never a drinks bottle."),
)

BEFORE_REFILLING = (
    Warning(
        "danger",
        "ignition",
        "Engine and ignition off, nobody in the car, no flame or spark within 15 m, nothing spilled on a hot exhaust.",
    ),
    Warning(
        "warning",
        "second-person",
        "A second person holds the extinguisher (alcohol-resistant foam, powder or CO2) and looks on. A faint shimmer "
        "or heat without a flame to see is a fire.",
    ),
    Warning("warning", "protection", "Goggles and butyl or laminate gloves, for whoever pours and whoever wipes."),
    Warning("caution", "can", "Can on the ground and touching while you decant; tank cap on, spill wiped, then start."),
)

EMERGENCY = (
    ("Swallowed", "Call the emergency number and the poison centre at once. No vomiting. Say: methanol."),
    ("Eyes", "Flood with water for 15 minutes, lids held open; then a doctor."),
    ("Skin or clothes", "Off with wet clothes, wash with plenty of water."),
    ("Breathed in", "Fresh air; dizzy, headache or dim sight: call for help."),
    ("Fire", "You may not see the flame: feel for heat, keep back, foam, powder, CO2 or a flood of water."),
    ("Spill", "No ignition, stand upwind, take it up with absorbent, keep it out of drains; thin it with much water."),
)

BURNS_TO = 60.0  # [degC]; a liquid that flashes at this or less is classed as one that burns (GHS, from memory)
FROM_MEMORY = (
    "Classes below 20 % methanol by mass are from memory, taken on the stricter side: hold them against the safety "
    "data sheet of what you bought."
)

# Wording of our own for the hazard classes' codes.
_HAZARD = {
    "H225": "Liquid and vapour catch fire very easily",
    "H226": "Liquid and vapour catch fire",
    "H301": "Poisonous if swallowed",
    "H302": "Harmful if swallowed",
    "H311": "Poisonous through the skin",
    "H331": "Poisonous to breathe",
    "H370": "Damages sight and nerves",
    "H371": "May damage sight and nerves",
}


@dataclass(frozen=True, slots=True)
class HazardClass:
    """Signal word of a blend (None: not classed), its hazard codes, each with its wording, and where that is weak."""

    signal: Literal["Danger", "Warning"] | None
    hazards: tuple[tuple[str, str], ...]
    note: str = ""


def hazard_class(alcohol_share: float) -> HazardClass:
    """The blend's class by its mass fraction. Raises OutsideModel for a share outside 0 to 1.

    From 10 to 20 % by mass the class of 20 to 55 % is kept, which is the stricter; above 55 % pure methanol's. Below
    10 % a blend that flashes at 60 degC or less is marked as one that burns.
    """
    fraction = float(mass_fraction(alcohol_share))
    if fraction < 0.03:
        return HazardClass(None, (), FROM_MEMORY if alcohol_share > 0 else "")
    if fraction < 0.10:
        burns = ("H226",) if flash_point(alcohol_share) <= BURNS_TO else ()
        return _classed("Warning", *burns, "H302", "H371", note=FROM_MEMORY)
    codes = ("H225" if fraction > 0.55 else "H226", "H301", "H311", "H331", "H370")
    return _classed("Danger", *codes, note=FROM_MEMORY if fraction < 0.20 else "")


def _classed(signal: Literal["Danger", "Warning"], *codes: str, note: str) -> HazardClass:
    return HazardClass(signal, tuple((code, _HAZARD[code]) for code in codes), note)


def first_aid_line() -> str:
    """First aid in one line, for a jug."""
    return "Swallowed: emergency number at once, no vomiting. Eyes, skin: flood with water. Breathed in: fresh air."


def cautions_json() -> dict[str, object]:
    """All cautions as plain data."""
    return {
        "before_mixing": [warning.as_dict() for warning in BEFORE_MIXING],
        "before_refilling": [warning.as_dict() for warning in BEFORE_REFILLING],
        "emergency": [{"case": case, "text": text} for case, text in EMERGENCY],
        "defer": DEFER,
    }
