"""`fillmark pack` on the demo days: list, papers, ticks, and refusals in words."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import pytest
from icalendar import Calendar

import events_demo
from planner.cli.main import main

SPRINT, RING, HOUR = "goose-bank-sprint.toml", "teapot-ring-open-day.toml", "gherkin-hour.toml"


@pytest.fixture
def events(tmp_path: Path) -> Path:
    """A private copy of the demo days."""
    home = Path(events_demo.__file__).parent
    shutil.copytree(home, tmp_path / "demo", ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    return tmp_path / "demo" / "events"


def _json(capsys: pytest.CaptureFixture[str], *argv: object) -> dict:
    assert main(["pack", *map(str, argv), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_a_weekend_of_two_events_is_one_list(events: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = _json(capsys, events / SPRINT, events / RING, "--profile", "europe-private", "--day-high", "34 degC")
    assert data["events"] == ["Goose Bank two-day sprint", "Teapot Ring open day"]
    fluids = [item for item in data["items"] if item["volume_L"] is not None]
    assert sum(item["volume_L"] for item in fluids) == pytest.approx(sum(one["blend_L"] for one in data["blends"]))
    assert sum(item["mass_kg"] for item in fluids) == pytest.approx(data["fluid_mass_kg"])
    assert data["carriage"]["vehicle_L"] == 240
    assert data["weather"][0]["level"] == "warning"
    assert data["cautions"]["before_mixing"]


def test_the_list_is_the_plans_bring(events: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(events / RING), "--json"]) == 0
    planned = json.loads(capsys.readouterr().out)["bring"]
    (blend,) = _json(capsys, events / RING)["blends"]
    for key in ("blend_L", "alcohol_L", "water_L", "alcohol_kg", "water_kg", "mass_kg"):
        assert blend[key] == pytest.approx(planned[key], rel=1e-9)


def test_ticks_stay_until_they_are_taken_away(events: Path, capsys: pytest.CaptureFixture[str]) -> None:
    event = events / RING
    assert main(["pack", str(event), "--tick", "tool/funnel", "--tick", "tool/jug"]) == 0
    capsys.readouterr()
    ticked = [item["id"] for item in _json(capsys, event)["items"] if item["ticked"]]
    assert ticked == ["tool/funnel", "tool/jug"]
    data = _json(capsys, event, "--untick", "tool/jug")
    assert data["open"] == len(data["items"]) - 1
    data = _json(capsys, event, "--fresh")
    assert data["open"] == len(data["items"])


def test_every_paper_is_written(events: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = {name: tmp_path / f"out.{name}" for name in ("html", "labels", "dipstick", "csv", "ics")}
    options = [word for name, path in files.items() for word in (f"--{name}", str(path))]
    assert main(["pack", str(events / RING), *options, "--paper", "letter", "--label-sheet", "letter-10"]) == 0
    written = capsys.readouterr()
    assert all(f"wrote {path}" in written.err for path in files.values())
    assert "size: 215.9mm 279.4mm" in files["html"].read_text(encoding="utf-8")
    assert "NOT A DRINK" in files["labels"].read_text(encoding="utf-8")
    assert "data-control" in files["dipstick"].read_text(encoding="utf-8")
    assert len(list(csv.DictReader(files["csv"].open(newline="", encoding="utf-8")))) > 10
    summaries = [str(entry["SUMMARY"]) for entry in Calendar.from_ical(files["ics"].read_bytes()).events]
    assert sum(one.startswith("Session") for one in summaries) == 7
    assert sum(one.startswith("Fill to") for one in summaries) == len(summaries) - 7 >= 1


def test_each_tank_gets_its_strip(events: Path, tmp_path: Path) -> None:
    path = tmp_path / "strips.html"
    assert main(["pack", str(events / SPRINT), str(events / RING), "--dipstick", str(path)]) == 0
    assert path.read_text(encoding="utf-8").count("<svg") == 2


def test_the_list_reads_at_80_columns_and_cautions_go_to_stderr(
    events: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["pack", str(events / SPRINT), "--tick", "tool/funnel", "--mix-there", "--boot", "45 degC"]) == 0
    written = capsys.readouterr()
    assert max(map(len, written.out.splitlines())) <= 80
    assert "[x] Funnel" in written.out
    assert "[ ] Measuring jug" in written.out
    assert "Mixing can" in written.out
    assert "DANGER: Methanol" in written.err


def test_a_day_without_a_plan_has_no_list(events: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pack", str(events / HOUR)]) == 3
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(
    ("argv", "text"),
    [
        (["--profile", "moon"], "profile = moon: no such profile; take one of none, us-trade"),
        (["--paper", "a3"], "--paper = a3: no such paper here"),
        (["--label-sheet", "round"], "--label-sheet = round: no such label sheet"),
        (["--vehicles", "0"], "--vehicles = 0: give one vehicle or more"),
        (["--mixed-on", "May"], "--mixed-on = May: not a date; write one such as 2026-05-15"),
        (["--tick", "moon"], "--tick = moon: no such line; --json shows the ids"),
        (["--untick", "moon"], "--untick = moon: no such line; --json shows the ids"),
        (["--night-low", "9"], "--night-low = 9: no unit"),
        (["--night-low", "9 degC", "--day-high", "3 degC"], "the day's high, 3 degC, lies below the night's low"),
        (["--csv", "no/such/folder.csv"], "--csv = no/such/folder.csv: cannot be written"),
    ],
)
def test_a_misfit_is_refused_with_its_remedy(
    events: Path, capsys: pytest.CaptureFixture[str], argv: list[str], text: str
) -> None:
    assert main(["pack", str(events / RING), *argv]) == 2
    assert text in capsys.readouterr().err


def test_settings_that_are_wrong_together_are_named_together(events: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pack", str(events / RING), "--mixed-on", "May", "--vehicles", "0", "--boot", "hot"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 3
