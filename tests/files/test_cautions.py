"""Cautions: the class of a blend by its mass, and that nothing grave is missing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.files.cautions import BEFORE_MIXING, BEFORE_REFILLING, cautions_json, first_aid_line, hazard_class
from planner.physics.blend import alcohol_share_from_mass_fraction


def _codes(share: float) -> list[str]:
    return [code for code, _ in hazard_class(share).hazards]


def test_methanol_has_the_published_class() -> None:
    # GHS, German accident insurers' database: methanol H225, H301, H311, H331, H370, Danger.
    assert _codes(1.0) == ["H225", "H301", "H311", "H331", "H370"]
    assert hazard_class(1.0).signal == "Danger"


@given(st.floats(0.201, 0.549))
def test_a_blend_of_20_to_55_percent_by_mass_has_the_published_class(fraction: float) -> None:
    share = float(alcohol_share_from_mass_fraction(fraction))
    assert _codes(share) == ["H226", "H301", "H311", "H331", "H370"]
    assert hazard_class(share).signal == "Danger"


def test_weak_blends_have_the_weaker_class_and_water_has_none() -> None:
    assert hazard_class(0.08).signal == "Warning"
    assert _codes(0.08) == ["H302", "H371"]
    assert hazard_class(0.0).signal is None


@pytest.mark.parametrize(
    "subject", ["swallowed", "skin", "flame", "extinguisher", "Goggles", "butyl", "water", "Label"]
)
def test_mixing_cautions_name_the_hazard(subject: str) -> None:
    assert any(subject in one.text for one in BEFORE_MIXING)


@pytest.mark.parametrize("subject", ["Engine and ignition off", "nobody in the car", "second person", "15 m", "cap on"])
def test_refilling_cautions_name_the_steps(subject: str) -> None:
    assert any(subject in one.text for one in BEFORE_REFILLING)


def test_levels_are_those_of_the_plan_and_local_rules_come_first() -> None:
    data = cautions_json()
    levels = {one["level"] for one in data["before_mixing"] + data["before_refilling"]}  # type: ignore[operator]
    assert levels == {"danger", "warning", "caution", "notice"}
    assert "event's rules come first" in str(data["defer"])
    assert "\n" not in first_aid_line()


def test_a_weak_blend_that_flashes_at_60_degrees_is_marked_as_burning() -> None:
    assert _codes(0.115)[0] == "H226"
    assert "H226" not in _codes(0.08)


@pytest.mark.parametrize(("share", "told"), [(0.02, True), (0.08, True), (0.2, True), (0.5, False), (0.0, False)])
def test_classes_from_memory_say_so_where_they_stand(share: float, told: bool) -> None:
    assert ("from memory" in hazard_class(share).note) is told
