"""A long recording cut into runs or laps, where the user says how."""

from __future__ import annotations

from planner.driving.recording import Recording
from planner.driving.trace import Trace
from planner.event import Reading


def runs_of(recording: Recording, reading: Reading = Reading()) -> tuple[Trace, ...]:  # noqa: B008
    """The runs of a recording; the whole of it where no split is asked."""
    return (recording.trace,)
