"""A recording written in any dialect reads back with the same use."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings

from planner.driving.recording import read_recording
from planner.driving.trace import Trace
from planner.event import Reading
from planner.use.consumption import trace_use
from planner.use.flow_curve import flow_curve
from tests.cars import CAR
from tests.driving.written import AMBIENT, Run, Style, drives, styles, written

CURVE = flow_curve(CAR)


def use_of(run: Run) -> float:
    """Use [m3] of a drive, from its samples as they are."""
    trace = Trace(run.time, run.boost, None, None, np.ones(run.time.size - 1, dtype=bool))
    return trace_use(CURVE, trace).injected


@settings(max_examples=150, deadline=None)
@given(run=drives(), style=styles())
def test_any_dialect_gives_the_same_use(run: Run, style: Style) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = written(run, style, Path(folder))
        recording = read_recording(path, Reading(ambient=AMBIENT if style.absolute else None))

    assert recording.absolute is style.absolute
    assert recording.trace.duration == pytest.approx(run.time[-1] - run.time[0], abs=1e-6)
    assert trace_use(CURVE, recording.trace).injected == pytest.approx(use_of(run), rel=1e-6, abs=1e-12)
    assert recording.gaps == ()
    assert recording.spikes_removed == 0
