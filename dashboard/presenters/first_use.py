"""A first, rough plan from three questions: the car, the kind of day, and how long it is at boost.

What is not asked is assumed, and every assumption is named, on the page and in the files.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from dashboard.presenters.car_answer import power_of
from dashboard.presenters.car_curve import petrol_flow
from planner.car import Car
from planner.errors import BadInput, Fault, FillmarkError, UnitError
from planner.files.car_file import parse_car
from planner.files.event_file import parse_event
from planner.files.saving import create
from planner.files.workspace import Workspace
from planner.units import Dimension, quantity
from planner.use.flow_curve import flow_curve

BAR, ML_MIN = 1e5, 1e-6 / 60
PETROL_SHARE = 0.15
BOX = (0.30, 0.22, 0.15)  # proportions of a tank of which only the volume is known
ASSUMED = "  # assumed"
CAR = """# Rough: made from three questions; what is marked was assumed.
name = {name}

[blend]
alcohol_share = 0.5  # assumed

[tank]
shape = "box"  # assumed
length = "{length} mm"  # assumed, from the volume
width = "{width} mm"  # assumed, from the volume
height = "{height} mm"  # assumed, from the volume
pickup = {{ ahead = "-{behind} mm", height = "8 mm" }}  # assumed

[pump]
curve = [["1.9 L/min", "0 bar"], ["1.4 L/min", "6 bar"], ["0.8 L/min", "11 bar"], ["0 L/min", "14 bar"]]  # assumed

[line]
length = "4.6 m"  # assumed

[[nozzle]]
rated_flow = "{nozzle}"{nozzle_note}
rated_pressure = "100 psi"  # assumed

[controller]
kind = "ramp"  # assumed
start = "{start} bar"  # assumed
full = "{full} bar"  # assumed
minimum_speed = 0.3  # assumed
"""
EVENT = """# Rough: made from three questions.
name = {name}
date = {date}
timezone = {timezone}
car = {car}

[stock]
containers = ["10 L", "5 L"]  # assumed

[[course]]
name = "rough guess"
per = "{per}"
time_at_boost = [["{boost} bar", "{seconds} s"]]
"""
SESSION = """
[[session]]
name = "Session {number}"
start = "{start}"
length = "{length} min"
course = "rough guess"
runs = {runs}
"""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of day: its sessions' starts, their length [min], runs each, and seconds at boost that are usual."""

    name: str
    per: str
    starts: tuple[str, ...]
    length: int
    runs: int
    at_boost: str


# Days as they are usual: common practice, no source.
KINDS = {
    "track": Kind("Track day", "minute", ("09:00", "10:15", "11:30", "13:30", "14:45", "16:00"), 20, 15, "20 s"),
    "autocross": Kind(
        "Autocross",
        "run",
        ("09:30", "09:44", "09:58", "11:30", "11:44", "11:58", "14:00", "14:14", "14:28"),
        3,
        1,
        "12 s",
    ),
    "sprint": Kind("Sprint or hill climb", "run", ("09:30", "10:45", "12:00", "14:00", "15:15", "16:30"), 8, 1, "25 s"),
    "attack": Kind("Time attack", "minute", ("09:30", "10:45", "12:00", "14:00", "15:15", "16:30"), 20, 20, "22 s"),
}


@dataclass(frozen=True, slots=True)
class Made:
    """The files that were written: keys of event and car within the workspace."""

    event: str
    car: str


def _asked(values: Mapping[str, str], key: str, label: str, dimension: Dimension) -> float:
    try:
        return quantity((values.get(key) or "").strip(), dimension)
    except UnitError as reason:
        raise BadInput([Fault("", label, values.get(key) or "", str(reason))]) from reason


def assumptions(values: Mapping[str, str]) -> list[tuple[str, str]]:
    """What is assumed beside the answers, as pairs of name and text."""
    kind = KINDS.get(values.get("kind") or "", KINDS["track"])
    sized = (
        "as you say" if (values.get("nozzle") or "").strip() else f"sized for {100 * PETROL_SHARE:.0f} % of the petrol"
    )
    return [
        ("Nozzle", f"one, before the throttle, {sized}"),
        ("Pump", "1.9 L/min free, 14 bar at most"),
        ("Controller", "ramp from 35 % to 85 % of the peak boost, 30 % speed at start"),
        ("Line", "4.6 m of 4.3 mm, no valve"),
        ("Blend", "half methanol, half water, 20 °C"),
        ("Tank", "a box; pickup 8 mm above the floor, to the rear"),
        ("Sessions", f"{len(kind.starts)} of {kind.length} min, from {kind.starts[0]}"),
        ("Refill", "before every session, 6 min and 2 L/min"),
        ("Cornering", "unknown: a cautious floor is taken"),
    ]


def rough_car(values: Mapping[str, str]) -> tuple[str, float]:
    """The text of the first question's car file, and its peak boost [Pa]. Raises BadInput with what to write."""
    boost = _asked(values, "boost", "Peak boost", "pressure")
    volume = _asked(values, "tank", "Tank", "volume")
    power = power_of(values.get("power"))
    if power is None:
        raise _refusal(values, "power", "Engine power", 'write a power such as "340 hp" or "250 kW"')
    if not 10e3 <= boost <= 500e3:
        raise _refusal(values, "boost", "Peak boost", "write a boost above outside air, from 0.1 to 5 bar")
    if not 0.2e-3 <= volume <= 200e-3:
        raise _refusal(values, "tank", "Tank", "write a volume from 0.2 L to 200 L")
    given = (values.get("nozzle") or "").strip()
    if given:
        _asked(values, "nozzle", "Nozzle", "flow")
    scale = (volume / (BOX[0] * BOX[1] * BOX[2])) ** (1 / 3)
    length, width = (round(side * scale * 1e3) for side in BOX[:2])
    filled = CAR.format(
        name=_quoted((values.get("name") or "").strip() or "My car"),
        length=length,
        width=width,
        height=round(volume * 1e9 / length / width, 1),
        behind=round(0.35 * length),
        start=round(0.35 * boost / BAR, 2),
        full=round(0.85 * boost / BAR, 2),
        nozzle=given or "300 mL/min",
        nozzle_note="" if given else ASSUMED,
    )
    if given:
        return filled, boost
    rating = _rating(parse_car(filled, "car.toml"), 0.85 * boost, PETROL_SHARE * petrol_flow(power))
    return filled.replace("300 mL/min", f"{rating} mL/min"), boost


def _quoted(text: str) -> str:
    return json.dumps(text[:80], ensure_ascii=False)


def _rating(car: Car, boost: float, wanted: float) -> int:
    """The nozzle's rating [mL/min], in tens, with which the car injects `wanted` [mL/min] at a boost [Pa gauge]."""
    rated = 300.0
    for _ in range(6):
        nozzle = replace(car.nozzles[0], rated_flow=rated * ML_MIN)
        flow = float(flow_curve(replace(car, nozzles=(nozzle,))).flow(np.array([boost]))[0]) / ML_MIN
        rated *= wanted / flow
    return max(round(rated / 10), 1) * 10


def rough_event(values: Mapping[str, str], car_file: str, boost: float) -> str:
    """The text of the other two questions' event file; `car_file` as the event names it. Raises BadInput."""
    kind = KINDS.get(values.get("kind") or "")
    if kind is None:
        raise _refusal(values, "kind", "Kind of day", "choose one from the list")
    seconds = _asked(values, "at_boost", "Time at boost", "time")
    longest = 60.0 if kind.per == "minute" else 600.0
    if not 0.1 <= seconds <= longest:
        raise _refusal(values, "at_boost", "Time at boost", f"write a time of 0.1 s at least and up to {longest:g} s")
    try:
        day = dt.date.fromisoformat((values.get("date") or "").strip())
    except ValueError:
        raise _refusal(values, "date", "Date", "write a date such as 2026-06-06") from None
    head = EVENT.format(
        name=_quoted(f"{kind.name}, rough"),
        date=day.isoformat(),
        timezone=_quoted((values.get("timezone") or "").strip()),
        car=_quoted(car_file),
        per=kind.per,
        boost=round(boost / BAR, 3),
        seconds=round(seconds, 1),
    )
    sessions = (
        SESSION.format(number=number, start=start, length=kind.length, runs=kind.runs)
        for number, start in enumerate(kind.starts, 1)
    )
    return head + "".join(sessions)


def _refusal(values: Mapping[str, str], key: str, label: str, remedy: str) -> BadInput:
    return BadInput([Fault("", label, values.get(key) or "", remedy)])


def _refuse_faulty(text: str, path: Path) -> None:
    """Raise BadInput for an event with faults other than that its car is not there yet."""
    try:
        parse_event(text, path)
    except BadInput as reason:
        own = [replace(fault, file=path.name) for fault in reason.faults if fault.key != "car"]
        if own:
            raise BadInput(own) from reason


def make_first_plan(folder: Path, values: Mapping[str, str]) -> Made:
    """Write the car and the event into the workspace. Raises FillmarkError; a car without its day is taken back."""
    files = Workspace(folder)
    car_text, boost = rough_car(values)
    car_key = files.free_path("cars", (values.get("name") or "").strip() or "my car", ".toml")
    event_key = files.free_path("events", f"{values.get('kind') or 'day'} rough", ".toml")
    event_text = rough_event(values, f"../{car_key}", boost)
    _refuse_faulty(event_text, folder / event_key)
    (folder / "events").mkdir(exist_ok=True)
    create(folder / car_key, car_text)
    try:
        create(folder / event_key, event_text)
    except FillmarkError:
        (folder / car_key).unlink()
        raise
    return Made(event_key, car_key)
