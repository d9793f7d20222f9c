"""One line of the trailer's list as plain data, and its words in the units of the reader's choice."""

from __future__ import annotations

from planner.planning.pack_item import Amount, Item, item_json, said

FLUID = Item(
    "fluid/0.5/1",
    "Fluids",
    ("Blend: ", Amount(4.75, "L")),
    ("in ", Amount(5.0, "L", ".4g"), ", ", Amount(4.4018, "kg")),
    volume=0.00475,
    mass=4.4018,
    alcohol_share=0.5,
    size=0.003785411784,
)


def test_a_fluids_line_is_handed_on_in_litres_and_kilograms_with_its_strength() -> None:
    assert item_json(FLUID, True) == {
        "id": "fluid/0.5/1",
        "group": "Fluids",
        "text": "Blend: 4.75 L",
        "detail": "in 5 L, 4.40 kg",
        "volume_L": 4.75,
        "mass_kg": 4.4018,
        "alcohol_share": 0.5,
        "container_L": 3.785412,  # to the cubic millimetre
        "ticked": True,
    }


def test_a_line_that_is_no_fluid_has_no_volume_mass_strength_or_container_and_is_open_at_first() -> None:
    data = item_json(Item("tool/pen", "Tools", ("Pen",)))
    assert [data[key] for key in ("volume_L", "mass_kg", "alcohol_share", "container_L")] == [None] * 4
    assert data["detail"] == ""
    assert data["ticked"] is False


def test_an_amounts_digits_are_its_own_unless_the_reader_shows_it_otherwise() -> None:
    assert str(Amount(926.71, "kg/m3", ".0f")) == "927 kg/m3"
    assert said(FLUID.words, lambda amount: f"{amount.value / 3.785411784:.2f} gal") == "Blend: 1.25 gal"
