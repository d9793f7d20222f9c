"""What goes along besides fluid: tools, safety gear, spares and paper (common practice, no source)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from planner.car import Car
from planner.physics.blend import density
from planner.planning.pack_item import Amount, Item

Day = tuple[Mapping[str, Any], str, Car]  # a plan (of `plan --json`), its event's name, its car


def gear(days: Sequence[Day], shares: Sequence[float]) -> list[Item]:
    """Lines for all days together; `shares` are the alcohol shares [1] of the blends they need."""
    return [*_tools(days, shares), *_safety(shares), *_spares(days), *_paper(days)]


def _tools(days: Sequence[Day], shares: Sequence[float]) -> Iterator[Item]:
    yield Item("tool/funnel", "Tools", ("Funnel with a fine strainer",), ("for this fluid only",))
    for plan, event, car in days:
        marks = [
            (", " if place else "", Amount(fill["mark_mm"], "mm", ".0f"), f" before {fill['before_session']}")
            for place, fill in enumerate(plan["refills"])
        ]
        words = [word for mark in marks for word in mark] or ["no fill"]
        yield Item(f"tool/dipstick/{car.name}/{event}", "Tools", (f"Dipstick of {car.name}",), (f"{event}: ", *words))
    yield Item("tool/jug", "Tools", ("Measuring jug",), ("and a scale, if you mix by mass",))
    for share in shares:
        if 0 < share < 1:
            reading = Amount(float(density(share, 20.0)), "kg/m3", ".0f")
            yield Item(
                f"tool/hydrometer/{share:g}",
                "Tools",
                ("Hydrometer, its jar, thermometer",),
                (f"{100 * share:.3g} % reads ", reading, " at ", Amount(20.0, "degC", "g")),
            )
    yield Item("tool/rags", "Tools", ("Rags or paper towels, a lidded metal bin for used ones",))
    yield Item("tool/pen", "Tools", ("Labels and a pen that fluid does not wash off",))


def _safety(shares: Sequence[float]) -> Iterator[Item]:
    if all(share == 0 for share in shares):
        return
    for key, text, detail in (
        ("goggles", "Goggles", "one each for whoever pours and whoever stands by"),
        ("gloves", "Gloves of butyl or laminate", "thin nitrile lets methanol through soon"),
        ("extinguisher", "Extinguisher", "alcohol-resistant foam, powder or CO2; in date; a second person"),
        ("spill", "Spill kit", "absorbent, bags, and water to thin what is left"),
    ):
        yield Item(f"safety/{key}", "Safety", (text,), (detail,))
    yield Item(
        "safety/eyes", "Safety", ("Clean water for eyes and skin",), (Amount(5, "L", ".0f"), " at least, to hand")
    )
    straps = "every container upright, out of the cabin and out of the sun"
    yield Item("safety/straps", "Safety", ("Straps",), (straps,))


def _spares(days: Sequence[Day]) -> Iterator[Item]:
    for car in {car.name: car for _, _, car in days}.values():
        rated = sorted({round(nozzle.rated_flow * 6e7) for nozzle in car.nozzles})
        flows = [part for flow in rated for part in (", ", Amount(flow, "mL/min", ".0f"))][1:]
        spare = ("rated ", *flows, "; and its tool")
        yield Item(f"spare/nozzle/{car.name}", "Spares", (f"Spare nozzle for {car.name}",), spare)
        yield Item(f"spare/filter/{car.name}", "Spares", (f"Spare filter for {car.name}",))
        hose = f"Hose and fittings for {car.name}"
        yield Item(f"spare/hose/{car.name}", "Spares", (hose,), ("a length, two connectors",))


def _paper(days: Sequence[Day]) -> Iterator[Item]:
    for _, event, car in days:
        name = f"{event}, {car.name}"
        yield Item(f"paper/sheet/{name}", "Paper", (f"The day's sheet: {name}",), ("emergency numbers written in",))
    rules = "The event's rules on fuel and refilling"
    yield Item("paper/rules", "Paper", (rules,), ("and the safety data sheet of the methanol",))
