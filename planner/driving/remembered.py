"""How the user mapped the columns of a recording, remembered for every file with the same header.

One JSON file for each header lies in a folder that the caller chooses; courses look into `memory_of` their recordings.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, BinaryIO

from planner.driving.columnar import open_table
from planner.driving.source import open_source, refuse
from planner.event import Reading

_PAIRS = ("columns", "units")
_PLAIN: dict[str, type | tuple[type, ...]] = {"absolute": bool, "rate": (int, float), "split_column": str}
_DEFAULT = Reading()


def header_key(names: Sequence[str]) -> str:
    """A key that files with the same column names in the same order share."""
    return hashlib.sha256("\x1f".join(names).encode("utf-8", errors="replace")).hexdigest()[:32]


def memory_of(recording: Path) -> Path:
    """The folder beside a recording in which the mappings for it and its neighbours lie: `.fillmark/columns`."""
    return recording.parent / ".fillmark" / "columns"


def memory_stamp(recording: Path) -> int:
    """When the mappings beside a recording last changed; 0 where there are none."""
    try:
        return memory_of(recording).stat().st_mtime_ns
    except OSError:
        return 0


def key_of(source: Path | BinaryIO) -> str:
    """The header key of a recording. Raises BadInput where it is no table."""
    return header_key(open_table(open_source(source)).names)


def remember(folder: Path, key: str, reading: Reading) -> None:
    """Store how files with this header are read: columns, units, kind, rate and the column that splits them.

    Ambient pressure and times belong to one recording and are not stored.
    """
    kept: dict[str, Any] = {name: [list(pair) for pair in getattr(reading, name)] for name in _PAIRS}
    kept |= {name: getattr(reading, name) for name in _PLAIN}
    folder.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=folder, suffix=".part")
    with os.fdopen(handle, "w", encoding="utf-8") as part:
        json.dump(kept, part, ensure_ascii=False, indent=1)
    Path(name).replace(folder / f"{key}.json")


def forget(folder: Path, key: str) -> None:
    """Remove what was remembered of a header, if anything."""
    (folder / f"{key}.json").unlink(missing_ok=True)


def remembered(folder: Path, key: str) -> Reading | None:
    """How files with this header are read, or None. Raises BadInput where the stored file is damaged."""
    path = folder / f"{key}.json"
    try:
        stored = json.loads(path.read_text(encoding="utf-8"))
        pairs = {name: tuple((str(a), str(b)) for a, b in stored.get(name, ())) for name in _PAIRS}
        plain = {name: stored.get(name) for name in _PLAIN}
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (OSError, ValueError, TypeError, AttributeError) as reason:
        refuse(str(path), f"the remembered columns cannot be read ({reason}); delete this file")
    if any(value is not None and not isinstance(value, _PLAIN[name]) for name, value in plain.items()):
        refuse(str(path), "the remembered columns are damaged; delete this file")
    return Reading(**pairs, **plain)  # type: ignore[arg-type]


def with_remembered(folder: Path, source: Path, reading: Reading = _DEFAULT) -> Reading:
    """The reading completed by what is remembered of the file's header; what the reading states itself prevails."""
    if not folder.is_dir():
        return reading
    stored = remembered(folder, key_of(source))
    return reading if stored is None else completed(reading, stored)


def completed(reading: Reading, stored: Reading) -> Reading:
    """A reading with the gaps filled from another.

    What the other says of a column is dropped where the reading names another column for the same meaning; so is its
    clock where the reading states a rate or names a clock, and its split where the reading splits in another way.
    """
    given = dict(reading.columns)
    elsewhere = {meaning for meaning, name in given.items() if dict(stored.columns).get(meaning) != name}
    timed = reading.rate is not None or "time" in given
    columns = {m: name for m, name in stored.columns if not (m == "time" and timed)}
    units = {m: unit for m, unit in stored.units if m not in elsewhere}
    split = reading.split_column or reading.split_stops is not None or reading.split_windows
    return replace(
        reading,
        columns=tuple((columns | given).items()),
        units=tuple((units | dict(reading.units)).items()),
        absolute=stored.absolute if reading.absolute is None and "boost" not in elsewhere else reading.absolute,
        rate=reading.rate if timed else stored.rate,
        split_column=reading.split_column if split else stored.split_column,
    )


def in_words(reading: Reading) -> str:
    """What of a reading is remembered, as it would be typed; "" where nothing is."""
    kind = {True: "absolute", False: "gauge", None: ""}[reading.absolute]
    parts = [f"column {meaning}={name}" for meaning, name in reading.columns]
    parts += [f"unit {meaning}={unit}" for meaning, unit in reading.units]
    parts += [kind, "" if reading.rate is None else f"rate {reading.rate:g}"]
    parts += [f"split column {reading.split_column}"] if reading.split_column else []
    return ", ".join(part for part in parts if part)
