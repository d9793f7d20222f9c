"""Two million rows within one gibibyte: peak memory of `fillmark use` in a process of its own, for several dialects."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pa_csv

from tests.benchmarks.measure import Row

ROWS = 2_000_000
MOST = 1024.0  # [MiB]
CAR = Path(__file__).parents[2] / "events_demo" / "cars" / "teapot.toml"


def plain() -> pa.Table:
    """Numbers alone: time, boost, accelerations and six other channels."""
    time = np.arange(ROWS) / 100
    generator = np.random.default_rng(1)
    columns = {"time_s": time, "boost_kPa": _boost(time)}
    columns |= {"lateral_g": np.sin(time / 5), "longitudinal_g": np.cos(time / 4) / 2}
    columns |= {f"channel_{k}": generator.normal(50, 10, ROWS) for k in range(6)}
    return pa.table({name: np.round(values, 4) for name, values in columns.items()})


def stamped() -> pa.Table:
    """Stamps with a date as text, pressure held for ten rows, speed and course: the dearest of the dialects."""
    time = np.arange(ROWS) / 100
    stamps = np.datetime64("2026-05-16T09:00:00.000") + (np.arange(ROWS) * 10).astype("timedelta64[ms]")
    columns = {"timestamp": pa.array(np.datetime_as_string(stamps))}
    columns |= {"MAP [kPa]": pa.array(np.repeat(np.round(_boost(time[::10]) + 100, 2), 10))}
    columns |= {"speed [km/h]": pa.array(np.round(100 + 20 * np.sin(time / 9), 1))}
    return pa.table(columns | {"heading": pa.array(np.round(3 * time % 360, 1))})


def _boost(time: np.ndarray) -> np.ndarray:
    return np.clip(90 * np.sin(time / 3) + 20 * np.sin(time / 17), -60, 120)


def commas(table: pa.Table) -> pa.Table:
    """The table with decimal commas."""
    texts = {name: pc.replace_substring(table[name].cast(pa.string()), ".", ",") for name in table.column_names[:6]}
    return pa.table(texts)


def peak(path: Path) -> float:
    """Peak memory [MiB] of `fillmark use` over a recording. Raises RuntimeError where it fails."""
    arguments = [sys.executable, "-m", "planner.cli.main", "use", str(CAR), str(path), "--json"]
    with path.with_suffix(".out").open("wb") as out:
        actions = [(os.POSIX_SPAWN_DUP2, out.fileno(), 1), (os.POSIX_SPAWN_DUP2, out.fileno(), 2)]
        child = os.posix_spawn(sys.executable, arguments, os.environ, file_actions=actions)
        _, status, used = os.wait4(child, 0)
    if status:
        raise RuntimeError(path.with_suffix(".out").read_text())
    return used.ru_maxrss / 1024


def rows() -> Iterator[Row]:
    """Peak memory for a plain file, one of stamps and held values, and one of decimal commas in UTF-16."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "long.csv"
        for name, make in (("numbers", plain), ("stamps, held", stamped)):
            pa_csv.write_csv(make(), path, pa_csv.WriteOptions(quoting_style="none"))
            yield Row(f"2 million rows, {name}: peak memory", (peak(path),), MOST, "MiB")
        pa_csv.write_csv(commas(plain()), path, pa_csv.WriteOptions(delimiter=";", quoting_style="none"))
        path.write_bytes(path.read_bytes().decode().encode("utf-16"))
        yield Row("2 million rows, decimal commas in UTF-16: peak memory", (peak(path),), MOST, "MiB")
