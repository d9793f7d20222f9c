"""Carriage: where what is loaded meets the limits of a chosen profile. Figures to check, never legal advice."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from pathlib import Path

from planner.errors import BadInput, Fault, UnitError
from planner.planning.warning import Warning
from planner.units import Dimension, quantity

ADVICE = "These are figures to check against, not legal advice: local code, the venue and the carrier's rules prevail."


@dataclass(frozen=True, slots=True)
class Profile:
    """Limits for methanol and its blends: volumes [m3], masses [kg], None where there is no such limit."""

    name: str
    package_volume: float | None = None
    package_mass: float | None = None
    vehicle_volume: float | None = None
    vehicle_mass: float | None = None
    source: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Package:
    """One container with methanol in it: what it is, its size [m3], the fluid's volume [m3] and mass [kg]."""

    name: str
    size: float
    volume: float
    mass: float


PROFILES = {
    "none": Profile("none", remark="No limits are checked."),
    "us-trade": Profile(
        "us-trade",
        package_volume=0.030,
        package_mass=30.0,
        vehicle_mass=200.0,
        source="49 CFR 173.6, materials of trade",
        remark="Holds for carriage in the course of a trade; private carriage lies outside these rules.",
    ),
    "canada": Profile(
        "canada",
        package_mass=30.0,
        vehicle_mass=150.0,
        source="Transportation of Dangerous Goods Regulations, 1.15",
        remark="Masses there are gross: count the containers too.",
    ),
    "europe-private": Profile(
        "europe-private",
        package_volume=0.060,
        vehicle_volume=0.240,
        source="ADR 1.1.3.1 (a), private persons",
        remark="Some countries cap lower; ask before you load.",
    ),
}
_LIMITS: dict[str, Dimension] = {
    "package_volume": "volume",
    "package_mass": "mass",
    "vehicle_volume": "volume",
    "vehicle_mass": "mass",
}


def profile(name: str) -> Profile:
    """A profile by its name, or from a TOML file when the name ends in .toml. Raises BadInput with every fault."""
    if name.endswith(".toml"):
        return read_profile(Path(name))
    if name not in PROFILES:
        known = ", ".join(PROFILES)
        raise BadInput([Fault("", "profile", name, f"no such profile; take one of {known}, or a .toml file")])
    return PROFILES[name]


def read_profile(path: Path) -> Profile:
    """A profile of one's own: name, package_volume, package_mass, vehicle_volume, vehicle_mass, source, remark."""
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as reason:
        raise BadInput([Fault(str(path), "", "", f"cannot be read as TOML: {reason}")]) from reason
    faults = [fault for key, value in table.items() for fault in _faults(path, key, value)]
    if faults:
        raise BadInput(faults)
    limits = {key: quantity(value, _LIMITS[key]) for key, value in table.items() if key in _LIMITS}
    words = {key: str(value) for key, value in table.items() if key not in _LIMITS}
    return Profile(**{"name": path.stem, **words, **limits})  # type: ignore[arg-type]


def _faults(path: Path, key: str, value: object) -> Iterator[Fault]:
    known = [field.name for field in fields(Profile)]
    if key not in known:
        yield Fault(str(path), key, str(value), f"no such key; a profile has {', '.join(known)}")
    elif key in _LIMITS:
        try:
            if not quantity(value, _LIMITS[key]) > 0:
                yield Fault(str(path), key, str(value), "a limit is above zero; leave the key out for no limit")
        except UnitError as reason:
            yield Fault(str(path), key, str(value), str(reason))


def where_limits_bite(limits: Profile, packages: Sequence[Package], vehicles: int = 1) -> tuple[Warning, ...]:
    """One warning for each package or vehicle limit that the packages pass, shared evenly over `vehicles`.

    A package limit of volume is held against the container's size, as the rules count the receptacle.
    """
    found = [warning for package in packages for warning in _package_warnings(limits, package)]
    found += _vehicle_warnings(limits, packages, vehicles)
    return tuple(found)


def _over(name: str, amount: float, limit: float | None, *, unit: str) -> str | None:
    """The sentence for an amount beyond its limit, both in L or kg."""
    if limit is None or amount <= limit * (1 + 1e-9):
        return None
    return f"{name}: {amount:.1f} {unit}, where the limit is {limit:g} {unit}"


def _litres(volume: float | None) -> float | None:
    return None if volume is None else volume * 1e3


def _package_warnings(limits: Profile, package: Package) -> Iterator[Warning]:
    for text in (
        _over(package.name, package.size * 1e3, _litres(limits.package_volume), unit="L"),
        _over(package.name, package.mass, limits.package_mass, unit="kg"),
    ):
        if text:
            yield Warning("warning", "carriage-package", f"{text} ({limits.source}). Take smaller containers.")


def _vehicle_warnings(limits: Profile, packages: Sequence[Package], vehicles: int) -> Iterator[Warning]:
    volume, mass = sum(one.volume for one in packages) / vehicles, sum(one.mass for one in packages) / vehicles
    for text in (
        _over("each vehicle", volume * 1e3, _litres(limits.vehicle_volume), unit="L"),
        _over("each vehicle", mass, limits.vehicle_mass, unit="kg"),
    ):
        if text:
            yield Warning("warning", "carriage-vehicle", f"{text} ({limits.source}). Spread it, or buy some there.")


def carriage_json(limits: Profile, warnings: Sequence[Warning]) -> dict[str, object]:
    """The profile and its warnings as plain data in L and kg."""
    return {
        "profile": limits.name,
        "package_L": _litres(limits.package_volume),
        "package_kg": limits.package_mass,
        "vehicle_L": _litres(limits.vehicle_volume),
        "vehicle_kg": limits.vehicle_mass,
        "source": limits.source,
        "remark": limits.remark,
        "advice": ADVICE,
        "warnings": [warning.as_dict() for warning in warnings],
    }
