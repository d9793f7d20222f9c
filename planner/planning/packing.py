"""The list for the trailer: fluids in their containers, tools, safety, spares and paper, for days and cars together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from planner.car import Car
from planner.event import Event
from planner.physics.blend import density, mass_fraction
from planner.planning.carriage import PROFILES, Package, Profile, carriage_json, where_limits_bite
from planner.planning.pack_gear import gear
from planner.planning.pack_item import Amount, Item, item_json, said
from planner.planning.recipe import recipe
from planner.planning.stock import Container, Parts, choose_containers, fill_containers, parts_of, parts_of_masses
from planner.planning.warning import Warning

NO_HAZARD = 0.03  # mass fraction of methanol below which a blend has no hazard class
_NOTHING = 1e-9  # [m3]
NOT_COUNTED = "Containers, tools and spares are not in the mass."


@dataclass(frozen=True, slots=True)
class Outing:
    """One event with one car, and its plan (the dictionary of `plan --json`)."""

    plan: Mapping[str, Any]
    event: Event
    car: Car


@dataclass(frozen=True, slots=True)
class Load:
    """All blend of one strength that the outings need, with its parts and the containers it travels in."""

    alcohol_share: float
    parts: Parts
    sizes: tuple[float, ...]
    outings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PackList:
    """Lines of the list, blends by strength, packages with methanol, and what carriage limits say."""

    items: tuple[Item, ...]
    loads: tuple[Load, ...]
    packages: tuple[Package, ...]
    limits: Profile
    warnings: tuple[Warning, ...]
    mixed_there: bool

    @property
    def fluid_mass(self) -> float:
        """Mass of all fluids [kg]."""
        return sum(load.parts.mass for load in self.loads)


def pack_list(
    outings: Sequence[Outing],
    *,
    mixed_there: bool = False,
    limits: Profile = PROFILES["none"],
    vehicles: int = 1,
) -> PackList:
    """What to load for all outings together; blends of one strength share their containers.

    mixed_there: methanol and water travel apart, with a can to mix in. Raises BadInput and OutsideModel as the
    containers and the blend model do.
    """
    loads = _loads(outings)
    fluids = [line for load in loads for line in _fluid_lines(load, mixed_there, alone=len(loads) == 1)]
    packages = tuple(package for _, package in fluids if package)
    items = [item for item, _ in fluids]
    if mixed_there:
        items += [_mixing_can(load) for load in loads if 0 < load.alcohol_share < 1 and load.parts.blend > _NOTHING]
    items += gear([(one.plan, name, one.car) for one, name in named(outings)], [load.alcohol_share for load in loads])
    warnings = where_limits_bite(limits, packages, vehicles)
    return PackList(_told_apart(items), loads, packages, limits, warnings, mixed_there)


def _told_apart(items: Sequence[Item]) -> tuple[Item, ...]:
    """The lines with ids that differ, also where a day is on the list twice."""
    count: Counter[str] = Counter()
    found = []
    for item in items:
        count[item.id] += 1
        found.append(item if count[item.id] == 1 else replace(item, id=f"{item.id}#{count[item.id]}"))
    return tuple(found)


def named(outings: Sequence[Outing]) -> list[tuple[Outing, str]]:
    """Each outing with its event's name, which has the date beside it where two with one car share the name."""
    names = [(one.event.name, one.car.name) for one in outings]
    return [
        (one, one.event.name if names.count(name) == 1 else f"{one.event.name}, {one.event.date}")
        for one, name in zip(outings, names, strict=True)
    ]


def _loads(outings: Sequence[Outing]) -> tuple[Load, ...]:
    """One load for each strength, in the order of the outings."""
    by_share: dict[float, list[Outing]] = {}
    for outing in outings:
        by_share.setdefault(round(outing.car.blend.alcohol_share, 6), []).append(outing)
    return tuple(_load(share, group) for share, group in by_share.items())


def _load(share: float, group: Sequence[Outing]) -> Load:
    parts = [parts_of(outing.plan["bring"]["blend_L"] / 1e3, outing.car.blend) for outing in group]
    together = parts_of_masses(
        sum(one.alcohol_mass for one in parts), sum(one.water_mass for one in parts), parts[0].temperature
    )
    sizes = tuple(sorted({size for outing in group for size in outing.event.stock.containers}, reverse=True))
    return Load(share, together, sizes, tuple(f"{one.event.name}, {one.car.name}" for one in group))


def _fluid_lines(load: Load, mixed_there: bool, *, alone: bool) -> Iterator[tuple[Item, Package | None]]:
    """Each container of a load as a line, and as a package where it holds methanol; says for whom unless `alone`."""
    parts, share = load.parts, load.alcohol_share
    purpose = "" if alone else f"; for {'; '.join(load.outings)}"
    contents = [(share, parts.blend)]
    if mixed_there:
        contents = [(1.0, parts.alcohol), (0.0, parts.water)]
    for held, volume in contents:
        yield from _filled(held, volume, load, purpose=purpose)


def _fluid_name(share: float) -> str:
    if share == 0:
        return "Water, distilled or deionised"
    return "Methanol" if share == 1 else f"Blend, {100 * share:.3g} % methanol"


def _filled(share: float, volume: float, load: Load, *, purpose: str) -> Iterator[tuple[Item, Package | None]]:
    if volume <= _NOTHING:
        return
    name, rho = _fluid_name(share), float(density(share, load.parts.temperature))
    held = fill_containers(volume, choose_containers(volume, load.sizes)) or (Container(0.0, volume),)
    for number, one in enumerate(held, 1):
        jug = (Amount(one.size * 1e3, "L", ".4g"), " container") if one.size else ("no container sizes given",)
        item = Item(
            id=f"fluid/{share:g}/{number}/{one.size * 1e3:.4g}/{one.fill * 1e3:.1f}",
            group="Fluids",
            words=(f"{name}: ", Amount(one.fill * 1e3, "L")),
            details=(*jug, ", ", Amount(one.fill * rho, "kg"), purpose),
            volume=one.fill,
            mass=one.fill * rho,
            alcohol_share=share,
            size=one.size or None,
        )
        hazardous = float(mass_fraction(share)) >= NO_HAZARD
        package = Package(f"{name}, {said(jug)}", one.size or one.fill, one.fill, one.fill * rho)
        yield item, package if hazardous else None


def _mixing_can(load: Load) -> Item:
    """A clean can to mix in, and what to pour for one canful of at most 95 %."""
    sizes = load.sizes or (load.parts.blend / 0.95,)
    size = next((size for size in reversed(sizes) if 0.95 * size >= load.parts.blend), sizes[0])
    canful = min(0.95 * size, load.parts.blend)
    made = recipe(canful, load.alcohol_share, load.parts.temperature)
    pours = [(Amount(pour.volume * 1e3, "L"), f" {pour.liquid}") for pour in made.pours]
    joined = [part for place, pour in enumerate(pours) for part in ((" and ", *pour) if place else pour)]
    return Item(
        f"can/{load.alcohol_share:g}/{size * 1e3:.4g}",
        "Fluids",
        ("Mixing can, ", Amount(size * 1e3, "L", ".4g"), ", clean and labelled"),
        ("a canful of ", Amount(canful * 1e3, "L"), " takes ", *joined),
    )


def list_key(outings: Sequence[Outing]) -> str:
    """What a list is for, in any order: its ticks are not another list's. A new date is a new list."""
    return days_key([(one.event, one.car) for one in outings])


def days_key(days: Sequence[tuple[Event, Car]]) -> str:
    """The same from events and cars that are not planned."""
    return "; ".join(sorted(f"{event.date} {event.name} {car.name}" for event, car in days))


def pack_json(packed: PackList, ticked: frozenset[str] = frozenset()) -> dict[str, Any]:
    """The list as plain data: items with their ticks, blends, masses, and what carriage limits say."""
    return {
        "items": [item_json(item, item.id in ticked) for item in packed.items],
        "open": sum(item.id not in ticked for item in packed.items),
        "mixed_there": packed.mixed_there,
        "blends": [_load_json(load) for load in packed.loads],
        "fluid_mass_kg": packed.fluid_mass,
        "not_counted": NOT_COUNTED,
        "carriage": carriage_json(packed.limits, packed.warnings),
    }


def _load_json(load: Load) -> dict[str, Any]:
    parts = load.parts
    return {
        "alcohol_share": load.alcohol_share,
        "temperature_degC": parts.temperature,
        "blend_L": parts.blend * 1e3,
        "alcohol_L": parts.alcohol * 1e3,
        "water_L": parts.water * 1e3,
        "alcohol_kg": parts.alcohol_mass,
        "water_kg": parts.water_mass,
        "mass_kg": parts.mass,
        "outings": list(load.outings),
    }
