"""Carriage limits: what is said where they bite, and profiles of one's own; tests/published holds the figures."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from planner.errors import BadInput
from planner.planning.carriage import ADVICE, PROFILES, Package, Profile, carriage_json, profile, where_limits_bite
from planner.planning.warning import Warning


def _jug(litres: float) -> Package:
    return Package(f"jug of {litres:g} L", litres / 1e3, 0.95 * litres / 1e3, 0.95 * litres * 0.9267)


def _codes(name: str, *packages: Package, vehicles: int = 1) -> list[str]:
    return [one.code for one in where_limits_bite(PROFILES[name], packages, vehicles)]


def test_without_a_profile_nothing_bites() -> None:
    assert _codes("none", *[_jug(200.0)] * 20) == []


def test_the_warning_names_amount_limit_and_source() -> None:
    (one,) = where_limits_bite(PROFILES["europe-private"], [_jug(61.0)])
    assert one.text == (
        "jug of 61 L: 61.0 L, where the limit is 60 L (ADR 1.1.3.1 (a), private persons). Take smaller containers."
    )


OWN = Profile("own", package_volume=0.02, package_mass=15.0, vehicle_volume=0.1, vehicle_mass=80.0, source="the desk")
ONE_JUG = Package("jug", 0.02, 0.019, 15.0)  # as large and as heavy as a package may be


def test_one_package_too_heavy_is_a_warning_that_names_it_and_its_mass() -> None:
    heavy = Package("jug", 0.02, 0.019, 15.2)
    text = "jug: 15.2 kg, where the limit is 15 kg (the desk). Take smaller containers."
    assert where_limits_bite(OWN, [ONE_JUG]) == ()
    assert where_limits_bite(OWN, [heavy]) == (Warning("warning", "carriage-package", text),)


def test_a_vehicle_over_both_limits_says_volume_and_mass_of_its_share() -> None:
    jugs = [ONE_JUG] * 12  # 228 L, 180 kg: one vehicle may take 100 L, 80 kg
    sentence = "each vehicle: {}, where the limit is {} (the desk). Spread it, or buy some there."
    for vehicles, volume, mass in ((1, "228.0 L", "180.0 kg"), (2, "114.0 L", "90.0 kg")):
        assert where_limits_bite(OWN, jugs, vehicles) == tuple(
            Warning("warning", "carriage-vehicle", sentence.format(*amounts))
            for amounts in ((volume, "100 L"), (mass, "80 kg"))
        )
    assert where_limits_bite(OWN, jugs) == where_limits_bite(OWN, jugs, 1)
    assert where_limits_bite(OWN, jugs, 3) == ()


def test_a_load_that_just_reaches_a_limit_passes_and_a_drop_more_does_not() -> None:
    for share, bites in ((1.0, False), (0.9999, True)):
        for limits in (Profile("x", vehicle_volume=0.19 * share), Profile("x", vehicle_mass=150.0 * share)):
            assert bool(where_limits_bite(limits, [ONE_JUG] * 10)) == bites


def test_what_is_handed_on_holds_the_limits_in_litres_and_kilograms_and_what_they_say() -> None:
    warning = Warning("warning", "carriage-package", "too large")
    limits = replace(OWN, remark="ask at the desk")
    assert carriage_json(limits, [warning]) == {
        "profile": "own",
        "package_L": 20.0,
        "package_kg": 15.0,
        "vehicle_L": 100.0,
        "vehicle_kg": 80.0,
        "source": "the desk",
        "remark": "ask at the desk",
        "advice": ADVICE,
        "warnings": [{"level": "warning", "code": "carriage-package", "text": "too large"}],
    }
    unlimited = carriage_json(PROFILES["none"], ())
    assert [unlimited[key] for key in ("package_L", "package_kg", "vehicle_L", "vehicle_kg")] == [None] * 4


def test_a_profile_of_ones_own_is_read(tmp_path: Path) -> None:
    path = tmp_path / "ferry.toml"
    path.write_text('name = "Ferry"\npackage_volume = "20 L"\nvehicle_mass = "50 kg"\nsource = "the ferry\'s desk"\n')
    own = profile(str(path))
    assert (own.name, own.package_mass, own.vehicle_mass) == ("Ferry", None, 50.0)
    assert own.package_volume == pytest.approx(0.020)
    assert where_limits_bite(own, [_jug(25.0)])[0].text.endswith("(the ferry's desk). Take smaller containers.")


def test_every_fault_of_a_profile_is_named_at_once(tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text('package_volume = 20\nvehicle_mass = "0 kg"\nvehicle_size = "3 L"\n')
    with pytest.raises(BadInput) as caught:
        profile(str(path))
    lines = [fault.line() for fault in caught.value.faults]
    assert len(lines) == 3
    assert all(line.startswith(f"{path}: ") for line in lines)
    assert "package_volume = 20: a bare number has no unit" in lines[0]
    assert "vehicle_mass = 0 kg: a limit is above zero" in lines[1]
    assert "vehicle_size = 3 L: no such key; a profile has name, package_volume" in lines[2]


def test_an_unknown_profile_is_refused_with_the_known_ones() -> None:
    with pytest.raises(BadInput, match=r"^profile = moon: no such profile; take one of none, us-trade, canada"):
        profile("moon")


def test_a_file_that_is_no_toml_is_refused(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_text("= 3")
    with pytest.raises(BadInput, match=r"x\.toml: cannot be read as TOML"):
        profile(str(tmp_path / "x.toml"))
    with pytest.raises(BadInput, match=r"gone\.toml: cannot be read as TOML"):
        profile(str(tmp_path / "gone.toml"))
