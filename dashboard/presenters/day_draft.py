"""A day as drafted on its page: the event's file, what was typed, and what is tried, down to the outcome."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from dashboard.presenters.event_form import EVENT_FIELDS, GRIDS, event_form
from dashboard.presenters.file_page import Done, FilePage
from dashboard.presenters.form import YES, drafted, faults_by_cell
from dashboard.presenters.outcome import Outcome, outcome_of_text
from dashboard.presenters.session_edit import Row
from dashboard.presenters.what_if import Trial, trial_of
from planner.errors import BadInput, Fault
from planner.files.toml_text import short

HOMES = {"boost": 0.0, "laps": 0.0, "hotter": 0.0, "tank": 1.0}
SAVED_TRIALS = ("confidence", "extra", "priority", "allow", "laps")


@dataclass(frozen=True, slots=True)
class Drafted:
    """The outcome of a draft, and its faults by field and by cell."""

    outcome: Outcome
    fields: Mapping[str, str]
    cells: Mapping[str, Mapping[str, str]]


def day_base(path: Path) -> dict[str, Any]:
    """The event's form, with the home of each what-if slider. Raises BadInput for a file that is not TOML."""
    form = event_form(path)
    try:
        confidence = float(form["values"]["reserve.confidence"])
    except ValueError:
        confidence = 0.99
    return {**form, "homes": {**HOMES, "confidence": confidence}}


def drafted_day(path: Path, draft: Mapping[str, Any] | None, inside: Path | None = None) -> Drafted:
    """What becomes of a day with a draft; `inside` is the workspace's folder, in which a car that is typed lies."""
    outcome = _outcome(path, draft or {}, inside)
    fields, cells = faults_by_cell(outcome.faults, GRIDS)
    return Drafted(outcome, fields, cells)


def _outcome(path: Path, draft: Mapping[str, Any], inside: Path | None) -> Outcome:
    try:
        refuse_car_outside(path, draft, inside)
    except BadInput as reason:
        return Outcome(faults=reason.faults)
    made = drafted(path, draft, EVENT_FIELDS, GRIDS)
    return (
        Outcome(faults=made.faults) if made.faults else outcome_of_text(made.text, path, trial_of(draft.get("trial")))
    )


def refuse_car_outside(path: Path, draft: Mapping[str, Any], inside: Path | None) -> None:
    """Raise BadInput for a car that is typed and lies outside the workspace: its faults would quote a strange file.

    The car that the event's file names itself may lie anywhere.
    """
    name = str((draft.get("values") or {}).get("car") or "").strip()
    if inside is None or not name or "\0" in name or (path.parent / name).resolve().is_relative_to(inside.resolve()):
        return
    if name != event_form(path)["values"]["car"]:
        remedy = "lies outside the workspace; copy the car's file into its folder first"
        raise BadInput([Fault(path.name, "car", short(name), remedy)])


def short_faults(outcome: Outcome, path: Path) -> list[str]:
    """The outcome's faults as sentences, the event's own without the file's path before them."""
    return [replace(fault, file=_short(fault, path)).line() for fault in outcome.faults]


def _short(fault: Fault, path: Path) -> str:
    return "" if fault.key and fault.file in (str(path), path.name) else Path(fault.file).name


def said_changes(draft: Mapping[str, Any]) -> list[str]:
    """What a draft changes, in short phrases."""
    trial = trial_of(draft.get("trial"))
    said = []
    if draft.get("values") or draft.get("grids"):
        said.append("edited, not saved")
    tried = {
        "confidence": "confidence",
        "extra": "extra runs",
        "priority": "priority",
        "boost": "boost",
        "laps": "runs",
        "hotter": "temperature",
        "tank": "tank",
        "allow": "a refill allowed",
    }
    names = [text for key, text in tried.items() if getattr(trial, key) != getattr(Trial(), key)]
    if names:
        said.append(f"tried only: {', '.join(names)}")
    return said


def rows_with_trial(rows: Sequence[Row], trial: Trial) -> list[Row]:
    """Session rows with the laps and refills that were tried."""
    return [
        {
            **row,
            "runs": _more(row.get("runs", ""), trial.laps),
            "refill": YES if number in trial.allow else row.get("refill", ""),
        }
        for number, row in enumerate(rows, 1)
    ]


def _more(text: str, laps: float) -> str:
    try:
        return f"{max(float(text) + laps, 1):g}" if laps else text
    except ValueError:
        return text


def to_save(draft: Mapping[str, Any], form: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """The draft with what was tried turned into the file's keys, and the tried rest that no event file holds."""
    trial = trial_of(draft.get("trial"))
    values, grids = dict(draft.get("values") or {}), dict(draft.get("grids") or {})
    if trial.confidence is not None:
        values["reserve.confidence"] = f"{trial.confidence:g}"
    if trial.extra is not None:
        values["reserve.extra"] = f"{trial.extra:g}"
    if trial.priority:
        values["refill.priority"] = trial.priority
    if trial.laps or trial.allow:
        grids["session"] = rows_with_trial(grids.get("session") or form["grids"]["session"], trial)
    rest = {key: value for key, value in (draft.get("trial") or {}).items() if key not in SAVED_TRIALS}
    return {**draft, "values": values, "grids": grids}, rest


@dataclass(frozen=True, slots=True)
class DayFile(FilePage):
    """The event's file as the page Day edits it; `inside` is the workspace's folder."""

    inside: Path | None = None

    def save(self, path: Path, draft: Mapping[str, Any], base: Mapping[str, Any]) -> Done:
        """Write a draft to the file. Raises FillmarkError with what stands in the way; nothing is written then."""
        refuse_car_outside(path, draft, self.inside)
        return FilePage.save(self, path, draft, base)


DAY_FILE = DayFile(
    "day",
    EVENT_FIELDS,
    GRIDS,
    day_base,
    to_save,
    "Boost, temperature and tank stay tried: an event's file does not hold them.",
)
