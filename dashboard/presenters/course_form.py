"""The courses of an event's file as fields and grids of text, and back into the file.

Each course has a slot, "c1" for the file's first, "n1" for the first new one, so that fields keep their course while
others come and go. The value "courses" lists the slots in order.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import tomlkit

from dashboard.presenters.course_mapping import (
    all_remembered,
    header_of,
    header_of_key,
    mapping_values,
    reading_keys,
    reading_of,
)
from dashboard.presenters.form import shown
from planner.driving.remembered import completed
from planner.errors import BadInput, Fault
from planner.event import Reading
from planner.files.edit import set_value
from planner.files.event_file import parse_courses
from planner.files.saving import open_file, text_of

SOURCES = ("logs", "pieces", "time_at_boost")
SOURCE_OPTIONS = (
    ("logs", "recordings"),
    ("pieces", "a sketch"),
    ("time_at_boost", "time at boost"),
)
PER_OPTIONS = (("run", "run"), ("lap", "lap"), ("minute", "minute"))
SPLIT_OPTIONS = (
    ("", "no"),
    ("column", "by a lap column"),
    ("stops", "at stops"),
    ("windows", "by times"),
)
PIECE_KEYS = ("time", "boost", "longitudinal", "lateral")
TIME_KEYS = ("boost", "time")
STARTERS: dict[str, list[dict[str, str]]] = {
    "pieces": [
        {"time": "6 s", "boost": "1 bar", "longitudinal": "0.3 g", "lateral": ""},
        {"time": "4 s", "boost": "-0.5 bar", "longitudinal": "-0.8 g", "lateral": ""},
    ],
    "time_at_boost": [{"boost": "1 bar", "time": "20 s"}],
}
FIRST_SPLITS = {"split.stops": "20 s", "split.windows": "0 s to 60 s"}
_OWN = ("name", "per", *SOURCES, "spool", "ambient", "split")
_OF_READING = ("columns", "units", "absolute", "rate")
SPLIT_KEYS = {"column": "column", "stops": "stops_longer", "windows": "windows"}

Values = Mapping[str, Any]


def table_rows(data: Mapping[str, Any], key: str) -> list[dict[str, Any]]:
    """The tables of an array of tables, or none."""
    rows = data.get(key)
    return [row for row in rows if isinstance(row, Mapping)] if isinstance(rows, list) else []  # type: ignore[misc]


def source_of(row: Mapping[str, Any]) -> str:
    """What a course's table comes from: one of SOURCES."""
    return next((source for source in SOURCES if row.get(source)), "logs")


def row_values(slot: str, row: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of a course's table."""
    split: Mapping[str, Any] = row["split"] if isinstance(row.get("split"), Mapping) else {}
    kind = next((kind for kind, key in SPLIT_KEYS.items() if split.get(key)), "")
    windows = [pair for pair in _listed(split.get("windows")) if isinstance(pair, list) and len(pair) == 2]
    found = {
        "name": shown(row.get("name")),
        "per": shown(row.get("per")),
        "source": source_of(row),
        "logs": "\n".join(map(str, _listed(row.get("logs")))),
        "spool": shown(row.get("spool")),
        "ambient": shown(row.get("ambient")),
        "split": kind,
        "split.column": shown(split.get("column")),
        "split.stops": shown(split.get("stops_longer")) or FIRST_SPLITS["split.stops"],
        "split.windows": "; ".join(f"{start} to {end}" for start, end in windows) or FIRST_SPLITS["split.windows"],
    }
    return {f"{slot}.{key}": value for key, value in found.items()}


def row_grids(slot: str, row: Mapping[str, Any]) -> dict[str, list[dict[str, str]]]:
    """The grids of a course's table; a first example where it has none."""
    pieces = [{key: shown(one.get(key)) for key in PIECE_KEYS} for one in table_rows(row, "pieces")]
    pairs = [one for one in _listed(row.get("time_at_boost")) if isinstance(one, list)]
    times = [dict(zip(TIME_KEYS, [*map(shown, one), "", ""], strict=False)) for one in pairs]
    return {
        f"{slot}.pieces": pieces or STARTERS["pieces"],
        f"{slot}.time_at_boost": times or STARTERS["time_at_boost"],
    }


def courses_base(path: Path, neighbours: Sequence[Path] = ()) -> dict[str, Any]:
    """An event's courses as a form; `neighbours` are recordings beside which mappings may be remembered.

    Raises BadInput for a file that is not TOML.
    """
    opened = open_file(path)
    data = opened.document.unwrap()
    rows = table_rows(data, "course")
    slots = [f"c{number}" for number in range(1, len(rows) + 1)]
    values: dict[str, Any] = {"courses": " ".join(slots)}
    grids: dict[str, Any] = {}
    for slot, row in zip(slots, rows, strict=True):
        values |= row_values(slot, row)
        grids |= row_grids(slot, row)
    values |= _mappings(opened.document, path, neighbours)
    sessions = [
        {"name": shown(row.get("name")), "course": shown(row.get("course")), "runs": shown(row.get("runs"))}
        for row in table_rows(data, "session")
    ]
    return {
        "values": values, "grids": grids, "assumed": [], "sessions": sessions, "fingerprint": opened.fingerprint
    }  # fmt: skip


def _mappings(document: tomlkit.TOMLDocument, path: Path, neighbours: Sequence[Path]) -> dict[str, str]:
    """The mapping of each header met: what the event says of its course, completed by what is remembered."""
    courses, _ = parse_courses(text_of(document), path)
    own = [(course, log) for course in courses if course for log in course.logs]
    stored = all_remembered([*neighbours, *(log for _, log in own)])
    values: dict[str, str] = {}
    for header, reading in stored.items():
        values |= mapping_values(header, reading)
    for course, log in reversed(own):
        met = header_of(log)
        if met:
            values |= mapping_values(met, completed(course.reading, stored.get(met, Reading())))
    return values


def slots_of(draft: Values, base: Values) -> list[str]:
    """The slots of the courses, in order."""
    return str(value_of(draft, base, "courses")).split()


def logs_of(draft: Values, base: Values, slot: str) -> list[str]:
    """A course's recordings as the event names them."""
    return [log for log in str(value_of(draft, base, f"{slot}.logs")).split("\n") if log]


def value_of(draft: Values, base: Values, key: str) -> Any:
    """A field as it stands: as typed, else as the file has it."""
    typed = draft.get("values") or {}
    return typed[key] if key in typed else base["values"].get(key, "")


def grid_of(draft: Values, base: Values, key: str) -> list[dict[str, str]]:
    """A grid's rows as they stand."""
    typed = draft.get("grids") or {}
    return list(typed[key] if key in typed else base["grids"].get(key, []))


def _is_touched(slot: str, draft: Values) -> bool:
    keys = (*(draft.get("values") or {}), *(draft.get("grids") or {}))
    return not slot.startswith("c") or any(key.startswith(f"{slot}.") for key in keys)


def touched_headers(draft: Values) -> set[str]:
    """The headers whose mapping was changed."""
    return {header for key in draft.get("values") or {} if (header := header_of_key(key))}


def all_values(draft: Values, base: Values) -> dict[str, Any]:
    """Every field as it stands."""
    return {**base["values"], **(draft.get("values") or {})}


def drafted_rows(data: Mapping[str, Any], draft: Values, base: Values, folder: Path) -> list[dict[str, Any]]:
    """The courses' tables with the draft; those that it does not touch stay as they are."""
    old = {f"c{number}": row for number, row in enumerate(table_rows(data, "course"), 1)}
    return [_drafted_row(slot, old.get(slot, {}), draft, base, folder=folder) for slot in slots_of(draft, base)]


def _drafted_row(slot: str, old: Mapping[str, Any], draft: Values, base: Values, *, folder: Path) -> dict[str, Any]:
    row = dict(old)
    if _is_touched(slot, draft):
        made = built_row(
            lambda name: value_of(draft, base, f"{slot}.{name}"), lambda name: grid_of(draft, base, f"{slot}.{name}")
        )
        kept = {key: value for key, value in old.items() if key not in _OWN}
        row = {**made, **(kept if made.get("logs") else {k: v for k, v in kept.items() if k not in _OF_READING})}
    stated = course_headers(row, folder)
    if not stated & touched_headers(draft):
        return row
    row |= dict.fromkeys(_OF_READING)
    if len(stated) == 1:
        row |= reading_keys(reading_of(stated.pop(), all_values(draft, base)))
    return row


def built_row(value: Callable[[str], Any], grid: Callable[[str], list[dict[str, str]]]) -> dict[str, Any]:
    """A course's table from its fields and grids; None for keys that it leaves out."""
    source = value("source")
    row: dict[str, Any] = {"name": str(value("name")).strip(), "per": str(value("per")).strip() or None}
    if source == "pieces":
        pieces = [{key: one[key].strip() for key in PIECE_KEYS if one.get(key, "").strip()} for one in grid("pieces")]
        return {**row, "pieces": [piece for piece in pieces if piece] or None, "spool": _text(value("spool"))}
    if source == "time_at_boost":
        times = [[str(one.get(key) or "").strip() for key in TIME_KEYS] for one in grid("time_at_boost")]
        return {**row, "time_at_boost": times or None}
    return {
        **row,
        "logs": str(value("logs")).split("\n") if value("logs") else None,
        "ambient": _text(value("ambient")),
        "split": _split(value),
    }


def _text(value: Any) -> str | None:
    return str(value).strip() or None


def _split(value: Callable[[str], Any]) -> dict[str, Any] | None:
    kind = value("split")
    if kind not in SPLIT_KEYS:
        return None
    text = str(value(f"split.{kind}")).strip()
    return {SPLIT_KEYS[kind]: windows_of(text) if kind == "windows" else text}


def windows_of(text: str) -> list[list[str]]:
    """Pairs of texts from "0 s to 60 s; 75 s to 130 s"."""
    parts = [part for part in text.split(";") if part.strip()]
    return [[end.strip() for end in re.split(r"\s+(?:to|-|–)\s+", part.strip(), maxsplit=1)] for part in parts]


def course_headers(row: Mapping[str, Any], folder: Path) -> set[str]:
    """The headers of a course's recordings."""
    found = (header_of(folder / str(log)) for log in _listed(row.get("logs")))
    return {header for header in found if header}


def stated_readings(rows: Sequence[Mapping[str, Any]], draft: Values, base: Values, folder: Path) -> dict[str, Reading]:
    """The mappings that a draft states, by header: those changed, and those of the same course beside them."""
    touched, values = touched_headers(draft), all_values(draft, base)
    courses = [course_headers(row, folder) for row in rows]
    stated = touched.union(*(headers for headers in courses if headers & touched))
    return {header: reading_of(header, values) for header in stated}


def refuse_outside(data: Mapping[str, Any], draft: Values, base: Values, folder: Path, inside: Path) -> None:
    """Raise BadInput for a recording that a draft adds from outside the workspace, which `inside` is.

    Recordings that the event's own file names may lie anywhere.
    """
    known = {str(log) for row in table_rows(data, "course") for log in _listed(row.get("logs"))}
    added = (log for slot in slots_of(draft, base) for log in logs_of(draft, base, slot) if log not in known)
    for log in added:
        if "\0" in log or not (folder / log).resolve().is_relative_to(inside.resolve()):
            remedy = "lies outside the workspace; copy the recording into its folder first"
            raise BadInput([Fault("", "logs", log[:80], remedy)])


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def apply_courses(document: tomlkit.TOMLDocument, draft: Values, base: Values, folder: Path) -> list[dict[str, Any]]:
    """Write a draft's courses into a document, sessions following a course's new name; the courses' tables."""
    data = document.unwrap()
    rows = drafted_rows(data, draft, base, folder)
    if not rows:
        raise BadInput([Fault("", "course", "", "an event needs a course; keep one")])
    set_value(document, "course", rows)
    renamed = _renamed(draft, base)
    for number, session in enumerate(table_rows(data, "session"), 1):
        if session.get("course") in renamed:
            set_value(document, f"session[{number}].course", renamed[session["course"]])
    return rows


def _renamed(draft: Values, base: Values) -> dict[str, str]:
    """New names by old ones."""
    pairs = (
        (base["values"].get(f"{slot}.name"), value_of(draft, base, f"{slot}.name")) for slot in slots_of(draft, base)
    )
    return {old: new.strip() for old, new in pairs if old and new.strip() and old != new.strip()}
