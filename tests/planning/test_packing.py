"""The list for the trailer: all fluid is in containers, nothing of the trade's list is missing, ids stay."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.car import Blend, Car
from planner.event import Stock
from planner.physics.blend import density
from planner.planning.carriage import PROFILES
from planner.planning.pack_item import Amount, Unit, said
from planner.planning.packing import Outing, list_key, pack_json, pack_list
from tests.cars import CAR
from tests.plans import event_of, plan_of

OTHER = replace(CAR, name="Beet wagon", blend=Blend(0.3))


def _outing(name: str = "Moth Meadow open day", car: Car = CAR, sessions: int = 7) -> Outing:
    event = event_of(sessions, name=name)
    return Outing(plan_of(event, car), event, car)


def _fluid(packed: object) -> list[dict]:
    return [item for item in pack_json(packed)["items"] if item["volume_L"] is not None]  # type: ignore[arg-type]


def test_one_days_containers_are_the_plans() -> None:
    outing = _outing()
    planned = outing.plan["bring"]
    fluids = _fluid(pack_list([outing]))
    assert [item["volume_L"] for item in fluids] == pytest.approx([one["fill_L"] for one in planned["containers"]])
    assert sum(item["mass_kg"] for item in fluids) == pytest.approx(planned["mass_kg"], rel=1e-9)


def test_days_of_one_strength_share_containers_and_lose_nothing() -> None:
    outings = [_outing(), _outing("Newt Nook sprint", sessions=4)]
    packed = pack_list(outings)
    assert len(packed.loads) == 1
    total = sum(outing.plan["bring"]["blend_L"] for outing in outings)
    assert sum(item["volume_L"] for item in _fluid(packed)) == pytest.approx(total, rel=1e-9)
    assert packed.fluid_mass == pytest.approx(sum(outing.plan["bring"]["mass_kg"] for outing in outings), rel=1e-9)


def test_strengths_travel_apart_and_say_for_whom() -> None:
    packed = pack_list([_outing(), _outing("Newt Nook sprint", OTHER)])
    assert [load.alcohol_share for load in packed.loads] == [0.5, 0.3]
    assert {item["text"].partition(":")[0] for item in _fluid(packed)} == {
        "Blend, 50 % methanol",
        "Blend, 30 % methanol",
    }
    assert "for Newt Nook sprint, Beet wagon" in _fluid(packed)[-1]["detail"]


def test_mixed_there_carries_the_parts_and_a_can_with_its_recipe() -> None:
    outing = _outing()
    packed = pack_list([outing], mixed_there=True)
    fluids = _fluid(packed)
    for name, key in (("Methanol", "alcohol_L"), ("Water, distilled or deionised", "water_L")):
        volume = sum(item["volume_L"] for item in fluids if item["text"].startswith(name + ":"))
        assert volume == pytest.approx(outing.plan["bring"][key], rel=1e-9)
    (can,) = [item for item in packed.items if item.id.startswith("can/")]
    assert can.text == "Mixing can, 10 L, clean and labelled"
    assert "a canful of 9.50 L takes 4.92 L water and 4.92 L methanol" in can.detail


def test_water_alone_needs_no_poison_gear_and_is_no_package() -> None:
    packed = pack_list([_outing(car=replace(CAR, blend=Blend(0.0)))])
    assert packed.packages == ()
    assert not [item for item in packed.items if item.group == "Safety"]


def test_no_blend_needs_no_container() -> None:
    outing = _outing()
    empty = {"blend_L": 0.0, "containers": []}
    assert _fluid(pack_list([Outing({**outing.plan, "bring": empty}, outing.event, CAR)], mixed_there=True)) == []


def test_without_container_sizes_the_fluid_still_stands_on_the_list() -> None:
    outing = _outing()
    bare = Outing(outing.plan, replace(outing.event, stock=Stock()), CAR)
    (fluid,) = _fluid(pack_list([bare]))
    assert "no container sizes given" in fluid["detail"]
    assert fluid["volume_L"] == pytest.approx(outing.plan["bring"]["blend_L"])


TAKEN = ("Funnel", "Dipstick", "Measuring jug", "Hydrometer", "Goggles", "Gloves", "Extinguisher", "Spill kit")
SPARE = ("Spare nozzle", "Spare filter", "day's sheet")


@pytest.mark.parametrize("thing", [*TAKEN, *SPARE])
def test_what_the_trade_takes_along_is_on_it(thing: str) -> None:
    assert any(thing in item.text for item in pack_list([_outing()]).items)


def test_each_dipstick_carries_its_tanks_marks_and_each_car_its_spares() -> None:
    items = {item.text: item for item in pack_list([_outing(), _outing("Newt Nook sprint", OTHER)]).items}
    assert "68 mm before 1, 68 mm before 4, 68 mm before 7" in items["Dipstick of Plum hatch"].detail
    assert "Spare nozzle for Plum hatch" in items
    assert "rated 250 mL/min" in items["Spare nozzle for Beet wagon"].detail


def test_the_hydrometers_reading_is_the_blends_density() -> None:
    (line,) = [item for item in pack_list([_outing()]).items if "Hydrometer" in item.text]
    assert f"{float(density(0.5)):.0f} kg/m3 at 20 degC" in line.detail


def test_ids_are_unique_and_stay_until_a_filling_changes() -> None:
    first, again = pack_list([_outing()]), pack_list([_outing()])
    ids = [item.id for item in first.items]
    assert len(ids) == len(set(ids))
    assert ids == [item.id for item in again.items]
    more = {item.id for item in pack_list([_outing(sessions=10)]).items}
    assert {item.id for item in first.items if item.group != "Fluids"} <= more
    assert not {item.id for item in first.items if item.group == "Fluids"} <= more


def test_carriage_limits_see_each_container_of_methanol() -> None:
    packed = pack_list([_outing(sessions=36)], limits=PROFILES["canada"])
    assert len(packed.packages) == len(_fluid(packed))
    assert packed.warnings == ()
    tight = replace(PROFILES["canada"], package_mass=5.0)
    found = pack_list([_outing(sessions=36)], limits=tight).warnings
    assert {one.code for one in found} == {"carriage-package"}


def test_a_list_is_known_by_its_days_in_any_order_and_a_new_date_is_a_new_list() -> None:
    first, second = _outing(), _outing("Newt Nook sprint", OTHER)
    assert list_key([first, second]) == list_key([second, first]) != list_key([first])
    moved = replace(first, event=replace(first.event, date=first.event.date.replace(day=17)))
    assert list_key([moved]) != list_key([first])


def test_ticks_show_and_what_is_open_is_counted() -> None:
    packed = pack_list([_outing()])
    data = pack_json(packed, frozenset({"tool/funnel"}))
    assert data["open"] == len(packed.items) - 1
    assert [item["id"] for item in data["items"] if item["ticked"]] == ["tool/funnel"]


def test_two_days_of_one_name_and_car_keep_their_lines_apart() -> None:
    first = _outing()
    later = replace(first, event=replace(first.event, date=first.event.date.replace(day=17)))
    for outings in ([first, later], [first, first], [first, later, later]):
        ids = [item.id for item in pack_list(outings).items]
        assert len(ids) == len(set(ids))


def test_a_lines_amounts_can_be_shown_in_other_units() -> None:
    items = {item.id: item for item in pack_list([_outing()], mixed_there=True).items}
    everything = [word for item in items.values() for word in (*item.words, *item.details)]
    assert {word.unit for word in everything if isinstance(word, Amount)} == {*get_args(Unit)}
    nozzle = items["spare/nozzle/Plum hatch"]
    assert said(nozzle.details, lambda amount: f"<{amount.value:g}>") == "rated <250>; and its tool"
    assert nozzle.detail == "rated 250 mL/min; and its tool"


@settings(max_examples=60, deadline=None)
@given(st.floats(0.2, 60.0), st.sampled_from([0.0, 0.02, 0.3, 0.5, 0.8, 1.0]), st.booleans())
def test_no_container_is_ever_filled_beyond_95_percent(litres: float, share: float, mixed_there: bool) -> None:
    outing = _outing(car=replace(CAR, blend=Blend(share)))
    plan = {**outing.plan, "bring": {"blend_L": litres}}
    listed = pack_list([Outing(plan, outing.event, outing.car)], mixed_there=mixed_there)
    held = [item for item in listed.items if item.volume is not None]
    assert held
    for item in held:
        assert item.size is not None
        assert item.volume is not None
        assert item.volume <= 0.95 * item.size * (1 + 1e-12)
    for can in (item for item in listed.items if item.id.startswith("can/")):
        (size,), (canful, *_) = (
            [w.value for w in words if isinstance(w, Amount)] for words in (can.words, can.details)
        )
        assert canful <= 0.95 * size * (1 + 1e-12)
