"""Damaged files end in a recording or in a sentence; never in a traceback, a hang or a memory many times their size.

The environment variable FILLMARK_MUTATIONS sets how many are tried: 300 by default, 10000 before a release:
FILLMARK_MUTATIONS=10000 .venv/bin/python -m pytest tests/driving/test_mutated_files.py
"""

from __future__ import annotations

import gzip
import io
import os
import random
import tracemalloc
import zipfile
from collections.abc import Iterator

import numpy as np
import pyarrow as pa
import pytest

from planner.driving.recording import Recording, read_recording
from planner.errors import BadInput
from tests.driving.written import Run, Style, lines

COUNT = int(os.environ.get("FILLMARK_MUTATIONS", "300"))
MEMORY_RATIO = 20
SMALL = 6 * 2**20  # [bytes] that reading takes however small the file is
TOKENS = (
    b"\x00", b"\xff", b'"', b"'", b",", b";", b"\t", b"\r", b"\n", b"\n\n", b"-", b"1e308", b"-1e308",
    b"1e-320", b"NaN", b"inf", b"---", b"99:99:99.999", b"24:00:00", b"\xef\xbb\xbf", b"\xff\xfe", b"#",
    b"[kPa]", b"9" * 400, b" ", b"0" * 30, b"1,2,3,4", b"\xf0\x9f\x92\xa7", b"2026-02-31T25:61:61Z", b"Time",
    b"boost", b"\x1a", b"(", b"=1+1", b"1e5000", b"0x1F",
)  # fmt: skip


def _bases() -> list[bytes]:
    time = np.arange(120) * 0.1
    run = Run(time, 40e3 + 80e3 * np.sin(time))
    styles = (
        Style(others=("Engine RPM [rpm]", "Throttle [%]")),
        Style(separator=";", decimal=",", clock="of day", unit_style="line", trailing=True, title=("Title", "")),
        Style(separator="\t", clock="iso", encoding="utf-16", unit_style="cells", quoted=True),
        Style(separator=" ", clock="epoch ms", unit_style="_", newline="\r"),
    )
    plain = [("\n".join(lines(run, s)) + "\n").replace("\n", s.newline).encode(s.encoding) for s in styles]
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("drive.csv", plain[0])
    return [*plain, gzip.compress(plain[0], mtime=0), packed.getvalue(), _parquet(run), _workbook(run)]


def _parquet(run: Run) -> bytes:
    import pyarrow.parquet as pq

    out = io.BytesIO()
    pq.write_table(pa.table({"time_s": run.time, "boost_kPa": run.boost / 1e3}), out)
    return out.getvalue()


def _workbook(run: Run) -> bytes:
    import pandas as pd

    out = io.BytesIO()
    pd.DataFrame({"time_s": run.time, "boost_kPa": run.boost / 1e3}).to_excel(out, index=False)
    return out.getvalue()


def _mutated(data: bytes, dice: random.Random) -> bytes:
    """The bytes with one to six changes."""
    for _ in range(dice.randint(1, 6)):
        size = max(len(data), 1)
        at, other = sorted((dice.randrange(size), dice.randrange(size)))
        change = dice.randrange(7)
        if change == 0:
            data = data[:at] + bytes((dice.randrange(256),)) + data[at + 1 :]
        elif change == 1:
            data = data[:at] + dice.choice(TOKENS) + data[at:]
        elif change == 2:
            data = data[:at] + data[min(other, at + 200) :]
        elif change == 3:
            data = data[:other] + data[at : min(other, at + 2000)] + data[other:]
        elif change == 4:
            data = data[:other] if dice.random() < 0.3 else data
        elif change == 5:
            data = data.replace(
                dice.choice((b",", b".", b"\n", b":", b";")), dice.choice(TOKENS), dice.choice((1, 5, -1))
            )
        else:
            rows = data.split(b"\n")
            dice.shuffle(rows)
            data = b"\n".join(rows)
    return data[: 2**20]


def _check(recording: Recording) -> None:
    trace = recording.trace
    assert np.all(np.isfinite(trace.time))
    assert np.all(np.diff(trace.time) >= 0)
    assert np.all(np.isfinite(trace.boost))
    assert trace.covered.size == trace.time.size - 1


def _refused(data: bytes) -> BadInput | None:
    try:
        _check(read_recording(io.BytesIO(data)))
    except BadInput as reason:
        return reason
    return None


def _peak_of(data: bytes) -> int:
    """Memory [bytes] that reading took at its highest; whatever the outcome, it must be a recording or BadInput."""
    pool = pa.default_memory_pool()
    tracemalloc.clear_traces()
    tracemalloc.reset_peak()
    before = pool.bytes_allocated()
    refused = _refused(data)
    assert refused is None or ("\n" not in str(refused) and all(fault.remedy for fault in refused.faults)), refused
    return tracemalloc.get_traced_memory()[1] + max(pool.bytes_allocated() - before, 0)


@pytest.fixture
def traced() -> Iterator[None]:
    tracemalloc.start()
    yield
    tracemalloc.stop()


@pytest.mark.usefixtures("traced")
def test_mutated_files_are_read_or_refused_within_their_memory() -> None:
    bases = _bases()
    for data in bases:
        _peak_of(data)
    for number in range(COUNT):
        dice = random.Random(number)
        data = _mutated(dice.choice(bases), dice)
        try:
            peak = _peak_of(data)
        except Exception as reason:
            raise AssertionError(f"mutation {number} gives {type(reason).__name__}: {reason}") from reason
        most = max(MEMORY_RATIO * len(data), SMALL)
        again = peak if peak <= most else _peak_of(data)  # the first of its kind may import a library
        assert again <= most, f"mutation {number}: {again} bytes for {len(data)}"
