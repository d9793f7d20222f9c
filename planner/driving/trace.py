"""One run, lap or stretch of driving against time: what every course comes down to before use is computed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

Array = np.ndarray


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """Boost and acceleration against time.

    time: (n,) [s], never falling; equal neighbours are a step.
    boost: (n,) [Pa gauge]; straight from sample to sample.
    lateral, longitudinal: (n,) [m/s2] (ISO 8855: left-hand corner, speeding up positive), or None if unknown.
    covered: (n - 1,) bool; False where the recording has a gap, which carries no use.
    name: for messages.
    """

    time: Array
    boost: Array
    lateral: Array | None
    longitudinal: Array | None
    covered: Array
    name: str = ""

    @property
    def duration(self) -> float:
        """From the first sample to the last [s], gaps included."""
        return float(self.time[-1] - self.time[0])

    @property
    def recorded(self) -> float:
        """Time covered by the recording [s], gaps left out."""
        return float(np.sum(np.diff(self.time)[self.covered]))

    @property
    def cornering_known(self) -> bool:
        """Whether the trace holds any acceleration."""
        return self.lateral is not None or self.longitudinal is not None
