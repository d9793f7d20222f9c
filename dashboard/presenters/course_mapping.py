"""How the columns of recordings are mapped: a form for each header, and the Reading that it stands for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from planner.driving.outline import Outline, outline_of
from planner.driving.remembered import memory_of, remembered
from planner.errors import BadInput, Fault
from planner.event import Reading
from planner.files.toml_text import short

AS_FOUND = ""
GAUGE, ABSOLUTE = "gauge", "absolute"
_SPEEDS = ("km/h", "mph", "m/s", "kn")
_ACCELERATIONS = ("g", "m/s2")
PRESSURES = ("kPa", "bar", "psi", "mbar", "hPa", "inHg", "kg/cm2", "atm")


@dataclass(frozen=True, slots=True)
class Mapped:
    """A meaning that a column can be given: its name for the reader, label, units, and whether it has a sign."""

    meaning: str
    label: str
    units: tuple[str, ...] = ()
    signed: bool = False


MAPPED = (
    Mapped("time", "Time", ("s", "ms", "min")),
    Mapped("boost", "Boost or manifold pressure", PRESSURES),
    Mapped("barometer", "Barometer", PRESSURES),
    Mapped("rpm", "Engine speed"),
    Mapped("speed", "Road speed", _SPEEDS),
    Mapped("lateral", "Lateral acceleration", _ACCELERATIONS, signed=True),
    Mapped("longitudinal", "Longitudinal acceleration", _ACCELERATIONS, signed=True),
    Mapped("yaw rate", "Yaw rate", ("deg/s", "rad/s"), signed=True),
    Mapped("heading", "Heading", ("deg", "rad")),
)


def field_key(header: str, name: str) -> str:
    """The key of a mapping's field: "map:HEADER:column.boost", "...:unit.boost", "...:kind" or "...:rate"."""
    return f"map:{header}:{name}"


def header_of_key(key: str) -> str | None:
    """The header that a field's key belongs to, None for other fields."""
    return key.split(":")[1] if key.startswith("map:") else None


def mapping_values(header: str, reading: Reading) -> dict[str, str]:
    """A reading as the texts of a header's fields."""
    columns, units = dict(reading.columns), dict(reading.units)
    values = {}
    for one in MAPPED:
        values[field_key(header, f"column.{one.meaning}")] = columns.get(one.meaning, AS_FOUND)
        if one.units:
            values[field_key(header, f"unit.{one.meaning}")] = units.get(one.meaning, AS_FOUND)
    values[field_key(header, "kind")] = {None: AS_FOUND, True: ABSOLUTE, False: GAUGE}[reading.absolute]
    values[field_key(header, "rate")] = "" if reading.rate is None else f"{reading.rate:g} Hz"
    return values


def reading_of(header: str, values: Mapping[str, Any]) -> Reading:
    """The reading that a header's fields stand for; a rate that cannot be read counts as none."""
    columns = {one.meaning: str(values.get(field_key(header, f"column.{one.meaning}")) or "") for one in MAPPED}
    units = {one.meaning: str(values.get(field_key(header, f"unit.{one.meaning}")) or "") for one in MAPPED}
    kind = values.get(field_key(header, "kind"))
    return Reading(
        columns=tuple((meaning, name) for meaning, name in columns.items() if name),
        units=tuple((meaning, unit) for meaning, unit in units.items() if unit),
        absolute=kind == ABSOLUTE if kind in (ABSOLUTE, GAUGE) else None,
        rate=rate_of(str(values.get(field_key(header, "rate")) or "")),
    )


def rate_of(text: str) -> float | None:
    """Rows a second [Hz] of a text such as "50 Hz" or "50"; None for anything else."""
    try:
        rate = float(text.lower().replace("hz", "").replace(",", ".").strip())
    except ValueError:
        return None
    return rate if 0.01 <= rate <= 1e5 else None


def rate_faults(values: Mapping[str, Any]) -> list[Fault]:
    """What is typed as rows a second and cannot be read, each with its field's key."""
    typed = {
        key: str(text or "").strip() for key, text in values.items() if header_of_key(key) and key.endswith(":rate")
    }
    remedy = 'write the rows a second, from 0.01 to 100000, such as "50 Hz" or "50"; empty for the time column'
    return [Fault("", key, short(text), remedy) for key, text in typed.items() if text and rate_of(text) is None]


def reading_keys(reading: Reading) -> dict[str, Any]:
    """A reading's columns, units, kind and rate as the keys of a course's table; None for what it leaves open."""
    return {
        "columns": dict(reading.columns) or None,
        "units": dict(reading.units) or None,
        "absolute": reading.absolute,
        "rate": None if reading.rate is None else f"{reading.rate:g} Hz",
    }


@lru_cache(maxsize=128)
def _outline(path: Path, stamp: tuple[int, int], reading: Reading) -> Outline:
    return outline_of(path, reading)


def outline(path: Path, reading: Reading | None = None) -> Outline | None:
    """A recording's columns, read so; as it would be read by itself where that fails; None where it is no table."""
    for how in (reading or Reading(), Reading()):
        try:
            status = path.stat()
            return _outline(path, (status.st_mtime_ns, status.st_size), how)
        except (BadInput, OSError):
            continue
    return None


def header_of(path: Path) -> str | None:
    """The key that files with the same header share; None where the file is no table."""
    found = outline(path)
    return None if found is None else found.key


def all_remembered(recordings: Iterable[Path]) -> dict[str, Reading]:
    """What is remembered beside recordings, by header; what is damaged is left out."""
    found: dict[str, Reading] = {}
    for folder in sorted({memory_of(path) for path in recordings}):
        for path in sorted(folder.glob("*.json")) if folder.is_dir() else ():
            try:
                stored = remembered(folder, path.stem)
            except BadInput:
                continue
            if stored is not None:
                found.setdefault(path.stem, stored)
    return found
