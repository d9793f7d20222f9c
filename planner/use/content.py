"""Traces that compare by what they hold, so that work on them is done once and kept."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from planner.driving.trace import Trace


def _digest(trace: Trace) -> bytes:
    digest = hashlib.blake2b(digest_size=16)
    for values in (trace.time, trace.boost, trace.lateral, trace.longitudinal, trace.covered):
        digest.update(b"none" if values is None else np.ascontiguousarray(values).data)
        digest.update(b"|")
    return digest.digest()


@dataclass(frozen=True, slots=True)
class TraceSet:
    """Traces, equal to others with the same samples; names do not count."""

    digests: tuple[bytes, ...]
    traces: tuple[Trace, ...] = field(compare=False)


def trace_set(traces: Sequence[Trace]) -> TraceSet:
    """The traces as a key of a cache."""
    return TraceSet(tuple(_digest(trace) for trace in traces), tuple(traces))
