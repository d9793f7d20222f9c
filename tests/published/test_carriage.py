"""Limits for carrying methanol by road, as the rules state them; a rule may change, and the rule itself prevails."""

from __future__ import annotations

import pytest

from planner.planning.carriage import PROFILES, Package, carriage_json, where_limits_bite

# 49 CFR 173.6 (a) and (d), materials of trade; TDG Regulations (Canada) 1.15; ADR 1.1.3.1 (a), private persons.
FIGURES = {
    "us-trade": {"package_L": 30.0, "package_kg": 30.0, "vehicle_L": None, "vehicle_kg": 200.0},
    "canada": {"package_L": None, "package_kg": 30.0, "vehicle_L": None, "vehicle_kg": 150.0},
    "europe-private": {"package_L": 60.0, "package_kg": None, "vehicle_L": 240.0, "vehicle_kg": None},
}


def _jug(litres: float) -> Package:
    return Package(f"jug of {litres:g} L", litres / 1e3, 0.95 * litres / 1e3, 0.95 * litres * 0.9267)


def _codes(name: str, *packages: Package, vehicles: int = 1) -> list[str]:
    return [one.code for one in where_limits_bite(PROFILES[name], packages, vehicles)]


@pytest.mark.parametrize("name", FIGURES)
def test_the_figures_are_the_published_ones(name: str) -> None:
    told = carriage_json(PROFILES[name], ())
    assert {key: told[key] for key in FIGURES[name]} == FIGURES[name]


def test_a_package_bites_by_its_size_or_its_mass() -> None:
    assert _codes("us-trade", _jug(30.0)) == []
    assert _codes("us-trade", _jug(31.0)) == ["carriage-package"]
    assert _codes("canada", _jug(35.0)) == ["carriage-package"]
    assert _codes("europe-private", _jug(60.0)) == []
    assert _codes("europe-private", _jug(61.0)) == ["carriage-package"]


def test_a_vehicle_bites_by_the_sum_and_is_mended_by_a_second_one() -> None:
    load = [_jug(25.0)] * 8  # 176 kg, 190 L
    assert _codes("canada", *load) == ["carriage-vehicle"]
    assert _codes("canada", *load, vehicles=2) == []
    assert _codes("us-trade", *load) == _codes("europe-private", *load) == []
    assert _codes("europe-private", *load, *load) == ["carriage-vehicle"]
