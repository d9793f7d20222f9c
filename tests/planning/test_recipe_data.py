"""Recipes as plain data, what rounding leaves of a blend at hand, and pours that a recipe has none of."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import OutsideModel
from planner.physics.blend import (
    alcohol_share_from_density,
    density,
    flash_point,
    freezing_point,
    latent_heat,
    mass_fraction,
)
from planner.planning.recipe import (
    Have,
    Pour,
    recipe,
    recipe_json,
    rounded_by_mass,
    rounded_by_volume,
    share_of_finished_volume,
)


@pytest.mark.parametrize("t", [20.0, 35.0])
def test_a_recipe_is_handed_on_whole_in_litres_and_kilograms(t: float) -> None:
    data = recipe_json(recipe(0.020, 0.5, t, have=Have(0.006, 0.3)))
    rho, at_hand = float(density(0.5, t)), 0.006 * float(density(0.3, t))
    methanol = 0.020 * rho * float(mass_fraction(0.5)) - at_hand * float(mass_fraction(0.3))
    water = 0.020 * rho - at_hand - methanol
    litres = {"methanol": 1e3 * methanol / float(density(1.0, t)), "water": 1e3 * water / float(density(0.0, t))}
    assert {key: value for key, value in data.items() if key != "pours"} == {
        "alcohol_L": pytest.approx(litres["methanol"]),
        "water_L": pytest.approx(litres["water"]),
        "blend_L": pytest.approx(20.0),
        "shrink_L": pytest.approx(6.0 + litres["methanol"] + litres["water"] - 20.0),
        "alcohol_kg": pytest.approx(methanol),
        "water_kg": pytest.approx(water),
        "mass_kg": pytest.approx(0.020 * rho),
        "mass_fraction": pytest.approx(float(mass_fraction(0.5))),
        "density_kg_m3": pytest.approx(rho),
        "density_20degC_kg_m3": pytest.approx(float(density(0.5))),
        "strength_per_kg_m3": pytest.approx(
            float(alcohol_share_from_density(rho - 0.5, t) - alcohol_share_from_density(rho + 0.5, t)), rel=1e-4
        ),
        "freezing_degC": pytest.approx(float(freezing_point(0.5))),
        "flash_degC": pytest.approx(float(flash_point(0.5))),
        "latent_heat_kJ_kg": pytest.approx(float(latent_heat(0.5)) / 1e3),
        "temperature_degC": t,
        "alcohol_share": pytest.approx(0.5),
        "wanted_alcohol_share": 0.5,
        "share_of_finished_volume": pytest.approx(share_of_finished_volume(0.5)),
        "have_used_L": pytest.approx(6.0),
        "have_left_L": 0.0,
        "premix_L": 0.0,
    }
    assert data["pours"] == [
        {"liquid": liquid, "alcohol_share": share, "volume_L": pytest.approx(volume), "mass_kg": pytest.approx(mass)}
        for liquid, share, volume, mass in (
            ("blend at hand", 0.3, 6.0, at_hand),
            ("water", 0.0, litres["water"], water),
            ("methanol", 1.0, litres["methanol"], methanol),
        )
    ]


def test_premix_and_what_is_left_of_the_blend_at_hand_are_told_in_litres() -> None:
    bought = recipe_json(recipe(0.010, 0.3, premix_share=0.7))
    assert (bought["premix_L"], bought["water_L"]) == pytest.approx([p["volume_L"] for p in bought["pours"]])
    assert bought["premix_L"] == pytest.approx(
        10 * float(density(0.3) * mass_fraction(0.3) / (density(0.7) * mass_fraction(0.7)))
    )
    plenty = recipe_json(recipe(0.004, 0.3, have=Have(0.006, 0.3)))
    assert (plenty["have_used_L"], plenty["have_left_L"]) == pytest.approx((4.0, 2.0))


def test_a_flash_point_is_told_where_there_is_one() -> None:
    assert recipe_json(recipe(0.010, 0.02))["flash_degC"] is None
    assert recipe_json(recipe(0.010, 0.04))["flash_degC"] == pytest.approx(85.5)  # halfway from 93 to 78 degC


def test_a_liquid_that_a_recipe_has_none_of_is_poured_as_nothing() -> None:
    assert recipe(0.010, 0.5).poured("blend at hand") == Pour("blend at hand", 0.0, 0.0, 0.0)


def test_a_blend_at_hand_of_less_than_a_billionth_is_not_worth_pouring() -> None:
    for part, poured in ((0.5e-9, False), (2e-9, True)):
        made = recipe(0.2, 0.5, have=Have(0.2 * part, 0.5))
        assert bool(made.poured("blend at hand").volume) == poured


def test_without_a_blend_at_hand_none_is_left() -> None:
    assert recipe(0.010, 0.5).left == 0.0
    assert recipe(0.010, 0.5, have=Have(0.0, 0.3)).left == 0.0


def test_a_volume_that_is_none_is_named_in_litres() -> None:
    with pytest.raises(OutsideModel, match=r"above zero, not -2 L$"):
        recipe(-0.002, 0.5)


@settings(deadline=None)
@given(st.floats(0.001, 0.05), st.floats(0.05, 0.95), st.floats(0.0005, 0.05), st.floats(0.05, 0.95))
def test_what_rounding_leaves_of_the_blend_at_hand_is_what_it_does_not_pour(
    volume: float, share: float, held: float, held_share: float
) -> None:
    exact = recipe(volume, share, have=Have(held, held_share))
    for rounding, step in ((rounded_by_volume, 3e-4), (rounded_by_mass, 0.3)):
        try:
            rounded = rounding(exact, step)
        except OutsideModel:
            continue
        assert rounded.left + rounded.poured("blend at hand").volume == pytest.approx(held, rel=1e-9)
        assert [pour.liquid for pour in rounded.pours] == [pour.liquid for pour in exact.pours]
        if exact.pours[0].whole:
            assert rounded.pours[0] == exact.pours[0]


def test_rounding_a_blend_at_hand_that_is_more_than_enough_leaves_the_rest() -> None:
    rounded = rounded_by_volume(recipe(0.00417, 0.3, have=Have(0.006, 0.3)), 5e-4)
    assert rounded.poured("blend at hand").volume == pytest.approx(0.004)
    assert rounded.left == pytest.approx(0.002)
