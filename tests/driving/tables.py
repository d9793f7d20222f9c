"""Small tables as text, read as recordings."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence

import numpy as np
import pytest

from planner.driving.recording import Recording, read_recording
from planner.errors import BadInput
from planner.event import Reading

Column = np.ndarray | Sequence[str]

TIME = np.arange(0, 90, 0.1)
BOOST = -40 + 80 * (1 + np.sin(TIME / 3))
"""kPa gauge, from -40 to 120."""


def csv(columns: Mapping[str, Column], separator: str = ",") -> str:
    """Columns (n,) as text, numbers with nine digits."""
    rows = zip(*columns.values(), strict=True)
    cells = ((cell if isinstance(cell, str) else f"{cell:.9g}" for cell in row) for row in rows)
    return separator.join(columns) + "\n" + "".join(separator.join(row) + "\n" for row in cells)


def read(table: Mapping[str, Column] | str | bytes, reading: Reading = Reading()) -> Recording:  # noqa: B008
    """The recording of a table, or of a file's text or bytes."""
    text = csv(table) if isinstance(table, Mapping) else table
    return read_recording(io.BytesIO(text.encode() if isinstance(text, str) else text), reading)


def refusal(table: Mapping[str, Column] | str | bytes, reading: Reading = Reading()) -> str:  # noqa: B008
    """The sentence with which a table is refused."""
    with pytest.raises(BadInput) as refused:
        read(table, reading)
    return str(refused.value)


def told(recording: Recording) -> str:
    """All notices."""
    return " ".join(recording.notices)
