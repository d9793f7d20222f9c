"""Names may hold square brackets, which mark styles in the library that prints the tables."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.cli.main import main

DEMO = Path(__file__).resolve().parents[2] / "events_demo"
NAME = "Pickle [/b] [s]"


@pytest.mark.parametrize("command", ["flow", "slosh"])
def test_a_car_with_brackets_in_its_name(command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    car = tmp_path / "car.toml"
    car.write_text((DEMO / "cars" / "goose.toml").read_text().replace('name = "', f'name = "{NAME} ', 1))
    assert main([command, str(car)]) == 0
    assert (NAME in " ".join(capsys.readouterr().out.split())) == (command == "flow")


def test_an_event_with_brackets_in_its_names(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (DEMO / "events" / "teapot-ring-open-day.toml").read_text().replace("../", f"{DEMO}/")
    event = tmp_path / "day.toml"
    event.write_text(text.replace("Session 1", NAME))
    assert main(["plan", str(event)]) == 0
    assert NAME in " ".join(capsys.readouterr().out.split())
