"""The tank of an event's car on one of its courses: what the slosh model says of it, in the units shown."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dashboard.presenters.display import Display, share
from dashboard.presenters.tank_side import level_mm
from dashboard.presenters.whence import Whence
from planner.car import Car
from planner.day.slosh import slosh_json
from planner.day.slosh_picture import shown_traces
from planner.driving.course import course_traces
from planner.driving.trace import Trace
from planner.errors import BadInput, Fault
from planner.event import Course, Event
from planner.files.event_file import read_day, read_event
from planner.files.toml_text import short

Part = str | Whence
FLOOR_SOURCE = "Still surface and first sloshing mode, NASA SP-106 and Dodge 2000; see the page Method."
BAND_SOURCE = "Moment of the thrown weight in a 1 g corner, 84 % of its largest or more (a choice of this program)."


@dataclass(frozen=True, eq=False)
class TankRisk:
    """`slosh` is what `fillmark slosh --json` prints for the course; traces are all of the course's."""

    event: Event
    car: Car
    course: Course
    traces: tuple[Trace, ...]
    slosh: Mapping[str, Any]

    @property
    def shown(self) -> tuple[Trace, ...]:
        """The recordings that tell of cornering, or the pattern that stands in."""
        return shown_traces(self.car, self.traces, self.course.per)

    @property
    def rows(self) -> Sequence[Mapping[str, Any]]:
        """The levels of `slosh`, from low to high."""
        rows: Sequence[Mapping[str, Any]] = self.slosh["levels"]
        return rows


def tank_risk(path: Path, course: str | None = None) -> TankRisk:
    """The tank of an event file on the course of that name, or without one on its first.

    Raises BadInput or OutsideModel.
    """
    event, car = read_day(path)
    names = [one.name for one in event.courses]
    if course and course not in names:
        raise BadInput(
            [Fault("", "course", short(course), f"no course of that name; the event has: {', '.join(names)}")]
        )
    chosen = event.courses[names.index(course) if course else 0]
    try:
        traces = tuple(course_traces(chosen))
    except OSError as reason:
        remedy = f"cannot be read ({reason.strerror}); put the file back or take it out of the course"
        raise BadInput([Fault(str(reason.filename or "a recording"), "", "", remedy)]) from reason
    return TankRisk(event, car, chosen, traces, slosh_json(car, traces, chosen.per))


def course_choices(path: Path) -> list[dict[str, str]]:
    """The courses of an event file for a chooser; none where the file cannot be read."""
    try:
        return [{"value": course.name, "label": course.name} for course in read_event(path).courses]
    except BadInput:
        return []


def _up(litres: float, display: Display) -> str:
    """A volume [L] that must remain, rounded up."""
    return display.text(litres, "volume", math.ceil)


def floor_whence(risk: TankRisk, display: Display) -> Whence:
    """The level from which starving threatens, and where it comes from."""
    slosh = risk.slosh
    inputs = (
        ("both surfaces", display.volume(slosh["unusable_slosh_L"], more=2)),
        ("still surface alone", display.volume(slosh["unusable_still_L"], more=2)),
        ("level ground", display.volume(slosh["unusable_level_L"], more=2)),
        ("fluid wanted over the pickup", display.length(slosh["pickup_margin_mm"])),
        ("damping", f"{slosh['damping']:g}"),
    )
    formula = "lowest level above which no starving spell of 0.1 s occurs in any recording"
    text = _up(slosh["unusable_slosh_L"], display)
    return Whence(text, "Starving below this level", inputs, formula, FLOOR_SOURCE)


def _band(risk: TankRisk, display: Display, end: int) -> Whence:
    litres = risk.slosh["washing_band_L"][end]
    inputs = (("share of the tank", share(litres / risk.slosh["tank_capacity_L"])),)
    formula = "weight thrown aside times how far it is thrown"
    return Whence(display.volume(litres), "Where the fluid washes hardest", inputs, formula, BAND_SOURCE)


def why_words(slosh: Mapping[str, Any]) -> str:
    """Why it is risky below the floor, as the end of a sentence."""
    driving = slosh["driving"]
    if slosh["cause"] == "sloshing":
        return f"the sloshing fluid bares the pickup while it flows, tilted as by {driving} held for long"
    if slosh["cause"] == "tilted surface":
        return f"the fluid, tilted by {driving}, bares the pickup while it flows"
    return "that is what the pickup leaves on level ground; no acceleration moves the fluid off it while it flows"


def answer_parts(risk: TankRisk, display: Display) -> list[Part]:
    """From which level it is risky on the course, and why; starving and washing by their names."""
    slosh = risk.slosh
    washing: list[Part] = [" Washing is hardest from ", _band(risk, display, 0), " to ", _band(risk, display, 1), "."]
    if slosh["cause"] == "no flow":
        return [f"On {risk.course.name} no fluid flows, so nothing starves.", *washing]
    if slosh["unusable_slosh_L"] >= slosh["fill_limit_L"]:
        return [
            f"On {risk.course.name} starving threatens at every fill: even full, {why_words(slosh)}. ",
            "Move the pickup, or damp the tank.",
            *washing,
        ]
    of_tank = share(slosh["unusable_slosh_L"] / slosh["tank_capacity_L"])
    floor = floor_whence(risk, display)
    return [
        f"On {risk.course.name}, starving threatens below ",
        floor,
        f" ({of_tank} full): {why_words(slosh)}.",
        *washing,
    ]


def _stretches(rows: Sequence[Mapping[str, Any]], key: str) -> list[tuple[int, int]]:
    """First and last place of each run of rows in which the key holds."""
    flags = [bool(row[key]) for row in rows]
    starts = [k for k, flag in enumerate(flags) if flag and (k == 0 or not flags[k - 1])]
    ends = [k for k, flag in enumerate(flags) if flag and (k == len(flags) - 1 or not flags[k + 1])]
    return list(zip(starts, ends, strict=True))


def resonance_note(risk: TankRisk, display: Display) -> str:
    """Where the first mode meets the course's own swaying, as a sentence."""
    rows = risk.rows
    found = [(rows[a]["level_L"], rows[b]["level_L"]) for a, b in _stretches(rows, "resonant")]
    if not found:
        return "No fill sloshes near resonance with this course."
    words = " and ".join(
        f"at {display.volume(low)}" if low == high else f"from {display.volume(low)} to {display.volume(high)}"
        for low, high in found
    )
    return f"Near resonance with this course the fluid sloshes {words}."


def answer_note(risk: TankRisk, display: Display) -> str:
    """What else must be known beside the answer."""
    low, high = risk.slosh["borderline_L"]
    words = f"The tank holds {display.volume(risk.slosh['tank_capacity_L'])}. {resonance_note(risk, display)}"
    if high > low:
        words += (
            f" From {display.volume(low)} to {display.volume(high)} it is borderline: a steady corner leaves the "
            f"surface within {display.length(10)} of the pickup, and the model is no better than that."
        )
    return words


def side_lines(risk: TankRisk, display: Display) -> dict[str, Any]:
    """Level [mm] and lines of the small side view: filled to where starving begins."""
    litres = min(risk.slosh["unusable_slosh_L"], risk.slosh["tank_capacity_L"])
    height = level_mm(risk.car.tank, litres)
    text = _up(litres, display)
    return {"level": height, "lines": ((height, ("starving ↓", text), "floor"),)}
