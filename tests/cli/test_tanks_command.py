"""`fillmark tanks`: the keys that scripts rely on, faults, files written, exit codes, a table of 80 columns."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planner.cli.main import main
from tests.dashboard.days import CAR as CAR_TEXT
from tests.dashboard.days import write_workspace

TANK = """[tank]
shape = "upright cylinder"
diameter = "240 mm"
height = "300 mm"
pickup = { height = "8 mm" }
"""


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep results beside the test's files."""
    monkeypatch.setattr("planner.cli.tanks_command.usual_folder", lambda: tmp_path / "kept")


@pytest.fixture
def event(tmp_path: Path) -> Path:
    """An event of four sessions."""
    return write_workspace(tmp_path)


def printed(capsys: pytest.CaptureFixture[str], *words: object, code: int = 0) -> dict:
    """The JSON that the command prints."""
    assert main(["tanks", *map(str, words), "--json"]) == code
    return json.loads(capsys.readouterr().out)


def test_sizes_and_files_side_by_side(capsys: pytest.CaptureFixture[str], event: Path, tmp_path: Path) -> None:
    (tmp_path / "drum.toml").write_text(TANK, encoding="utf-8")
    car = tmp_path / "whole.toml"
    car.write_text(CAR_TEXT.replace('"320 mm"', '"400 mm"'), encoding="utf-8")
    told = printed(capsys, event, "--capacity", "2 gal", "12 L", "--tank", tmp_path / "drum.toml", car)
    sizes = {tank["name"]: tank["capacity_L"] for tank in told["tanks"]}
    assert sizes == pytest.approx(
        {"today's 8.06 L": 8.064, "7.57 L": 7.571, "12 L": 12.0, "drum": 13.572, "whole": 10.08}, abs=1e-3
    )
    assert told["smallest_without_stops_L"] > told["smallest_feasible_L"] > 0
    assert told["changes"] is None


def test_a_second_run_says_the_same_without_planning(
    capsys: pytest.CaptureFixture[str], event: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = printed(capsys, event, "--capacity", "6 L")
    monkeypatch.setattr("planner.compare_tanks.pool.work_off", lambda *_: pytest.fail("worked anew"))
    assert printed(capsys, event, "--capacity", "6 L") == first


def test_the_space_and_turning(capsys: pytest.CaptureFixture[str], event: Path) -> None:
    words = [event, "--capacity", "5 L", "--space", "200 mm x 0.4 m x 6 in"]
    assert [tank["fits"] for tank in printed(capsys, *words)["tanks"]] == [False, False]
    turned = printed(capsys, *words, "--turn")["tanks"]
    assert [tank["turned"] for tank in turned] == [True, True]
    assert turned[1]["length_mm"] == 180.0


def test_files_are_written(capsys: pytest.CaptureFixture[str], event: Path, tmp_path: Path) -> None:
    paths = [tmp_path / name for name in ("t.csv", "t.svg", "t.png")]
    told = printed(capsys, event, "--capacity", "5 L", "--csv", paths[0], "--svg", paths[1], "--png", paths[2])
    assert len(paths[0].read_text(encoding="utf-8").splitlines()) == 1 + len(told["tanks"])
    assert paths[1].read_text(encoding="utf-8").startswith("<svg ")
    assert paths[2].read_bytes().startswith(b"\x89PNG")


def test_the_text_fits_eighty_columns_and_tells_all(capsys: pytest.CaptureFixture[str], event: Path) -> None:
    assert main(["tanks", str(event), "--changes", "--gap", "30 min", "--fresh"]) == 0
    captured = capsys.readouterr()
    assert max(map(len, captured.out.splitlines())) <= 80
    said = " ".join(captured.out.split())
    for word in ("worth considering", "gaps over 30 min", "than with today's 8.06 L, for", "nozzles 20% larger"):
        assert word in said
    assert "…" not in said


def test_no_tank_for_all_days_ends_with_three(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    event = write_workspace(tmp_path, runs=400)
    told = printed(capsys, event, "--capacity", "5 L", code=3)
    assert told["worth"] == []
    assert all(day["breaks_session"] for tank in told["tanks"] for day in tank["events"])


def test_every_fault_is_told_at_once(capsys: pytest.CaptureFixture[str], event: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text(TANK.replace('"240 mm"', '"240"').replace('height = "300', 'hight = "300'), encoding="utf-8")
    words = ["tanks", event, tmp_path / "none.toml", "--capacity", "5", "900 L", "--tank", bad, "--space", "1 m x 2 m"]
    assert main([*map(str, words), "--gap", "later"]) == 2
    lines = capsys.readouterr().err.splitlines()
    for part in (
        "--capacity = 5: no unit",
        "--capacity = 900 L: a tank holds 0.05 L to 500 L",
        "--space = 1 m x 2 m: write length x width x height",
        "--gap = later",
        "none.toml: no such file",
        "bad.toml: tank.diameter",
        "did you mean height?",
    ):
        assert any(part in line for line in lines), part


def test_an_interrupt_ends_cleanly(
    capsys: pytest.CaptureFixture[str], event: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(*_: object) -> list:
        raise KeyboardInterrupt

    monkeypatch.setattr("planner.compare_tanks.pool.work_off", interrupted)
    assert main(["tanks", str(event), "--capacity", "5 L"]) == 130
    captured = capsys.readouterr()
    assert captured.err.splitlines()[-1] == "stopped"
    assert captured.out == ""
