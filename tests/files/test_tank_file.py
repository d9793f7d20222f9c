"""A tank from a file of its own or from a car's; its faults name the file, the key and what would be right."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.errors import BadInput
from planner.files.car_file import read_car
from planner.files.tank_file import read_tank
from planner.physics.tank import Box

ROOT = Path(__file__).resolve().parents[2]
ALONE = """name = "flat one"

[tank]
shape = "box"
length = "400 mm"
width = "200 mm"
height = "100 mm"
pickup = { ahead = "-150 mm", height = "8 mm" }
"""


def written(folder: Path, text: str) -> Path:
    """A file of this text."""
    path = folder / "tank.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_tank_alone(tmp_path: Path) -> None:
    tank = read_tank(written(tmp_path, ALONE))
    assert tank.shape == Box(0.4, 0.2, 0.1)
    assert tank.pickup.ahead == pytest.approx(-0.15)


def test_a_whole_cars_tank() -> None:
    path = ROOT / "events_demo" / "cars" / "teapot.toml"
    assert read_tank(path) == read_car(path).tank


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"-150 mm"', '"-250 mm"', ("tank.pickup.ahead", "outside the tank")),
        ('"box"', '"bx"', ("tank.shape", 'did you mean "box"?')),
        ('width = "200 mm"\n', "", ("tank.width", "missing")),
        ('name = "flat one"', "colour = 3", ("colour", "no such key")),
    ],
)
def test_faults_name_the_key_and_the_remedy(old: str, new: str, words: tuple[str, ...], tmp_path: Path) -> None:
    path = written(tmp_path, ALONE.replace(old, new))
    with pytest.raises(BadInput) as reason:
        read_tank(path)
    for word in (str(path), *words):
        assert word in str(reason.value)


def test_a_file_without_a_tank_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"tank\.toml"):
        read_tank(written(tmp_path, 'name = "none"\n'))
