"""Stock to bring: containers against brute force, and nothing lost between parts and blend."""

from __future__ import annotations

from itertools import combinations_with_replacement

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.car import Blend
from planner.errors import BadInput, OutsideModel
from planner.event import Stock
from planner.planning.stock import bring, bring_json, choose_containers, parts_of

SIZES = st.lists(st.sampled_from([1, 2, 2.5, 3.785411784, 5, 10, 18.927]), min_size=1, max_size=4, unique=True)


def _enumerated(volume: float, sizes: list[float]) -> tuple[float, int]:
    """Least surplus and fewest containers, by trying every multiset that could be needed."""
    most = int(volume / 0.95 / min(sizes)) + 1
    held = (
        (round(0.95 * sum(several) - volume, 9), count)
        for count in range(most + 1)
        for several in combinations_with_replacement(sizes, count)
    )
    return min(pair for pair in held if pair[0] >= -1e-9)


@settings(max_examples=60, deadline=None)
@given(volume=st.floats(0.1, 12), sizes=SIZES)
def test_containers_are_those_of_brute_force(volume: float, sizes: list[float]) -> None:
    chosen = choose_containers(volume / 1e3, [size / 1e3 for size in sizes])
    surplus, count = _enumerated(volume, sizes)
    assert 0.95 * sum(chosen) * 1e3 - volume == pytest.approx(surplus, abs=1e-6)
    assert len(chosen) == count


def test_a_volume_of_exactly_95_percent_fits() -> None:
    assert choose_containers(0.0095, [0.010, 0.005]) == pytest.approx((0.010,))
    assert choose_containers(0.0190, [0.010, 0.005]) == pytest.approx((0.010, 0.010))
    assert choose_containers(0.00951, [0.010, 0.005]) == pytest.approx((0.010, 0.005))


def test_of_equal_surplus_the_fewest_containers() -> None:
    assert choose_containers(0.019, [0.005, 0.010, 0.020]) == pytest.approx((0.020,))


def test_nothing_to_hold_or_no_sizes_gives_none() -> None:
    assert choose_containers(0.0, [0.010]) == ()
    assert choose_containers(0.010, []) == ()


def test_a_container_without_size_is_refused_in_words() -> None:
    with pytest.raises(BadInput, match=r"stock\.containers = 0 L: a container's size is above zero"):
        choose_containers(0.010, [0.0])


def test_swarms_of_odd_sizes_are_refused_in_words() -> None:
    with pytest.raises(BadInput, match=r"^stock\.containers: too many small containers; leave out the smallest$"):
        choose_containers(10.0, [0.00123456, 0.00176543, 0.00098765, 0.00111111])


@settings(deadline=None)
@given(volume=st.floats(1e-4, 0.2), share=st.floats(0, 1), temperature=st.floats(-20, 50))
def test_bring_holds_all_of_the_blend_and_loses_no_mass(volume: float, share: float, temperature: float) -> None:
    data = bring_json(bring(volume, Blend(share, temperature), Stock(containers=(0.010, 0.005))))
    assert data["blend_L"] == pytest.approx(volume * 1e3, rel=1e-9)
    assert data["alcohol_kg"] + data["water_kg"] == pytest.approx(data["mass_kg"], rel=1e-12)
    assert sum(one["fill_L"] for one in data["containers"]) == pytest.approx(volume * 1e3, rel=1e-9)
    assert all(one["fill_L"] <= 0.95 * one["size_L"] * (1 + 1e-12) for one in data["containers"])
    assert data["cost"] is None


def test_20_litres_of_half_and_half_take_10_36_litres_of_each() -> None:
    # Facts of the trade computed from published densities: 10.36 L each, 10.34 kg + 8.19 kg = 18.53 kg.
    parts = parts_of(0.020, Blend(0.5))
    assert (parts.alcohol * 1e3, parts.water * 1e3) == pytest.approx((10.36, 10.36), abs=0.01)
    assert (parts.water_mass, parts.alcohol_mass, parts.mass) == pytest.approx((10.34, 8.19, 18.53), abs=0.01)
    assert parts.shrink * 1e3 == pytest.approx(0.72, abs=0.01)


def test_cost_counts_the_parts_that_are_needed_and_priced() -> None:
    prices = Stock(alcohol_price=2400.0, water_price=600.0)
    assert bring(0.020, Blend(0.5), prices).cost == pytest.approx(10.36 * 3.0, abs=0.03)
    assert bring(0.020, Blend(0.5), Stock(alcohol_price=2400.0)).cost is None
    assert bring(0.020, Blend(1.0), Stock(alcohol_price=2400.0)).cost == pytest.approx(48.0)


def test_a_share_in_percent_is_refused() -> None:
    with pytest.raises(OutsideModel, match="alcohol share 50 is outside the blend model, which holds from 0 to 1"):
        bring(0.020, Blend(50), Stock())
