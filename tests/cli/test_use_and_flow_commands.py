"""`fillmark use` and `fillmark flow`: the keys that scripts rely on, totals, and sentences for bad options."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from planner.cli.main import main
from planner.files.car_file import read_car
from planner.use.flow_curve import flow_curve

DEMO = Path(__file__).resolve().parents[2] / "events_demo"
CAR = str(DEMO / "cars" / "goose.toml")
LOGS = [str(path) for path in sorted((DEMO / "logs").glob("goose-bank-*.csv"))]
USE_KEYS = "use_L siphon_L duration_s recorded_s gaps flowing_s largest_flow_mL_min largest_boost_kPa columns runs"
FLOW_KEYS = "boost_kPa flow_mL_min pump_speed line_pressure_kPa"


def test_use_has_every_key_and_its_runs_add_up(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["use", CAR, *LOGS, "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert set(USE_KEYS.split()) <= set(said)
    assert len(said["runs"]) == len(LOGS)
    assert sum(run["use_L"] for run in said["runs"]) == pytest.approx(said["use_L"], rel=1e-12)
    assert said["recorded_s"] <= said["duration_s"]
    assert {column["meaning"] for column in said["columns"]} >= {"time", "boost"}


def test_use_is_the_integral_of_flow_by_the_trapezoid_rule(capsys: pytest.CaptureFixture[str]) -> None:
    # Another method: the logs upsampled a hundredfold, flow looked up, numpy's trapezoid.
    assert main(["use", CAR, LOGS[0], "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    rows = np.genfromtxt(LOGS[0], delimiter=",", names=True)
    fine = np.linspace(rows["time_s"][0], rows["time_s"][-1], 100 * rows.size)
    boost = np.interp(fine, rows["time_s"], rows["boost_kPa"]) * 1e3
    litres = np.trapezoid(flow_curve(read_car(CAR)).flow(boost), fine) * 1e3
    assert said["use_L"] == pytest.approx(litres, rel=1e-4)


def test_what_is_said_of_several_recordings_is_said_once_and_the_largest_run_is_put_in_its_place(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["use", CAR, *LOGS]) == 0
    told = capsys.readouterr()
    signs = [line for line in told.err.splitlines() if "lateral_g" in line]
    assert len(signs) == 1
    assert signs[0].startswith(f"NOTICE: {LOGS[0]} and 2 more: ")
    # 0.05^(1/3) = 0.368 (Wilks)
    assert "The largest of these 3 is more than 37% of runs use" in " ".join(told.out.split())
    assert main(["use", CAR, LOGS[0]]) == 0
    assert "The largest" not in capsys.readouterr().out


def test_flow_has_every_key_and_one_length(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["flow", CAR, "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert {len(said[key]) for key in FLOW_KEYS.split()} == {len(said["boost_kPa"])}
    assert max(said["flow_mL_min"]) == pytest.approx(said["largest_flow_mL_min"], rel=0.02)
    assert said["boost_kPa"] == sorted(said["boost_kPa"])


@pytest.mark.parametrize(
    ("options", "fragment"),
    [
        (["--column", "boost"], "write --column MEANING=NAME"),
        (["--ambient", "98"], "no unit"),
        (["--ambient", "98 L"], "not a unit of pressure"),
        (["--rate", "-5"], "write the rows a second"),
        (["--split-stops", "20 psi"], "not a unit of time"),
    ],
)
def test_a_bad_option_exits_2_with_its_sentence(
    options: list[str], fragment: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["use", CAR, LOGS[0], *options]) == 2
    said = capsys.readouterr()
    assert fragment in said.err
    assert said.out == ""


def test_a_missing_log_exits_2_with_its_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["use", CAR, "nowhere.csv"]) == 2
    assert "nowhere.csv" in capsys.readouterr().err


def test_tables_of_both_commands_fit_80_columns(capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in (["flow", CAR], ["use", CAR, LOGS[0]]):
        assert main(arguments) == 0
        assert max(map(len, capsys.readouterr().out.splitlines())) <= 80
