"""The tools over the session grid: from what is typed beside a tool to new rows, or to what to write instead."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from dashboard.presenters.session_edit import Row, for_two_drivers, heats, minutes_of, repeated, shifted

Values = Mapping[str, str]


class _Unreadable(ValueError):
    pass


def _whole(values: Values, name: str, what: str, low: int, high: int) -> int:
    text = values.get(name, "").strip().replace("−", "-")
    try:
        number = int(text)
    except ValueError:
        raise _Unreadable(f"{what}: write a whole number, such as 10") from None
    if not low <= number <= high:
        raise _Unreadable(f"{what}: write a number from {low} to {high}")
    return number


def _shift(rows: Sequence[Row], values: Values, day: str) -> tuple[list[Row], str]:
    minutes = _whole(values, "minutes", "Minutes", -720, 720)
    return shifted(rows, minutes, day), f"All sessions are {abs(minutes)} min {'earlier' if minutes < 0 else 'later'}."


def _repeat(rows: Sequence[Row], values: Values, day: str) -> tuple[list[Row], str]:
    every, times = _whole(values, "every", "Minutes", 1, 720), _whole(values, "times", "Times", 1, 50)
    if not rows:
        raise _Unreadable("Add a session first; the last one is repeated")
    return repeated(rows, every, times, day), f"The last session is repeated {times} times, every {every} min."


def _two(rows: Sequence[Row], values: Values, day: str) -> tuple[list[Row], str]:
    first, second = values.get("first", "").strip(), values.get("second", "").strip()
    if not first or not second or first == second:
        raise _Unreadable("Write the two drivers' names")
    later = _whole(values, "later", "Minutes", 1, 240)
    return for_two_drivers(rows, (first, second), later, day), f"Each session is now {first}'s, then {second}'s."


def _heats(rows: Sequence[Row], values: Values, day: str) -> tuple[list[Row], str]:
    starts = [minutes_of(text) for text in values.get("starts", "").replace(";", ",").split(",")]
    found = [start for start in starts if start is not None]
    if len(found) != len(starts):
        raise _Unreadable("Heats begin at: write times with commas, such as 09:30, 11:45")
    runs, every = _whole(values, "runs", "Runs", 1, 20), _whole(values, "every", "Minutes", 1, 240)
    template = dict(rows[0]) if rows else {"length": "2 min", "gap": "paddock"}
    return heats(template, found, runs, every), f"{len(found)} heats of {runs} runs took the place of the sessions."


_TOOLS: dict[str, Callable[[Sequence[Row], Values, str], tuple[list[Row], str]]] = {
    "shift": _shift,
    "repeat": _repeat,
    "two": _two,
    "heats": _heats,
}


def tool_rows(tool: str, rows: Sequence[Row] | None, values: Values, day: str) -> tuple[list[Row] | None, str]:
    """The rows that a tool makes, and what it did; None and what to write instead where its fields cannot be read."""
    try:
        return _TOOLS[tool](rows or [], values, day)
    except _Unreadable as reason:
        return None, f"{reason}."
