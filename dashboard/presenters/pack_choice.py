"""What a packing list is for: its events, how it travels, limits, weather and paper; as text, as it is typed."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any
from urllib.parse import urlencode

from dashboard.presenters.workspace import Workspace
from planner.errors import FillmarkError, UnitError
from planner.files.dipstick import Unit
from planner.files.label import SHEETS, LabelSheet
from planner.files.pack_ticks import keep_text, kept_text, ticks_path
from planner.files.paper import PAPERS, Paper
from planner.planning.carriage import PROFILES, Profile
from planner.planning.weather import Weather, absurd_outdoors
from planner.units import Dimension, quantity

MOST_EVENTS = 40
LIMITS: dict[str, Dimension] = {
    "package_volume": "volume",
    "package_mass": "mass",
    "vehicle_volume": "volume",
    "vehicle_mass": "mass",
}
WEATHER = ("night_low", "day_high", "boot")
DEFAULTS = {
    "mix_there": "no",
    "vehicles": "1",
    "profile": "none",
    **dict.fromkeys((*LIMITS, *WEATHER, "mixed_on"), ""),
    "paper": "a4",
    "label_sheet": "a4-8",
    "strip": "L",
}
MIXED_THERE = {"no": False, "yes": True}
STRIPS: dict[str, Unit] = {"L": "L", "gal": "gal"}


@dataclass(frozen=True, slots=True)
class PackChoice:
    """Keys of the events in the workspace, and the settings that differ from DEFAULTS."""

    events: tuple[str, ...]
    texts: Mapping[str, str] = field(default_factory=dict)

    def text(self, key: str) -> str:
        """A setting as typed, or its default."""
        return self.texts.get(key, DEFAULTS[key])

    def query(self) -> str:
        """The choice as an address's query, which `choice_of_query` reads back."""
        return urlencode([*(("event", key) for key in self.events), *sorted(self.texts.items())])


@dataclass(frozen=True, slots=True)
class PackSettings:
    """The settings read: SI units, temperatures in degC."""

    mixed_there: bool = False
    vehicles: int = 1
    limits: Profile = PROFILES["none"]
    weather: Weather = field(default_factory=Weather)
    mixed_on: date | None = None
    paper: Paper = PAPERS["a4"]
    sheet: LabelSheet = SHEETS["a4-8"]
    strip: Unit = "L"


def choice_of(events: Iterable[str], texts: Mapping[str, Any]) -> PackChoice:
    """A choice of events (each once) and of the known settings that are not the default."""
    kept = {key: str(texts[key]).strip() for key in DEFAULTS if texts.get(key) is not None}
    differing = {key: text for key, text in kept.items() if text != DEFAULTS[key]}
    return PackChoice(tuple(dict.fromkeys(events))[:MOST_EVENTS], differing)


def choice_of_query(pairs: Iterable[tuple[str, str]]) -> PackChoice:
    """The choice that an address's query names."""
    pairs = list(pairs)
    return choice_of([value for key, value in pairs if key == "event"], dict(pairs))


def kept_choice(workspace: Workspace, event: str) -> PackChoice:
    """The choice last kept for an event, on any device; the event alone where none is, or it cannot be read."""
    try:
        text = kept_text(ticks_path(workspace.path(event)), "choice", event)
        data = json.loads(text) if text else {}
    except (FillmarkError, ValueError):
        data = {}
    others = [key for key in data.get("with", []) if isinstance(key, str)]
    return choice_of([event, *others], data.get("texts", {}))


def keep_choice(workspace: Workspace, event: str, choice: PackChoice) -> None:
    """Keep a choice beside its event. Raises FillmarkError where it cannot be written."""
    text = json.dumps({"with": choice.events[1:], "texts": dict(choice.texts)})
    keep_text(ticks_path(workspace.path(event)), "choice", event, text=text)


def settings_of(choice: PackChoice) -> tuple[PackSettings, dict[str, str]]:
    """The settings read, and a sentence for each that cannot be; such a one counts as not given."""
    faults: dict[str, str] = {}

    def read(key: str, dimension: Dimension) -> float | None:
        try:
            return quantity(text, dimension) if (text := choice.text(key)) else None
        except UnitError as reason:
            faults[key] = str(reason)
            return None

    low, high, boot = (_outdoors(key, read(key, "temperature"), faults) for key in WEATHER)
    if low is not None and high is not None and high < low:
        faults["day_high"] = "lies below the night's low; swap them"
        high = None
    limits = _limits(choice, {key: read(key, dimension) for key, dimension in LIMITS.items()}, faults)
    settings = PackSettings(
        mixed_there=_named(MIXED_THERE, choice, "mix_there", faults=faults),
        vehicles=_vehicles(choice.text("vehicles"), faults),
        limits=limits,
        weather=Weather(low, high, boot),
        mixed_on=_date(choice.text("mixed_on"), faults),
        paper=_named(PAPERS, choice, "paper", faults=faults),
        sheet=_named(SHEETS, choice, "label_sheet", faults=faults),
        strip=_named(STRIPS, choice, "strip", faults=faults),
    )
    return settings, faults


def _outdoors(key: str, value: float | None, faults: dict[str, str]) -> float | None:
    """A temperature [degC] as weather and parked cars have it; any other counts as not given."""
    remedy = "" if value is None else absurd_outdoors(value)
    if not remedy:
        return value
    faults[key] = remedy
    return None


def _limits(choice: PackChoice, own: Mapping[str, float | None], faults: dict[str, str]) -> Profile:
    """The chosen profile with the figures typed over its own."""
    base = _named(PROFILES, choice, "profile", faults=faults)
    for key, value in own.items():
        if value is not None and not value > 0:
            faults[key] = "a limit is above zero; leave it empty for the profile's own"
    typed: dict[str, Any] = {key: value for key, value in own.items() if value is not None and value > 0}
    if not typed:
        return base
    source = f"{base.source}, figures edited here" if base.source else "figures entered here"
    return replace(base, name=f"{base.name}, edited", source=source, **typed)


def _vehicles(text: str, faults: dict[str, str]) -> int:
    if text.isdecimal() and 1 <= int(text) <= 100:
        return int(text)
    faults["vehicles"] = "a whole number of vehicles from 1 on, such as 2"
    return 1


def _date(text: str, faults: dict[str, str]) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        faults["mixed_on"] = "not a date; write one such as 2026-05-15"
        return None


def _named(known: Mapping[str, Any], choice: PackChoice, key: str, *, faults: dict[str, str]) -> Any:
    name = choice.text(key)
    if name not in known:
        faults[key] = f"no such one; take one of {', '.join(known)}"
        return known[DEFAULTS[key]]
    return known[name]


def refused(faults: Mapping[str, str]) -> list[str]:
    """Faults as sentences that name their setting."""
    return [f"{key.replace('_', ' ')}: {sentence}" for key, sentence in faults.items()]
