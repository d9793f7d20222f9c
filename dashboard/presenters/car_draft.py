"""A car as drafted on its page, and what follows from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dashboard.presenters.car_form import CAR_FIELDS, CAR_GRIDS, car_form, fitted
from dashboard.presenters.file_page import FilePage
from dashboard.presenters.form import drafted, faults_by_cell
from planner.car import Car
from planner.errors import BadInput, Fault
from planner.files.car_file import parse_car
from planner.files.event_file import read_event


@dataclass(frozen=True, slots=True)
class DraftedCar:
    """The car of a draft or its faults, and those by field and by cell."""

    car: Car | None
    faults: tuple[Fault, ...]
    fields: Mapping[str, str]
    cells: Mapping[str, Mapping[str, str]]


def drafted_car(path: Path, draft: Mapping[str, Any] | None, form: Mapping[str, Any]) -> DraftedCar:
    """What becomes of a car with a draft."""
    made = drafted(path, fitted(draft or {}, form), CAR_FIELDS, CAR_GRIDS)
    faults, car = made.faults, None
    if not faults:
        try:
            car = parse_car(made.text, path.name)
        except BadInput as reason:
            faults = reason.faults
    fields, cells = faults_by_cell(faults, CAR_GRIDS)
    return DraftedCar(car, faults, fields, cells)


def _folded(draft: Mapping[str, Any], form: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    return fitted(draft, form), {}


CAR_FILE = FilePage("car", CAR_FIELDS, CAR_GRIDS, car_form, _folded)


def car_of_event(path: Path) -> Path | None:
    """The car's file of an event, or None where the event cannot be read."""
    try:
        return read_event(path).car_path.resolve()
    except BadInput:
        return None
