"""The fluids of the trailer's list: litres, kilograms and strengths line by line, the can to mix in, whole as data."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from planner.car import Blend
from planner.event import Stock
from planner.physics.blend import alcohol_share_from_mass_fraction, density
from planner.planning.carriage import PROFILES, carriage_json
from planner.planning.pack_item import Amount, Item, item_json
from planner.planning.packing import NOT_COUNTED, Outing, days_key, named, pack_json, pack_list
from planner.planning.stock import parts_of
from tests.cars import CAR
from tests.plans import event_of


def _outing(
    litres: float, share: float = 0.5, temperature: float = 20.0, *, name: str = "Moth Meadow", car: str = "Plum hatch"
) -> Outing:
    """A day that needs so much blend; it has containers of 5 and 10 L."""
    event = event_of(1, name=name)
    return Outing(
        {"bring": {"blend_L": litres}, "refills": []}, event, replace(CAR, name=car, blend=Blend(share, temperature))
    )


def _amounts(item: Item) -> list[float]:
    return [word.value for word in (*item.words, *item.details) if isinstance(word, Amount)]


def _can(*outings: Outing) -> Item:
    (can,) = [item for item in pack_list(outings, mixed_there=True).items if item.id.startswith("can/")]
    return can


def test_each_container_has_a_line_with_its_size_and_the_litres_and_kilograms_in_it() -> None:
    packed = pack_list([_outing(12.0)])
    lines = [item for item in packed.items if item.group == "Fluids"]
    rho = float(density(0.5))
    for line, size, fill in zip(lines, (10.0, 5.0), (9.5, 2.5), strict=True):
        assert _amounts(line) == pytest.approx([fill, size, fill * rho / 1e3])
        assert (line.volume, line.mass, line.size) == pytest.approx((fill / 1e3, fill * rho / 1e3, size / 1e3))
        assert line.alcohol_share == 0.5
    assert [line.text for line in lines] == ["Blend, 50 % methanol: 9.50 L", "Blend, 50 % methanol: 2.50 L"]
    assert [line.detail for line in lines] == ["10 L container, 8.80 kg", "5 L container, 2.32 kg"]
    # Ticks are kept by these ids: one that changes is a tick lost.
    assert [line.id for line in lines] == ["fluid/0.5/1/10/9.5", "fluid/0.5/2/5/2.5"]


def test_each_container_of_methanol_is_a_package_as_large_as_the_container() -> None:
    for package, size, fill in zip(pack_list([_outing(12.0)]).packages, (10.0, 5.0), (9.5, 2.5), strict=True):
        assert package.name == f"Blend, 50 % methanol, {size:g} L container"
        assert (package.size, package.volume) == pytest.approx((size / 1e3, fill / 1e3))
        assert package.mass == pytest.approx(fill * float(density(0.5)) / 1e3)


def test_without_containers_the_fluid_is_one_line_and_a_package_of_its_own_size() -> None:
    bare = _outing(12.0)
    packed = pack_list([replace(bare, event=replace(bare.event, stock=Stock()))])
    (line, *_) = packed.items
    assert line.detail == f"no container sizes given, {12 * float(density(0.5)) / 1e3:.2f} kg"
    assert line.size is None
    assert [one.size for one in packed.packages] == pytest.approx([0.012])


def test_a_warm_blend_weighs_what_it_weighs_warm() -> None:
    packed = pack_list([_outing(9.5, temperature=45.0)])
    assert packed.items[0].mass == pytest.approx(9.5e-3 * float(density(0.5, 45.0)))
    assert packed.items[0].mass == pytest.approx(packed.fluid_mass)


@pytest.mark.parametrize(("by_mass", "count"), [(0.0299, 0), (0.0301, 1)])
def test_a_blend_is_a_package_from_3_percent_of_methanol_by_mass(by_mass: float, count: int) -> None:
    share = float(alcohol_share_from_mass_fraction(by_mass))
    assert len(pack_list([_outing(4.0, share)]).packages) == count


def test_shares_that_differ_by_less_than_a_millionth_are_one_strength() -> None:
    assert len(pack_list([_outing(4.0, 0.3), _outing(4.0, 0.3000002)]).loads) == 1
    assert len(pack_list([_outing(4.0, 0.3), _outing(4.0, 0.30001)]).loads) == 2


def test_days_of_a_strength_are_named_after_one_another_where_another_strength_goes_along() -> None:
    half = [_outing(4.0, name="Moth Meadow"), _outing(4.0, name="Newt Nook")]
    (line, *_) = pack_list([*half, _outing(4.0, 0.3, car="Beet wagon")]).items
    assert line.detail.endswith(" kg; for Moth Meadow, Plum hatch; Newt Nook, Plum hatch")
    assert pack_list(half).items[0].detail.endswith(" kg")


def test_the_smallest_can_that_takes_the_blend_at_95_percent_is_for_mixing_else_the_largest() -> None:
    for litres, size, canful in ((4.74, 5.0, 4.74), (4.76, 10.0, 4.76), (9.4, 10.0, 9.4), (24.0, 10.0, 9.5)):
        can = _can(_outing(litres))
        assert _amounts(can)[:2] == pytest.approx([size, canful])
        assert (can.id, can.group) == (f"can/0.5/{size:g}", "Fluids")


def test_without_container_sizes_the_can_is_as_large_as_the_blend_needs() -> None:
    bare = _outing(12.0)
    can = _can(replace(bare, event=replace(bare.event, stock=Stock())))
    assert _amounts(can)[:2] == pytest.approx([12.0 / 0.95, 12.0])


@pytest.mark.parametrize("temperature", [20.0, 45.0])
def test_a_canful_takes_the_litres_of_water_and_methanol_that_make_it_at_the_blends_temperature(
    temperature: float,
) -> None:
    can = _can(_outing(4.0, 0.3, temperature))
    made = parts_of(0.004, Blend(0.3, temperature))
    assert _amounts(can)[2:] == pytest.approx([made.water * 1e3, made.alcohol * 1e3])
    assert can.text == "Mixing can, 5 L, clean and labelled"
    assert (
        can.detail == f"a canful of 4.00 L takes {made.water * 1e3:.2f} L water and {made.alcohol * 1e3:.2f} L methanol"
    )


def test_each_blend_has_its_can_but_water_and_methanol_alone_have_none() -> None:
    outings = [_outing(4.0, share) for share in (0.0, 0.3, 0.5, 1.0)]
    cans = [item.id for item in pack_list(outings, mixed_there=True).items if item.id.startswith("can/")]
    assert cans == ["can/0.3/5", "can/0.5/5"]
    assert not [item for item in pack_list(outings).items if item.id.startswith("can/")]


def test_a_load_is_shared_over_the_vehicles_and_is_one_vehicles_unless_said() -> None:
    limits = replace(PROFILES["none"], vehicle_volume=0.010)
    outings = [_outing(19.0)]
    assert [one.code for one in pack_list(outings, limits=limits).warnings] == ["carriage-vehicle"]
    assert pack_list(outings, limits=limits, vehicles=2).warnings == ()


def test_a_day_bears_its_date_only_where_another_of_its_name_and_car_goes_along() -> None:
    first, other = _outing(4.0), _outing(4.0, car="Beet wagon")
    later = replace(first, event=replace(first.event, date=date(2026, 5, 17)))
    assert named([first, other]) == [(first, "Moth Meadow"), (other, "Moth Meadow")]
    assert [name for _, name in named([first, later, other])] == [
        "Moth Meadow, 2026-05-16",
        "Moth Meadow, 2026-05-17",
        "Moth Meadow",
    ]


def test_a_lists_key_names_date_event_and_car_of_each_day_in_order() -> None:
    days = [(one.event, one.car) for one in (_outing(1.0, name="Newt Nook"), _outing(1.0))]
    assert days_key(days) == "2026-05-16 Moth Meadow Plum hatch; 2026-05-16 Newt Nook Plum hatch"


def test_the_list_is_handed_on_whole_in_litres_and_kilograms() -> None:
    packed = pack_list([_outing(12.0, 0.3, 45.0)], mixed_there=True, limits=PROFILES["canada"])
    parts = parts_of(0.012, Blend(0.3, 45.0))
    data = pack_json(packed, frozenset({"tool/pen"}))
    (blend,) = data["blends"]
    assert blend == {
        "alcohol_share": 0.3,
        "temperature_degC": 45.0,
        "blend_L": pytest.approx(12.0),
        "alcohol_L": pytest.approx(parts.alcohol * 1e3),
        "water_L": pytest.approx(parts.water * 1e3),
        "alcohol_kg": pytest.approx(parts.alcohol_mass),
        "water_kg": pytest.approx(parts.water_mass),
        "mass_kg": pytest.approx(parts.mass),
        "outings": ["Moth Meadow, Plum hatch"],
    }
    assert data == {
        "items": [item_json(item, item.id == "tool/pen") for item in packed.items],
        "open": len(packed.items) - 1,
        "mixed_there": True,
        "blends": [blend],
        "fluid_mass_kg": pytest.approx(parts.mass),
        "not_counted": NOT_COUNTED,
        "carriage": carriage_json(PROFILES["canada"], ()),
    }
    assert pack_json(pack_list([_outing(12.0)]))["mixed_there"] is False
