"""The packing list of a choice of events: what there is to load, its answer, its lines, its warnings."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dashboard.presenters.car_draft import car_of_event
from dashboard.presenters.display import THIN, Display, share
from dashboard.presenters.outcome import Outcome, outcome_of_file
from dashboard.presenters.pack_choice import PackChoice, PackSettings, choice_of, settings_of
from dashboard.presenters.whence import Whence
from dashboard.presenters.workspace import Workspace
from planner.errors import BadInput, FillmarkError, OutsideModel
from planner.files.cautions import BEFORE_MIXING, BEFORE_REFILLING, DEFER
from planner.files.pack_ticks import read_ticks, ticks_path
from planner.planning.pack_item import Amount, said
from planner.planning.packing import NOT_COUNTED, Load, Outing, PackList, list_key, named, pack_list
from planner.planning.warning import Warning
from planner.planning.weather import weather_warnings

SOURCE = "This plan's simulation; densities fitted to published tables (page Method)."
MIXING = [one.as_dict() for one in BEFORE_MIXING]
REFILLING = [one.as_dict() for one in BEFORE_REFILLING]
DEFERS = DEFER


@dataclass(frozen=True, slots=True)
class Packed:
    """What a choice comes to: the list (None where no event has a plan), its ticks, and what is wrong with what."""

    choice: PackChoice
    settings: PackSettings
    outings: tuple[Outing, ...]
    listed: PackList | None
    ticked: frozenset[str]
    paths: tuple[Path, ...]
    keys: tuple[str, ...]
    missing: tuple[str, ...] = ()
    faults: Mapping[str, str] | None = None

    @property
    def key(self) -> str:
        """What the list's ticks are kept under."""
        return list_key(self.outings)

    @property
    def address(self) -> str:
        """Where the list's ticks are read and written: it names the events that have a plan."""
        return f"/pack/ticks?{choice_of(self.keys, {}).query()}"


def packed(workspace: Workspace, choice: PackChoice) -> Packed:
    """The list of a choice. What cannot be read or planned is left out and told."""
    settings, faults = settings_of(choice)
    outings, paths, keys, missing = [], [], [], []
    for key in choice.events:
        outing, path, trouble = _outing(workspace, key)
        if outing and path:
            outings.append(outing)
            paths.append(path)
            keys.append(key)
        missing += [trouble] if trouble else []
    listed, ticked = None, frozenset[str]()
    try:
        if outings:
            listed = pack_list(
                outings, mixed_there=settings.mixed_there, limits=settings.limits, vehicles=settings.vehicles
            )
            ticked = read_ticks(ticks_path(*paths), list_key(outings))
    except BadInput as reason:
        missing += workspace.sentences(reason)
    except OutsideModel as reason:
        missing.append(str(reason))
    return Packed(choice, settings, tuple(outings), listed, ticked, tuple(paths), tuple(keys), tuple(missing), faults)


def _outing(workspace: Workspace, key: str) -> tuple[Outing | None, Path | None, str]:
    """An event's plan; or a sentence on why there is none."""
    try:
        path = workspace.path(key)
    except FillmarkError:
        return None, None, f"{key} is not in the workspace any more; take it off the list."
    outcome = outcome_of_file(path)
    if outcome.plan and outcome.event and outcome.car:
        return Outing(outcome.plan, outcome.event, outcome.car), path, ""
    return None, None, _why_not(outcome, workspace, key)


def _why_not(outcome: Outcome, workspace: Workspace, key: str) -> str:
    if outcome.no_plan and outcome.event:
        return f"{outcome.event.name}: {outcome.no_plan['message']}. Its page Day says what mends it."
    first = workspace.shortened(outcome.faults[0]).line() if outcome.faults else "it cannot be read"
    return f"{key} cannot be planned: {first}"


def companions(workspace: Workspace, event: str) -> list[tuple[str, str]]:
    """Every other event of the workspace: its key, and its name, date and car as a label."""
    cars = {workspace.path(entry.key).resolve(): entry.name for entry in workspace.cars()}
    found = []
    for entry in workspace.events():
        if entry.key != event:
            car = cars.get(car_of_event(workspace.path(entry.key)) or Path())
            found.append((entry.key, f"{entry.label} · {car}" if car else entry.label))
    return found


def whom(made: Packed) -> str:
    """The events and cars of a list, in one line."""
    return "; ".join(f"{name}, {one.car.name}" for one, name in named(made.outings))


def amount_shown(display: Display) -> Callable[[Amount], str]:
    """How a line's amounts are written in the units shown."""

    def show(amount: Amount) -> str:
        if amount.unit == "L":
            text = display.text(amount.value, "volume", more=1)
            return _trimmed(text) if amount.digits != ".2f" else text
        if amount.unit == "kg":
            return display.text(amount.value, "mass", more=1)
        if amount.unit == "mm":
            return display.mark_length(amount.value)
        if amount.unit == "degC":
            return display.temperature(amount.value)
        return display.flow(amount.value) if amount.unit == "mL/min" else f"{amount.value:.0f}{THIN}kg/m³"

    return show


def _trimmed(text: str) -> str:
    """ "10.00 L" as "10 L"."""
    number, _, unit = text.partition(THIN)
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number}{THIN}{unit}"


def groups(made: Packed, display: Display) -> list[dict[str, Any]]:
    """The list's lines by group, as the page ticks them off."""
    assert made.listed is not None
    show = amount_shown(display)
    found: dict[str, list[dict[str, str]]] = {}
    for item in made.listed.items:
        line = {"id": item.id, "text": said(item.words, show), "detail": said(item.details, show)}
        found.setdefault(item.group, []).append(line)
    return [{"name": name, "items": items} for name, items in found.items()]


def answer_parts(made: Packed, display: Display) -> list[str | Whence]:
    """ "Load 14.2 L of 50 % blend in 3 jugs: 13.1 kg; mix 7.4 L methanol with 7.1 L water."."""
    listed = made.listed
    assert listed is not None
    loads = [load for load in listed.loads if load.parts.blend > 0]
    if not loads:
        return ["Load no fluid: what is in the tank is enough for the day."]
    mass = _whence(display.mass(listed.fluid_mass), "Mass of all fluids", _mass_inputs(loads, display), NOT_COUNTED)
    if listed.mixed_there:
        return _carried_apart(made, loads, mass, display=display)
    blend = sum(load.parts.blend for load in loads)
    kinds = f"{share(loads[0].alcohol_share)} blend" if len(loads) == 1 else f"blend of {len(loads)} strengths"
    if len(loads) == 1 and loads[0].alcohol_share in (0.0, 1.0):
        kinds = "water" if loads[0].alcohol_share == 0 else "methanol"
    parts: list[str | Whence] = ["Load ", _blend(blend, made, display), f" of {kinds} in ", _jugs(made, display)]
    parts += [": ", mass]
    for load in loads:
        parts += _mixing(load, display, alone=len(loads) == 1)
    return [*parts, "."]


def _whence(text: str, title: str, inputs: Sequence[tuple[str, str]], formula: str) -> Whence:
    return Whence(text, title, tuple(inputs), formula, SOURCE)


def _mass_inputs(loads: Sequence[Load], display: Display) -> list[tuple[str, str]]:
    return [
        (f"{name}, {share(load.alcohol_share)} blend", display.text(value, "mass", more=1))
        for load in loads
        for name, value in (("Methanol", load.parts.alcohol_mass), ("Water", load.parts.water_mass))
        if value > 0
    ]


def _blend(blend: float, made: Packed, display: Display) -> Whence:
    inputs = [(name, display.volume(one.plan["bring"]["blend_L"], 1)) for one, name in named(made.outings)]
    formula = "What all fills of each day take, in as many simulated days as its confidence asks, spills included."
    return _whence(display.text(blend * 1e3, "volume"), "Fluid to bring", inputs, formula)


def _jugs(made: Packed, display: Display) -> Whence | str:
    assert made.listed is not None
    held = [item for item in made.listed.items if item.volume is not None]
    if any(item.size is None for item in held):
        return "containers (the event's [stock] names no sizes)"
    inputs = [
        (f"Jug {number}", f"{display.volume(item.volume * 1e3, 1)} of {_size(item.size, display)}")
        for number, item in enumerate(held, 1)
        if item.volume is not None
    ]
    formula = "Sizes of [stock], none filled beyond 95 %: the least room to spare, then the fewest."
    return _whence(f"{len(held)} jug{'s' * (len(held) != 1)}", "Containers", inputs, formula)


def _size(size: float | None, display: Display) -> str:
    return _trimmed(display.text((size or 0.0) * 1e3, "volume", more=1))


def _mixing(load: Load, display: Display, *, alone: bool) -> list[str | Whence]:
    if not 0 < load.alcohol_share < 1:
        return []
    methanol, water = _part(load, "methanol", display), _part(load, "water", display)
    lead = "; mix " if alone else f"; for {share(load.alcohol_share)} mix "
    return [lead, methanol, " methanol with ", water, " water"]


def _part(load: Load, name: str, display: Display) -> Whence:
    volume, mass = {
        "methanol": (load.parts.alcohol, load.parts.alcohol_mass),
        "water": (load.parts.water, load.parts.water_mass),
    }[name]
    inputs = (
        ("Finished blend", display.volume(load.parts.blend * 1e3, 1)),
        ("Strength, by volume before mixing", share(load.alcohol_share)),
        ("Liquids at", display.temperature(load.parts.temperature)),
        ("By scale", display.text(mass, "mass", more=1)),
        ("Lost on mixing, both parts", display.volume(load.parts.shrink * 1e3)),
    )
    formula = "Blend's mass × the part's share of it ÷ the part's density; the mixture is smaller than its parts."
    return _whence(display.text(volume * 1e3, "volume", more=1), f"{name.capitalize()} to pour", inputs, formula)


def _carried_apart(made: Packed, loads: Sequence[Load], mass: Whence, *, display: Display) -> list[str | Whence]:
    """The answer where methanol and water travel apart."""
    alcohol, water = (sum(getattr(load.parts, name) for load in loads) for name in ("alcohol", "water"))
    blend = sum(load.parts.blend for load in loads)
    carried = [(alcohol, "methanol"), (water, "water")]
    texts = [f"{display.text(volume * 1e3, 'volume')} {name}" for volume, name in carried if volume > 0]
    return [
        f"Load {' and '.join(texts)} in ", _jugs(made, display), ": ", mass,
        "; mixed there it is ", _blend(blend, made, display), " of blend.",
    ]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Jug:
    """One container as the picture shows it: its size and fill [L], the strength, and its words."""

    size: float
    fill: float
    strength: float
    title: str
    note: str


def jugs(made: Packed, display: Display) -> list[Jug]:
    """The containers with fluid in them, as they are filled."""
    assert made.listed is not None
    found = []
    alone = len({item.alcohol_share for item in made.listed.items if item.size}) == 1
    for item in made.listed.items:
        if item.volume is not None and item.alcohol_share is not None and item.size:
            kind = {0.0: "water", 1.0: "methanol"}.get(item.alcohol_share, f"{share(item.alcohol_share)} blend")
            note = f"of {_size(item.size, display)}" + ("" if alone else f", {kind}")
            title = display.volume(item.volume * 1e3, 1)
            found.append(Jug(item.size * 1e3, item.volume * 1e3, item.alcohol_share, title, note))
    return found


def weather_warnings_of(made: Packed) -> list[Warning]:
    """The same as the command line's, for the papers. Raises OutsideModel where that is beyond the model."""
    loads = made.listed.loads if made.listed else ()
    return [one for load in loads for one in weather_warnings(load.alcohol_share, made.settings.weather)]


def weather_notices(made: Packed, display: Display) -> list[dict[str, str]]:
    """What the weather means for each blend, in the units shown; a sentence where that is beyond the model."""
    assert made.listed is not None
    found: list[dict[str, str]] = []
    for load in made.listed.loads:
        lead = f"{share(load.alcohol_share)} blend: " if len(made.listed.loads) > 1 else ""
        try:
            warnings = weather_warnings(load.alcohol_share, made.settings.weather, display.temperature)
        except OutsideModel as reason:
            warnings = (Warning("notice", "weather", f"No answer: {reason}."),)
        found += [{**one.as_dict(), "text": lead + one.text} for one in warnings]
    return found
