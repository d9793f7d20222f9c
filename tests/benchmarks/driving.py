"""An hour at 100 Hz: from file to litres against pandas' own read, and the integral against numpy's sum."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd

from planner.driving.recording import read_recording
from planner.driving.trace import Trace
from planner.use.consumption import trace_use
from planner.use.flow_curve import flow_curve
from tests.benchmarks.measure import Row, ratios
from tests.cars import CAR

ROWS = 360_000


def hour(generator: np.random.Generator) -> pd.DataFrame:
    """Ten columns of an hour at 100 Hz: boost in bursts, accelerations, and what loggers write beside them."""
    time = np.arange(ROWS) / 100
    boost = np.clip(90 * np.sin(time / 3) + 20 * np.sin(time / 17) + generator.normal(0, 1, ROWS), -60, 120)
    columns = {"time_s": time, "boost_kPa": boost}
    columns |= {"lateral_g": np.sin(time / 5), "longitudinal_g": np.cos(time / 4) / 2}
    columns |= {f"channel_{k}": generator.normal(50, 10, ROWS) for k in range(6)}
    return pd.DataFrame(columns).round(4)


def rows() -> Iterator[Row]:
    """File to litres, and the integral alone."""
    frame, curve = hour(np.random.default_rng(1)), flow_curve(CAR)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "hour.csv"
        frame.to_csv(path, index=False)
        values = ratios(lambda: trace_use(curve, read_recording(path).trace), lambda: pd.read_csv(path))
        yield Row("one hour at 100 Hz, ten columns, file to litres / pandas.read_csv", values, 1.25)
    ten = np.ascontiguousarray(frame.to_numpy())
    seen = np.ones(ROWS - 1, dtype=bool)
    trace = Trace(ten[:, 0].copy(), ten[:, 1] * 1e3, None, None, seen)
    seconds = np.diff(trace.time)

    def integral() -> float:
        return float(curve.injected.means(curve.knots.straight(trace.boost)) @ seconds)

    yield Row("the integral alone / numpy.sum over ten columns", ratios(integral, lambda: np.sum(ten), 15), 8.0)
