"""The name of a place in a file, as faults show it and edits take it: nozzle[2].rated_flow, counted from 1."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from planner.errors import BadInput, Fault
from planner.files.toml_text import printable

_STEP = re.compile(r"\.?([A-Za-z0-9_-]+)|\[([1-9]\d{0,5})\]")
Step = str | int


def under(key: str, steps: Iterable[Step]) -> str:
    """A place below a key: "course[1]" and ("pieces", 0) is course[1].pieces[1]."""
    text = key
    for step in steps:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else step
    return printable(text)[:80]


def steps_of(key: str) -> tuple[Step, ...]:
    """The steps to a place, lists counted from 0: the inverse of `under`. Raises BadInput."""
    steps: list[Step] = []
    position = 0
    while position < len(key):
        match = _STEP.match(key, position)
        if not match:
            raise BadInput([Fault("", key, "", "not a key; write one such as tank.length or nozzle[2].rated_flow")])
        steps.append(match[1] if match[1] else int(match[2]) - 1)
        position = match.end()
    return tuple(steps)


def value_at(data: Any, key: str) -> Any:
    """What stands at a place of a file's data, or None."""
    try:
        for step in steps_of(key):
            data = data[step]
    except (LookupError, TypeError, BadInput):
        return None
    return data
