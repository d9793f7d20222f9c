"""`fillmark slosh`: the keys that scripts rely on, notices, exit codes, and a table of 80 columns."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from planner.cli.main import main
from planner.use.washing import FORCE_RANGE

ROOT = Path(__file__).resolve().parents[2]
CAR = ROOT / "events_demo" / "cars" / "teapot.toml"
LOG = ROOT / "events_demo" / "logs" / "teapot-ring-1.csv"
SHARED = ROOT / ".." / "shared" / "data"
KEYS = (
    "fill_share level_L uncovered_share uncovered_flowing_share longest_uncovered_s first_mode_Hz moving_mass_kg "
    "mount_force_N"
)


def printed(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[dict, str]:
    """The JSON that a slosh command prints, and what it says beside it."""
    assert main(["slosh", *map(str, words), "--json"]) == 0
    captured = capsys.readouterr()
    return json.loads(captured.out), captured.err


def written(folder: Path, columns: dict[str, np.ndarray]) -> Path:
    """A recording with these columns."""
    path = folder / "made.csv"
    rows = np.column_stack(list(columns.values()))
    np.savetxt(path, rows, delimiter=",", header=",".join(columns), comments="", fmt="%.4f")
    return path


def test_every_level_has_the_keys_that_scripts_rely_on(capsys: pytest.CaptureFixture[str]) -> None:
    result, _ = printed(capsys, CAR, "--log", LOG)
    assert result["levels"]
    for row in result["levels"]:
        assert set(KEYS.split()) <= set(row)
        assert 0 < row["fill_share"] < 1
        assert row["level_L"] == pytest.approx(row["fill_share"] * result["tank_capacity_L"], abs=2e-3)
        assert 0 <= row["uncovered_flowing_share"] <= row["uncovered_share"] <= 1
        assert row["mount_force_high_N"] == pytest.approx(FORCE_RANGE * row["mount_force_N"], abs=0.2)
        assert row["starving"] in ("under 1 %", "1 to 10 %", "over 10 %")
        assert 0 < row["moving_mass_kg"] * 9.80665 < row["weight_N"]
    assert not result["assumed"]
    shares = [row["fill_share"] for row in result["levels"]]
    assert shares == sorted(shares)


def test_no_level_above_the_floor_has_a_starving_spell(capsys: pytest.CaptureFixture[str]) -> None:
    result, _ = printed(capsys, CAR, "--log", LOG)
    above = [row for row in result["levels"] if row["level_L"] > result["unusable_slosh_L"]]
    assert above
    assert not any(row["starving_spells"] or row["still"]["starving_spells"] for row in above)
    below = [row for row in result["levels"] if row["level_L"] <= result["unusable_slosh_L"]]
    assert any(row["starving_spells"] for row in below)
    assert result["unusable_level_L"] <= result["unusable_still_L"] <= result["unusable_slosh_L"]


def test_without_a_log_the_assumption_is_stated(capsys: pytest.CaptureFixture[str]) -> None:
    lap, said = printed(capsys, CAR)
    assert lap["assumed"]
    assert "NOTICE: The cornering is unknown, so 1.1 g to both sides is assumed" in said
    assert any("is assumed" in notice for notice in lap["notices"])
    run, said = printed(capsys, CAR, "--per", "run")
    assert "1 g to both sides is assumed" in said
    assert run["unusable_slosh_L"] < lap["unusable_slosh_L"]


def test_several_logs_count_together(capsys: pytest.CaptureFixture[str]) -> None:
    logs = sorted(LOG.parent.glob("teapot-ring-*.csv"))[:2]
    alone = [printed(capsys, CAR, "--log", log)[0]["unusable_slosh_L"] for log in logs]
    both, _ = printed(capsys, CAR, "--log", logs[0], "--log", logs[1])
    assert both["unusable_slosh_L"] == pytest.approx(max(alone), abs=0.02)


def test_a_recording_without_pressure_is_taken_as_flowing_all_the_time(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    time = np.arange(0, 30, 0.05)
    wave = 0.8 * np.sin(2 * np.pi * 0.3 * time)
    log = written(tmp_path, {"time_s": time, "lateral_g": wave, "longitudinal_g": 0.1 * wave})
    result, said = printed(capsys, CAR, "--log", log)
    assert "made.csv holds no pressure, so fluid is taken to flow all the time." in said
    for row in result["levels"]:
        assert row["uncovered_flowing_share"] == row["uncovered_share"]


def test_a_recording_of_boost_alone_falls_back_on_the_assumption(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    time = np.arange(0, 30, 0.05)
    log = written(tmp_path, {"time_s": time, "boost_kPa": 60 + 50 * np.sin(time)})
    result, said = printed(capsys, CAR, "--log", log)
    assert result["assumed"]
    assert "is assumed" in said


def test_a_track_recording_of_acceleration_alone(capsys: pytest.CaptureFixture[str]) -> None:
    """No open recording holds both pressure and acceleration: this one has no pressure, so flow is assumed."""
    log = SHARED / "track-acceleration-100hz.csv"
    if not log.exists():
        pytest.skip("the shared recordings are not beside this checkout")
    result, said = printed(capsys, CAR, "--log", log)
    assert "taken to flow all the time" in said
    assert result["unusable_level_L"] < result["unusable_slosh_L"] < result["tank_capacity_L"]
    assert 0.02 < result["excitation"]["strongest_lateral_Hz"] < 1.0


def test_the_table_fits_eighty_columns_and_names_its_limits(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["slosh", str(CAR), "--log", str(LOG)]) == 0
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 80
    for word in ("bare of", "mounts N", "borderline", "washing", "without splashing", "dangerous cases were missed"):
        assert word in " ".join(out.split())


def test_a_pickup_that_no_fill_covers_is_said_so(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    text = CAR.read_text(encoding="utf-8").replace(
        'ahead = "-60 mm", left = "0 mm"', 'ahead = "99 mm", left = "164 mm"'
    )
    path = tmp_path / "corner.toml"
    path.write_text(text.replace('height = "8 mm"', 'height = "100 mm"'), encoding="utf-8")
    _, said = printed(capsys, path)
    assert "No fill within the limit keeps the pickup covered" in said


def test_bad_input_ends_with_two_and_a_line_that_says_what_would_be_right(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert main(["slosh", str(CAR), "--log", str(tmp_path / "absent.csv")]) == 2
    assert "absent.csv" in capsys.readouterr().err
