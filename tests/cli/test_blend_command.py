"""`fillmark blend`: the keys that scripts rely on, a table that reads at 80 columns, and refusals in words."""

from __future__ import annotations

import json

import pytest

from planner.cli.main import main

KEYS = [
    "alcohol_L",
    "water_L",
    "blend_L",
    "shrink_L",
    "alcohol_kg",
    "water_kg",
    "mass_fraction",
    "density_kg_m3",
    "freezing_degC",
    "flash_degC",
]


def _json(capsys: pytest.CaptureFixture[str], *argv: str) -> dict:
    assert main(["blend", *argv, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def _refused(capsys: pytest.CaptureFixture[str], *argv: str) -> list[str]:
    assert main(["blend", *argv]) == 2
    written = capsys.readouterr()
    assert written.out == ""
    return written.err.splitlines()


def test_20_litres_of_half_and_half(capsys: pytest.CaptureFixture[str]) -> None:
    data = _json(capsys, "--alcohol-share", "0.5", "--volume", "20 L")
    assert set(KEYS) <= data.keys()
    assert data["alcohol_L"] == data["water_L"] == pytest.approx(10.36, abs=0.01)
    assert (data["alcohol_kg"], data["water_kg"]) == pytest.approx((8.19, 10.34), abs=0.01)
    assert data["shrink_L"] == pytest.approx(data["alcohol_L"] + data["water_L"] - 20.0)
    assert data["density_kg_m3"] == pytest.approx(926.7, abs=0.1)
    assert (data["freezing_degC"], data["flash_degC"]) == (pytest.approx(-45, abs=1), 27.0)


def test_gallons_and_fahrenheit_are_understood(capsys: pytest.CaptureFixture[str]) -> None:
    data = _json(capsys, "--alcohol-share", "0.5", "--volume", "5 gal", "--temperature", "86 degF")
    assert data["blend_L"] == pytest.approx(5 * 3.785411784)
    assert data["temperature_degC"] == pytest.approx(30.0)


def test_a_blend_at_hand_is_used_and_counted(capsys: pytest.CaptureFixture[str]) -> None:
    argv = ("--alcohol-share", "0.5", "--volume", "20 L", "--have", "6 L", "--have-share", "0.3")
    data = _json(capsys, *argv)
    assert data["have_used_L"] == pytest.approx(6.0)
    assert data["have_used_L"] + data["alcohol_L"] + data["water_L"] - data["shrink_L"] == pytest.approx(20.0)
    assert data["alcohol_share"] == pytest.approx(0.5)
    weak = _json(capsys, "--alcohol-share", "0.5", "--volume", "2 L", "--have", "6 L", "--have-share", "0.3")
    assert weak["have_left_L"] == pytest.approx(6.0 - weak["have_used_L"])
    assert weak["water_L"] == 0.0


def test_rounding_by_scale_gives_whole_steps(capsys: pytest.CaptureFixture[str]) -> None:
    data = _json(capsys, "--alcohol-share", "0.4", "--volume", "3 L", "--round-scale", "50 g")
    assert [round(pour["mass_kg"] / 0.05, 6) % 1 for pour in data["pours"]] == [0, 0]
    assert data["alcohol_share"] != data["wanted_alcohol_share"] == 0.4


def test_a_measured_density_gives_the_strength_and_its_error(capsys: pytest.CaptureFixture[str]) -> None:
    data = _json(capsys, "--alcohol-share", "0.5", "--volume", "20 L", "--density", "0.9267 g/mL")
    assert data["measured"]["alcohol_share"] == pytest.approx(0.5, abs=1e-3)
    assert 0.005 < data["measured"]["error"] < 0.02


def test_a_premix_and_weather_are_understood(capsys: pytest.CaptureFixture[str]) -> None:
    weather = ("--night-low", "-3 degC", "--day-high", "25 degC", "--boot", "45 degC")
    data = _json(capsys, "--alcohol-share", "0.3", "--volume", "9 L", "--premix-share", "0.5", *weather)
    assert [pour["liquid"] for pour in data["pours"]] == ["bought premix", "water"]
    assert [one["code"] for one in data["weather"]["warnings"]] == ["frost", "vapour", "expansion"]


def test_the_table_reads_at_80_columns_and_cautions_go_to_stderr(capsys: pytest.CaptureFixture[str]) -> None:
    argv = ("--alcohol-share", "0.4", "--volume", "20 L", "--have", "6 L", "--have-share", "0.3", "--round", "0.5 L")
    assert main(["blend", *argv, "--density", "940 kg/m3", "--day-high", "31 degC"]) == 0
    written = capsys.readouterr()
    assert max(map(len, written.out.splitlines())) <= 80
    assert "by volume of the parts before mixing, at 20 degC" in " ".join(written.out.split())
    assert "was wanted" in written.out
    assert "Measured 940.0 kg/m3" in written.out
    assert "DANGER: Methanol" in written.err


def test_every_fault_is_named_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    lines = _refused(capsys, "--alcohol-share", "50", "--volume", "20", "--temperature", "3 bar")
    assert lines[0].startswith("--volume = 20: no unit; write a volume")
    assert lines[1].startswith("--temperature = 3 bar: 'bar' is not a unit of temperature")
    assert lines[2] == "--alcohol-share = 50: a share is 0 to 1, not a percentage; write 0.5"


@pytest.mark.parametrize(
    ("argv", "text"),
    [
        (["--volume", "0 L"], "--volume = 0 L: give an amount above zero"),
        (["--volume", "20 L", "--have", "3 L"], "--have-share: missing; --have and --have-share come together"),
        (["--volume", "20 L", "--have-share", "0.3"], "--have: missing; --have and --have-share come together"),
        (["--volume", "20 L", "--have", "-3 L", "--have-share", "0.3"], "--have = -3 L: give zero or more"),
        (["--volume", "20 L", "--temperature", "60 degC"], "--temperature = 60 degC: the blend model holds from -20"),
        (["--volume", "20 L", "--density", "1.1 g/mL"], "--density = 1100 kg/m3: density"),
        (["--volume", "20 L", "--premix-share", "x"], "--premix-share = x: not a share; write a number from 0 to 1"),
        (["--volume", "20 L", "--premix-share", "-1"], "--premix-share = -1: a share is 0 to 1"),
        (["--volume", "20 L", "--round", "1 L", "--round-scale", "1 g"], "give one of --round and --round-scale"),
    ],
)
def test_a_misfit_is_refused_with_its_remedy(capsys: pytest.CaptureFixture[str], argv: list[str], text: str) -> None:
    (line,) = _refused(capsys, "--alcohol-share", "0.5", *argv)
    assert text in line
