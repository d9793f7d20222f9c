"""Fluid that a car uses over a trace and over a course."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.driving.trace import Trace
from planner.event import Per
from planner.use.flow_curve import FlowCurve
from planner.use.spread import shrunk_variation

Array = np.ndarray

AT_ONCE = 12_000
"""Samples worked on together: few enough for the processor's cache, and for memory that is at hand already."""


@dataclass(frozen=True, slots=True)
class TraceUse:
    """What one trace takes: volumes [m3], times [s], the largest flow [m3/s] and boost [Pa gauge]."""

    injected: float
    siphoned: float
    duration: float
    recorded: float
    flowing: float
    largest_flow: float
    largest_boost: float


def _largest_flow(curve: FlowCurve, boost: Array, flow: Array, driven: Array) -> float:
    """Largest flow [m3/s] met on the driven intervals (n - 1,), the curve's peak between samples included."""
    at_start, at_end = np.append(driven, False), np.concatenate(([False], driven))
    above = boost >= curve.boost[np.argmax(curve.injected.left)]
    crossed = driven & (above[:-1] != above[1:])
    return curve.largest if crossed.any() else float(flow.max(initial=0.0, where=at_start | at_end))


def trace_use(curve: FlowCurve, trace: Trace) -> TraceUse:
    """Use of one trace, exact for boost that runs straight between samples; gaps carry none.

    Raises OutsideModel for a boost beyond the curve.
    """
    seconds = np.diff(trace.time) * trace.covered
    starts = range(0, max(seconds.size, 1), AT_ONCE)
    parts = [_part(curve, trace.boost[k : k + AT_ONCE + 1], seconds[k : k + AT_ONCE]) for k in starts]
    injected, siphoned, flowing, largest = zip(*parts, strict=True)
    return TraceUse(
        injected=sum(injected),
        siphoned=sum(siphoned),
        duration=trace.duration,
        recorded=trace.recorded,
        flowing=sum(flowing),
        largest_flow=max(largest),
        largest_boost=float(trace.boost.max()),
    )


def _part(curve: FlowCurve, boost: Array, seconds: Array) -> tuple[float, float, float, float]:
    """Injected, siphoned [m3], time flowing [s] and largest flow [m3/s] over boosts (n,), seconds (n - 1,) apart."""
    course = curve.knots.straight(boost)
    injected, siphoned, flowing = (
        float(values.means(course) @ seconds) for values in (curve.injected, curve.siphoned, curve.flowing)
    )
    return injected, siphoned, flowing, _largest_flow(curve, boost, curve.injected.values(course.place), seconds > 0)


@dataclass(frozen=True, slots=True)
class CourseUse:
    """Mean use of a course per run, lap or minute: injected, siphoned [m3]; variation [1] from session to session."""

    injected: float
    siphoned: float
    variation: float
    traces: tuple[TraceUse, ...]

    @property
    def drawn(self) -> float:
        """All that leaves the tank [m3] per run, lap or minute."""
        return self.injected + self.siphoned


def course_use(curve: FlowCurve, traces: Sequence[Trace], per: Per, usual_variation: float) -> CourseUse:
    """Use of a course from its traces; each is one run or lap, or a stretch whose minutes count.

    usual_variation [1] is the relative standard deviation taken where recordings are few.
    """
    uses = tuple(trace_use(curve, trace) for trace in traces)
    injected = np.array([use.injected for use in uses])
    siphoned = np.array([use.siphoned for use in uses])
    weights = np.array([use.recorded / 60.0 if per == "minute" else 1.0 for use in uses])
    total = float(weights.sum()) or 1.0
    with np.errstate(divide="ignore", invalid="ignore"):
        each = np.where(weights > 0, (injected + siphoned) / weights, 0.0)
    return CourseUse(
        injected=float(injected.sum()) / total,
        siphoned=float(siphoned.sum()) / total,
        variation=shrunk_variation(each, usual_variation, weights),
        traces=uses,
    )
