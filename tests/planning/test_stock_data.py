"""Stock as plain data; parts of any two masses; what containers hold at the edges; what a part without price costs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.car import Blend
from planner.errors import BadInput
from planner.event import Stock
from planner.physics.blend import alcohol_share_from_mass_fraction, density
from planner.planning.stock import (
    bring,
    bring_json,
    choose_containers,
    cost_of,
    fill_containers,
    parts_of,
    parts_of_masses,
)

PRICED = Stock(containers=(0.010, 0.005), alcohol_price=2400.0, water_price=600.0)


def test_what_to_bring_is_handed_on_whole_in_litres_and_kilograms() -> None:
    # 50 % by volume, everything at 35 degC.
    rho, methanol, water = (float(density(share, 35.0)) for share in (0.5, 1.0, 0.0))
    brought = bring(0.012, Blend(0.5, 35.0), PRICED)
    ratio = float(density(1.0) / density(0.0))  # of equal volumes at 20 degC
    alcohol_kg, water_kg = 0.012 * rho * ratio / (1 + ratio), 0.012 * rho / (1 + ratio)
    assert bring_json(brought) == {
        "blend_L": pytest.approx(12.0),
        "alcohol_L": pytest.approx(1e3 * alcohol_kg / methanol),
        "water_L": pytest.approx(1e3 * water_kg / water),
        "alcohol_kg": pytest.approx(alcohol_kg),
        "water_kg": pytest.approx(water_kg),
        "mass_kg": pytest.approx(0.012 * rho),
        "containers": [{"size_L": 10.0, "fill_L": pytest.approx(9.5)}, {"size_L": 5.0, "fill_L": pytest.approx(2.5)}],
        "cost": pytest.approx(2400.0 * alcohol_kg / methanol + 600.0 * water_kg / water),
    }


def test_a_containers_size_is_told_to_the_cubic_millimetre() -> None:
    data = bring_json(bring(0.003, Blend(0.5), Stock(containers=(0.003785411784,))))
    assert data["containers"][0]["size_L"] == 3.785412


@given(st.floats(0.0, 20.0), st.floats(0.0, 20.0), st.floats(-20, 50))
def test_two_masses_make_the_blend_of_their_mass_fraction(alcohol: float, water: float, t: float) -> None:
    parts = parts_of_masses(alcohol, water, t)
    assert (parts.alcohol_mass, parts.water_mass, parts.temperature) == (alcohol, water, t)
    assert parts.alcohol * float(density(1.0, t)) == pytest.approx(alcohol)
    assert parts.water * float(density(0.0, t)) == pytest.approx(water)
    if alcohol + water:
        share = float(alcohol_share_from_mass_fraction(alcohol / (alcohol + water)))
        assert parts.blend * float(density(share, t)) == pytest.approx(alcohol + water)
        assert parts.alcohol_share == pytest.approx(share)
        assert parts.shrink >= -1e-12


def test_nothing_has_no_volume_no_mass_and_no_strength() -> None:
    parts = parts_of(0.0, Blend(0.5))
    assert (parts.blend, parts.alcohol, parts.water, parts.mass, parts.alcohol_share) == (0.0, 0.0, 0.0, 0.0, 0.0)
    assert choose_containers(-1e-3, [0.010]) == ()


def test_containers_are_filled_in_turn_to_95_percent_and_the_last_with_the_rest() -> None:
    filled = fill_containers(0.012, (0.010, 0.005))
    assert [one.size for one in filled] == [0.010, 0.005]
    assert [one.fill for one in filled] == pytest.approx([0.0095, 0.0025])
    assert fill_containers(0.012, (0.010, 0.005, 0.005))[-1].fill == pytest.approx(0.0)
    assert sum(one.fill for one in fill_containers(0.030, (0.010, 0.010))) == pytest.approx(0.019)


@given(st.integers(1, 40), st.sets(st.integers(1, 12), min_size=1, max_size=4))
def test_whole_litres_are_paid_like_change_with_the_least_sum_and_then_the_fewest_containers(
    litres: int, sizes: set[int]
) -> None:
    fewest = [0.0]  # containers that a sum of litres takes, the sum paid exactly
    while len(fewest) <= litres or fewest[-1] == float("inf"):
        fewest.append(min((fewest[-size] + 1 for size in sizes if size <= len(fewest)), default=float("inf")))
    chosen = choose_containers(0.95e-3 * litres, [size / 1e3 for size in sizes])
    assert sum(chosen) * 1e3 == pytest.approx(len(fewest) - 1)
    assert len(chosen) == fewest[-1]
    assert list(chosen) == sorted(chosen, reverse=True)


def test_two_of_a_middle_size_are_fewer_than_a_large_one_and_small_ones() -> None:
    assert choose_containers(0.0095, [0.001, 0.005, 0.006]) == (0.005, 0.005)
    assert choose_containers(0.0095, [0.002, 0.005, 0.006]) == (0.005, 0.005)


def test_a_container_of_less_than_nothing_is_refused_in_litres() -> None:
    with pytest.raises(BadInput, match=r"^stock\.containers = -2 L: a container's size is above zero$"):
        choose_containers(0.010, [0.010, -0.002])


def test_a_part_costs_its_volume_at_its_price_and_is_not_asked_for_where_there_is_none_of_it() -> None:
    both = parts_of(0.020, Blend(0.5))
    assert cost_of(both, PRICED) == pytest.approx(2400.0 * both.alcohol + 600.0 * both.water)
    assert cost_of(both, Stock(water_price=600.0)) is None
    assert cost_of(both, Stock()) is None
    assert cost_of(parts_of(0.020, Blend(0.0)), Stock(water_price=600.0)) == pytest.approx(12.0)
    assert cost_of(parts_of(0.020, Blend(0.0)), Stock(alcohol_price=2400.0)) is None
    assert cost_of(parts_of(0.0, Blend(0.5)), PRICED) == 0.0
    assert cost_of(parts_of(0.0, Blend(0.5)), Stock()) is None
