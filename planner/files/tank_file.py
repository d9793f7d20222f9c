"""A tank alone: from a file that holds [tank] and nothing else, or from a whole car's."""

from __future__ import annotations

from pathlib import Path

from planner.car import Tank
from planner.files.car_file import parse_car, parse_tank
from planner.files.toml_text import parsed, read_text


def read_tank(path: Path | str) -> Tank:
    """The tank of a file. Raises BadInput with every fault of the file."""
    text = read_text(Path(path), str(path))
    document = parsed(text, str(path), "car")
    alone = "tank" in document and not {"pump", "nozzle", "controller", "blend"} & document.keys()
    return parse_tank(document, str(path)) if alone else parse_car(text, str(path)).tank
