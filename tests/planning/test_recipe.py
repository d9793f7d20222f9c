"""Recipes: mass is conserved, the strength comes back by density, rounding says what comes out."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import OutsideModel
from planner.physics.blend import density, mass_fraction
from planner.planning.recipe import (
    Have,
    Recipe,
    recipe,
    recipe_json,
    rounded_by_mass,
    rounded_by_volume,
    share_of_finished_volume,
)
from planner.planning.strength import strength_from_density

SHARES = st.floats(0, 1)
TEMPERATURES = st.floats(-20, 50)
VOLUMES = st.floats(1e-4, 0.2)
HAVES = st.none() | st.builds(Have, volume=st.floats(0, 0.1), alcohol_share=SHARES)
MADE = st.builds(recipe, VOLUMES, SHARES, TEMPERATURES, have=HAVES, premix_share=st.none() | SHARES)


@settings(max_examples=300, deadline=None)
@given(MADE)
def test_mass_of_each_part_is_conserved_to_1e_9(made: Recipe) -> None:
    poured = sum(pour.mass for pour in made.pours)
    alcohol = sum(pour.mass * mass_fraction(pour.alcohol_share) for pour in made.pours)
    assert poured == pytest.approx(made.parts.mass, rel=1e-9)
    assert alcohol == pytest.approx(made.parts.alcohol_mass, rel=1e-9, abs=1e-12)


@settings(max_examples=300, deadline=None)
@given(VOLUMES, SHARES, TEMPERATURES, HAVES, st.none() | SHARES)
def test_the_wanted_blend_comes_out_by_volume_and_by_density(
    volume: float, share: float, t: float, have: Have | None, premix: float | None
) -> None:
    made = recipe(volume, share, t, have=have, premix_share=premix)
    assert made.parts.blend == pytest.approx(volume, rel=1e-7)
    assert made.parts.alcohol_share == pytest.approx(share, abs=1e-7)
    rho = min(max(made.parts.mass / made.parts.blend, density(1.0, t)), density(0.0, t))
    assert strength_from_density(rho, t).alcohol_share == pytest.approx(share, abs=1e-6)
    assert all(pour.volume > 0 for pour in made.pours)


@settings(deadline=None)
@given(VOLUMES, SHARES, st.builds(Have, volume=st.floats(1e-4, 0.1), alcohol_share=SHARES))
def test_a_blend_at_hand_is_used_whole_or_leaves_no_room_for_more(volume: float, share: float, have: Have) -> None:
    made = recipe(volume, share, have=have)
    used = made.poured("blend at hand").volume
    assert used + made.left == pytest.approx(have.volume, rel=1e-9)
    if made.left > 1e-9 * have.volume:
        assert len([pour for pour in made.pours if pour.liquid != "blend at hand"]) <= 1


def test_6_litres_at_30_percent_become_20_at_50() -> None:
    made = recipe(0.020, 0.5, have=Have(0.006, 0.3))
    assert [pour.liquid for pour in made.pours] == ["blend at hand", "water", "methanol"]
    assert made.pours[0].whole
    assert made.poured("methanol").mass == pytest.approx(8.19 - 0.006 * 960.0 * mass_fraction(0.3), abs=0.02)


def test_premix_takes_water_when_too_strong_and_methanol_when_too_weak() -> None:
    assert {pour.liquid for pour in recipe(0.01, 0.3, premix_share=0.7).pours} == {"bought premix", "water"}
    assert {pour.liquid for pour in recipe(0.01, 0.7, premix_share=0.3).pours} == {"bought premix", "methanol"}
    assert [pour.liquid for pour in recipe(0.01, 0.5, premix_share=0.5).pours] == ["bought premix"]


@settings(deadline=None)
@given(st.floats(0.001, 0.1), SHARES, HAVES)
def test_rounding_changes_each_pour_by_half_a_step_at_most(volume: float, share: float, have: Have | None) -> None:
    exact = recipe(volume, share, have=have)
    for rounded, step, quantity in (
        (rounded_by_volume(exact, 1e-4), 1e-4, "volume"),
        (rounded_by_mass(exact, 0.005), 0.005, "mass"),
    ):
        for before, after in zip(exact.pours, rounded.pours, strict=True):
            moved = getattr(after, quantity) - getattr(before, quantity)
            assert abs(moved) <= step / 2 * (1 + 1e-9)
            assert before.whole or round(getattr(after, quantity) / step, 6) % 1 == pytest.approx(0, abs=1e-5)
        assert rounded.parts.mass == pytest.approx(sum(pour.mass for pour in rounded.pours), rel=1e-9)


def test_rounding_says_what_strength_comes_out() -> None:
    rounded = rounded_by_volume(recipe(0.002, 0.4), 5e-4)  # 0.829 and 1.243 L become 1.0 and 1.0 L
    assert rounded.parts.alcohol_share == pytest.approx(0.5, abs=1e-9)
    assert recipe_json(rounded)["wanted_alcohol_share"] == 0.4


def test_rounding_to_nothing_is_refused() -> None:
    with pytest.raises(OutsideModel, match="round to a smaller step"):
        rounded_by_volume(recipe(0.001, 0.5), 0.010)


def test_half_and_half_is_51_8_percent_of_the_finished_volume() -> None:
    assert share_of_finished_volume(0.5) == pytest.approx(0.5 / (1 - 0.0346), abs=1e-4)


@pytest.mark.parametrize("volume", [0.0, -1.0, float("nan"), float("inf")])
def test_a_volume_that_is_none_is_refused(volume: float) -> None:
    with pytest.raises(OutsideModel, match="a blend's volume is above zero"):
        recipe(volume, 0.5)
