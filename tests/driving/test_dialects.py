"""A recording written in any dialect reads back with the same use.

The environment variable FILLMARK_DIALECTS sets how many are tried, then never the same: 150 by default, 5000 before a
release.
"""

from __future__ import annotations

import io
import os
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.driving.recording import read_recording
from planner.driving.trace import Trace
from planner.event import Reading
from planner.use.consumption import trace_use
from planner.use.flow_curve import flow_curve
from tests.cars import CAR
from tests.driving.written import AMBIENT, GAUGE_NAMES, PRESSURES, Run, Style, drives, styles, written

Form = tuple[str, str]
FORMS: tuple[Form, ...] = (
    ("s", "parquet"),
    ("ms", "parquet"),
    ("stamps", "parquet"),
    ("durations", "parquet"),
    ("texts", "parquet"),
    ("s", "xlsx"),
    ("stamps", "xlsx"),
    ("texts", "xlsx"),
)
CURVE = flow_curve(CAR)
USUAL = 150
COUNT = int(os.environ.get("FILLMARK_DIALECTS", USUAL))


def use_of(run: Run) -> float:
    """Use [m3] of a drive, from its samples as they are."""
    trace = Trace(run.time, run.boost, None, None, np.ones(run.time.size - 1, dtype=bool))
    return trace_use(CURVE, trace).injected


@settings(max_examples=COUNT, deadline=None, derandomize=COUNT == USUAL)
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


@settings(max_examples=COUNT // 4, deadline=None, derandomize=COUNT == USUAL)
@given(run=drives(even=True), style=styles())
def test_rows_at_a_stated_rate_give_the_same_use_without_a_clock(run: Run, style: Style) -> None:
    reading = Reading(rate=1 / (run.time[1] - run.time[0]), absolute=style.absolute, ambient=AMBIENT)
    with tempfile.TemporaryDirectory() as folder:
        path = written(run, replace(style, clock="none"), Path(folder))
        recording = read_recording(path, reading)

    assert trace_use(CURVE, recording.trace).injected == pytest.approx(use_of(run), rel=1e-6, abs=1e-12)


@settings(max_examples=COUNT // 4, deadline=None, derandomize=COUNT == USUAL)
@given(
    run=drives(), name=st.sampled_from(GAUGE_NAMES), unit=st.sampled_from(tuple(PRESSURES)), form=st.sampled_from(FORMS)
)
def test_parquet_and_workbooks_give_the_same_use(run: Run, name: str, unit: str, form: Form) -> None:
    clock, kind = form
    frame = pd.DataFrame(
        {clock_name(clock): clock_cells(run.time, clock), f"{name} [{unit}]": run.boost / PRESSURES[unit]}
    )
    packed = io.BytesIO()
    if kind == "parquet":
        frame.to_parquet(packed, index=False)
    else:
        with pd.ExcelWriter(packed) as book:
            pd.DataFrame({"note": ["made by hand"]}).to_excel(book, sheet_name="about", index=False)
            frame.to_excel(book, sheet_name="drive", index=False, startrow=2)
    recording = read_recording(io.BytesIO(packed.getvalue()))

    assert recording.trace.time == pytest.approx(run.time, abs=2e-6)
    assert trace_use(CURVE, recording.trace).injected == pytest.approx(use_of(run), rel=1e-5, abs=1e-10)


def clock_name(clock: str) -> str:
    return {"s": "Time [s]", "ms": "Time [ms]"}.get(clock, "Time")


def clock_cells(time: np.ndarray, clock: str) -> object:
    milliseconds = np.round(1e3 * time).astype(int)
    start = pd.Timestamp("2026-05-16 23:59:58")
    return {
        "s": lambda: time,
        "ms": lambda: milliseconds,
        "stamps": lambda: start + pd.to_timedelta(milliseconds, "ms"),
        "durations": lambda: pd.to_timedelta(milliseconds, "ms"),
        "texts": lambda: [str((start + pd.Timedelta(m, "ms")).time()) for m in milliseconds],
    }[clock]()
