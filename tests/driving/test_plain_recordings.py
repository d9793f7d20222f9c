"""A plain recording: comma separated, seconds, gauge boost, accelerations in g."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from planner.driving.recording import read_recording


def test_a_plain_csv_keeps_its_boost_at_every_sample(tmp_path: Path) -> None:
    time = np.arange(200) * 0.05
    boost = 70 * np.sin(time)
    path = tmp_path / "plain.csv"
    rows = [f"{t:.2f},{b:.6f},{0.1},{-0.2}" for t, b in zip(time, boost, strict=True)]
    path.write_text("time_s,boost_kPa,lateral_g,longitudinal_g\n" + "\n".join(rows) + "\n")

    trace = read_recording(path).trace

    np.testing.assert_allclose(trace.time, time, atol=1e-12)
    np.testing.assert_allclose(trace.boost, 1000 * boost, atol=1e-3)
    assert trace.lateral == pytest.approx(np.full(200, 0.1 * 9.80665))
    assert trace.longitudinal == pytest.approx(np.full(200, -0.2 * 9.80665))
