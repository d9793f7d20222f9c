"""What must hold between the keys of event.toml: sources of a course, names that refer to each other, files."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from planner.files.course_tables import CourseTable
from planner.files.event_tables import RefillTable, SessionTable
from planner.files.fields import near
from planner.files.tables import Findings, has

_SOURCES = ("logs", "pieces", "time_at_boost")
_OF_LOGS = ("columns", "units", "absolute", "ambient", "rate", "split")


def check_course(course: CourseTable, number: int, folder: Path, findings: Findings) -> None:
    """Note what is wrong between the keys of one course, and its logs that are not there."""
    key = f"course[{number}]"
    raw = _raw(findings, "course", number)
    _check_source(course, raw, key, findings)
    if has(course, "logs"):
        check_logs(course.logs, key, folder, findings)
    if has(course, "per", "time_at_boost") and course.per == "minute":
        total = sum(time for _, time in course.time_at_boost)
        if total > 60 + 1e-6:
            findings.blame(f"{key}.time_at_boost", f"adds up to {total:.4g} s of a minute; write at most 60 s in all")
    if has(course, "split") and course.split:
        _check_split(course, key, findings)


def _raw(findings: Findings, table: str, number: int) -> Mapping[str, Any]:
    entries = findings.document.get(table)
    entry = entries[number - 1] if isinstance(entries, list) and len(entries) >= number else entries
    return entry if isinstance(entry, Mapping) else {}


def _check_source(course: CourseTable, raw: Mapping[str, Any], key: str, findings: Findings) -> None:
    given = [source for source in _SOURCES if source in {near(name, _SOURCES) for name in raw}]
    if not given:
        name = course.__dict__.get("name")
        findings.add(key, name, "says nothing of the driving; give it one of logs, pieces or time_at_boost")
    for extra in given[1:]:
        findings.blame(f"{key}.{extra}", f"a course has one of logs, pieces and time_at_boost; keep this or {given[0]}")
    if given and "pieces" not in given and "spool" in raw:
        findings.blame(f"{key}.spool", "is for pieces alone, as the boost of others rises as it was given; remove it")
    for name in _OF_LOGS:
        if given and "logs" not in given and name in raw:
            findings.blame(f"{key}.{name}", "is for reading logs, and this course has none; remove it")


def check_logs(logs: Sequence[str], key: str, folder: Path, findings: Findings) -> None:
    """Note each log that is not there, or that is named twice."""
    for index, log in enumerate(logs):
        place = f"{key}.logs[{index + 1}]"
        if log in logs[:index]:
            findings.blame(place, "named twice, which would count it twice; remove one")
        elif remedy := missing_file(folder, log):
            findings.blame(place, remedy)


def missing_file(folder: Path, name: str) -> str:
    """What to do about a file that is not there; empty where it is."""
    path = os.path.join(folder, name)
    if os.path.isfile(path):
        return ""
    if os.path.isdir(path):
        return "a folder, not a file; name a file in it"
    if "\\" in name:
        return f"no such file; write / between folders: {short_path(name)}"
    try:
        names = os.listdir(os.path.dirname(path) or ".")
    except (OSError, ValueError):
        return "no such file, and no such folder; write the path from this file"
    close = get_close_matches(os.path.basename(path), names, n=1)
    return f"no such file; did you mean {close[0]}?" if close else "no such file; write the path from this file"


def short_path(name: str) -> str:
    """A path with forward slashes, its end if it is long."""
    return name.replace("\\", "/")[-60:]


def _check_split(course: CourseTable, key: str, findings: Findings) -> None:
    split = course.split
    assert split is not None
    given = sorted(split.model_fields_set)
    if len(given) != 1:
        findings.blame(f"{key}.split", "needs one of column, stops_longer and windows")
    for number, (start, end) in enumerate(split.windows, 1):
        if end <= start:
            findings.blame(f"{key}.split.windows[{number}]", "must end after it starts; write the start first")


def check_course_names(courses: Sequence[CourseTable | None], findings: Findings) -> None:
    """Note each course whose name an earlier one has."""
    seen: dict[str, int] = {}
    for number, course in enumerate(courses, 1):
        if course is not None and has(course, "name"):
            if course.name in seen:
                findings.blame(f"course[{number}].name", f"course[{seen[course.name]}] has that name; choose another")
            seen.setdefault(course.name, number)


def check_references(
    sessions: Sequence[SessionTable | None], courses: Sequence[CourseTable | None], findings: Findings
) -> None:
    """Note each session that drives a course which the file has not."""
    known = [course.name for course in courses if course is not None and has(course, "name")]
    for number, session in enumerate(sessions, 1):
        if session is None or not has(session, "course") or session.course in known:
            continue
        guess = near(session.course, known)
        if guess or len(known) == len(courses):
            offered = f'did you mean "{guess}"?' if guess else f"the file has: {', '.join(known) or 'none'}"
            findings.blame(f"session[{number}].course", f"no course of that name; {offered}")


def check_gaps(sessions: Sequence[SessionTable | None], refill: RefillTable | None, findings: Findings) -> None:
    """Note each gap whose name differs from one of refill.stop_at by capitals or blanks alone."""
    if refill is None or not has(refill, "stop_at") or not refill.stop_at:
        return
    folded = {_folded(name): name for name in refill.stop_at}
    for number, session in enumerate(sessions, 1):
        gap = session.gap if session is not None and has(session, "gap") else None
        if gap and gap not in refill.stop_at and _folded(gap) in folded:
            findings.blame(f"session[{number}].gap", f'refill.stop_at has "{folded[_folded(gap)]}"; spell both alike')


def _folded(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())
