"""What goes along besides fluid: each thing in its group under an id that stays, and what is said of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from planner.car import Car
from planner.physics.blend import alcohol_share_from_mass_fraction
from planner.planning.pack_gear import gear
from planner.planning.pack_item import Item
from tests.cars import CAR, ML_MIN

WAGON = replace(
    CAR, name="Beet wagon", nozzles=tuple(replace(CAR.nozzles[0], rated_flow=q * ML_MIN) for q in (500, 60))
)


def _plan(**mark_before: float) -> dict[str, Any]:
    """A plan with a fill to a mark [mm] before each session named s1, s2, ..."""
    return {"refills": [{"mark_mm": mm, "before_session": int(name[1:])} for name, mm in mark_before.items()]}


def _gear(*cars: Car, share: float = 0.5) -> dict[str, Item]:
    days = [(_plan(s1=81.6, s3=40.2), f"Day {number}", car) for number, car in enumerate(cars, 1)]
    return {item.id: item for item in gear(days, [share])}


def test_every_thing_has_its_group_and_an_id_that_stays() -> None:
    # Ticks are kept by these ids: one that changes is a tick lost.
    assert [(item.group, item.id) for item in _gear(CAR).values()] == [
        ("Tools", "tool/funnel"),
        ("Tools", "tool/dipstick/Plum hatch/Day 1"),
        ("Tools", "tool/jug"),
        ("Tools", "tool/hydrometer/0.5"),
        ("Tools", "tool/rags"),
        ("Tools", "tool/pen"),
        ("Safety", "safety/goggles"),
        ("Safety", "safety/gloves"),
        ("Safety", "safety/extinguisher"),
        ("Safety", "safety/spill"),
        ("Safety", "safety/eyes"),
        ("Safety", "safety/straps"),
        ("Spares", "spare/nozzle/Plum hatch"),
        ("Spares", "spare/filter/Plum hatch"),
        ("Spares", "spare/hose/Plum hatch"),
        ("Paper", "paper/sheet/Day 1, Plum hatch"),
        ("Paper", "paper/rules"),
    ]


@pytest.mark.parametrize(
    ("key", "text", "detail"),
    [
        ("tool/funnel", "strainer", "this fluid only"),
        ("tool/jug", "Measuring jug", "scale"),
        ("tool/hydrometer/0.5", "thermometer", "reads"),
        ("tool/rags", "lidded metal bin", ""),
        ("tool/pen", "Labels", ""),
        ("safety/goggles", "Goggles", "whoever pours"),
        ("safety/gloves", "butyl", "nitrile"),
        ("safety/extinguisher", "Extinguisher", "alcohol-resistant"),
        ("safety/spill", "Spill kit", "absorbent"),
        ("safety/eyes", "Clean water", "5 L at least"),
        ("safety/straps", "Straps", "out of the cabin"),
        ("spare/filter/Plum hatch", "filter for Plum hatch", ""),
        ("spare/hose/Plum hatch", "Hose and fittings for Plum hatch", "two connectors"),
        ("paper/sheet/Day 1, Plum hatch", "sheet: Day 1, Plum hatch", "emergency numbers"),
        ("paper/rules", "rules on fuel", "safety data sheet"),
    ],
)
def test_each_thing_says_what_it_is_and_what_matters_of_it(key: str, text: str, detail: str) -> None:
    item = _gear(CAR)[key]
    assert text in item.text
    assert detail in item.detail


def test_a_dipstick_lists_its_days_marks_in_order_or_that_there_is_none() -> None:
    assert _gear(CAR)["tool/dipstick/Plum hatch/Day 1"].detail == "Day 1: 82 mm before 1, 40 mm before 3"
    (stick,) = [item for item in gear([(_plan(), "Day 1", CAR)], [0.5]) if "dipstick" in item.id]
    assert stick.detail == "Day 1: no fill"


def test_a_car_at_two_days_has_its_spares_once_and_a_dipstick_and_a_sheet_for_each() -> None:
    ids = [key.split("/")[:2] for key in _gear(CAR, CAR, WAGON)]
    assert ids.count(["spare", "nozzle"]) == ids.count(["spare", "filter"]) == ids.count(["spare", "hose"]) == 2
    assert ids.count(["tool", "dipstick"]) == ids.count(["paper", "sheet"]) == 3


def test_spare_nozzles_are_listed_by_their_rated_flows_rising_and_each_once() -> None:
    assert _gear(WAGON)["spare/nozzle/Beet wagon"].detail == "rated 60 mL/min, 500 mL/min; and its tool"
    twins = replace(WAGON, nozzles=(*WAGON.nozzles, *WAGON.nozzles))
    assert _gear(twins)["spare/nozzle/Beet wagon"].detail == "rated 60 mL/min, 500 mL/min; and its tool"


def test_the_hydrometer_reads_the_handbooks_density_of_the_blend() -> None:
    # Handbook rows at 20 degC: 934.5 kg/m3 at 40 % by mass, 966.6 at 20 %.
    for by_mass, rho in ((0.40, 934.5), (0.20, 966.6)):
        share = float(alcohol_share_from_mass_fraction(by_mass))
        line = _gear(CAR, share=share)[f"tool/hydrometer/{share:g}"]
        (reading, at) = (word for word in line.details if not isinstance(word, str))
        assert reading.value == pytest.approx(rho, abs=1.0)
        assert (reading.unit, at.value, at.unit) == ("kg/m3", 20.0, "degC")
        assert line.detail == f"{100 * share:.3g} % reads {reading.value:.0f} kg/m3 at 20 degC"


def test_each_blend_has_its_hydrometer_but_water_and_methanol_alone_have_none() -> None:
    days = [(_plan(), "Day 1", CAR)]
    found = [item.id for item in gear(days, [0.0, 0.3, 0.5, 1.0]) if "hydrometer" in item.id]
    assert found == ["tool/hydrometer/0.3", "tool/hydrometer/0.5"]


def test_safety_gear_goes_along_as_soon_as_one_blend_holds_methanol() -> None:
    days = [(_plan(), "Day 1", CAR)]
    for shares, safe in (([0.0], 0), ([0.0, 0.0], 0), ([0.0, 0.5], 6), ([1.0], 6)):
        assert sum(item.group == "Safety" for item in gear(days, shares)) == safe
