"""What is asked of the comparison of tanks: the form as it first shows, and the question that its values make."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from dashboard.presenters.view import View
from dashboard.presenters.workspace import Workspace
from planner.car import Car
from planner.compare_tanks import LONG_GAP, Days, NamedTank
from planner.compare_tanks.asked import capacities_from_text, long_gap_from_text, space_from_text
from planner.compare_tanks.run import Question
from planner.errors import FillmarkError, UnitError
from planner.event import Event
from planner.files.car_file import read_car
from planner.files.event_file import read_day, read_event

USUAL_GAP = f"{LONG_GAP:g} min"


@dataclass(frozen=True, slots=True)
class Option:
    """Something to tick: its key in the workspace, its label, and whether it is ticked at first."""

    key: str
    label: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class Form:
    """The form's days and tanks to tick, and what stands in its other fields, by name."""

    days: tuple[Option, ...]
    tanks: tuple[Option, ...]
    typed: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Asked:
    """A question, or the faults that stand in its way: by field, "days" for the ticks; and the values."""

    question: Question | None
    faults: Mapping[str, str]
    values: Mapping[str, Any] = field(default_factory=dict)


EMPTY: Mapping[str, Any] = {"sizes": "", "space": "", "gap": USUAL_GAP, "turn": False, "changes": False}


def form_of(view: View, values: Mapping[str, Any] | None = None) -> Form:
    """The days of the workspace and the tanks of its other cars.

    Ticked as asked last time in `values`; without those, the days of the chosen event's car.
    """
    own = _car_path(view.workspace, view.event)
    asked_days, asked_tanks = (values or {}).get("days"), (values or {}).get("tanks") or ()
    days = []
    for entry in view.workspace.events():
        usual = entry.key == view.event or (own is not None and _car_path(view.workspace, entry.key) == own)
        days.append(Option(entry.key, entry.label, usual if asked_days is None else entry.key in asked_days))
    others = [entry for entry in view.workspace.cars() if view.workspace.path(entry.key).resolve() != own]
    tanks = tuple(Option(entry.key, f"the tank of {entry.name}", entry.key in asked_tanks) for entry in others)
    return Form(tuple(days), tanks, {name: (values or EMPTY).get(name) or usual for name, usual in EMPTY.items()})


def _car_path(workspace: Workspace, key: str | None) -> Any:
    """The car's file of an event, or None where either cannot be read."""
    if key is None:
        return None
    try:
        return read_event(workspace.path(key)).car_path.resolve()
    except FillmarkError:
        return None


def asked(workspace: Workspace, values: Mapping[str, Any], first: str | None = None) -> Asked:
    """The question of a form's values: days and tanks (keys), sizes, space and gap (text), turn and changes.

    first: the event whose car is the one to buy for, where it is among the days.
    """
    faults: dict[str, str] = {}
    keys = sorted(values.get("days") or [], key=lambda key: key != first)
    days = list(_days(workspace, keys, faults))
    tanks = tuple(_tanks(workspace, values.get("tanks") or [], faults))
    sizes = _read(capacities_from_text, values.get("sizes") or "", "sizes", faults=faults) or ()
    gap = _read(long_gap_from_text, values.get("gap") or USUAL_GAP, "gap", faults=faults)
    space_text = (values.get("space") or "").strip()
    space = _read(space_from_text, space_text, "space", faults=faults) if space_text else None
    if not keys:
        faults["days"] = "Choose at least one day."
    if faults:
        return Asked(None, faults)
    over = Days(tuple(days), gap, space, bool(values.get("turn")))
    return Asked(Question(over, sizes, tanks, bool(values.get("changes"))), {}, dict(values))


def _read(reader: Callable[[str], Any], text: str, name: str, *, faults: dict[str, str]) -> Any:
    try:
        return reader(text)
    except UnitError as reason:
        faults[name] = str(reason)
        return None


def _days(workspace: Workspace, keys: list[str], faults: dict[str, str]) -> Iterator[tuple[Event, Car]]:
    for key in keys:
        try:
            yield read_day(workspace.path(key))
        except FillmarkError as reason:
            faults["days"] = f"{key} cannot be used: {workspace.sentences(reason)[0]}"


def _tanks(workspace: Workspace, keys: list[str], faults: dict[str, str]) -> Iterator[NamedTank]:
    for key in keys:
        try:
            car = read_car(workspace.path(key))
            yield NamedTank(car.name, car.tank)
        except FillmarkError as reason:
            faults["tanks"] = f"{key} cannot be used: {workspace.sentences(reason)[0]}"
