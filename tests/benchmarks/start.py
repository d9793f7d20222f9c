"""The cold start of `fillmark plan` against a bare interpreter that imports numpy and pandas."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.measure import Row, seconds

EVENT = Path(__file__).resolve().parents[2] / "events_demo" / "events" / "teapot-ring-open-day.toml"


def _run(*arguments: str) -> None:
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def rows() -> Iterator[Row]:
    """(plan - 0.5 s) over the bare start, pair by pair."""
    values = []
    for turn in range(6):
        plan = seconds(lambda: _run("-m", "planner.cli.main", "plan", str(EVENT), "--json"))
        bare = seconds(lambda: _run("-c", "import numpy, pandas"))
        if turn:
            values.append((plan - 0.5) / bare)
    yield Row("(fillmark plan, cold - 0.5 s) / import numpy, pandas", tuple(values), 1.5)
