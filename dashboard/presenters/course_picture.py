"""A course as pictures: boost and flow over time with its runs on top of each other, and time at each boost.

Long recordings are thinned for drawing: of each short stretch the lowest and the highest boost stay, so no peak is
lost. Use is never worked out from what is drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dashboard.presenters.course_answer import drawn_each, seconds
from dashboard.presenters.course_use import CourseView
from dashboard.presenters.display import Display
from dashboard.presenters.table import Column, Row, TableData
from planner.driving.trace import Trace
from planner.units import Dimension
from planner.use.flow_curve import FlowCurve, flow_curve
from planner.use.time_at_boost import time_at_boost

Array = np.ndarray

MOST_POINTS = 4000  # on one picture, all runs together
MOST_RUNS = 24
MOST_GAPS = 60
MOMENTS = 25
ML_MIN = 6e7
_MINUTES_FROM = 300.0  # [s] from which the axis shows minutes
_BAND = {"metric": 0.1, "us": 1.0, "imperial": 1.0}  # width of a band in the unit shown
_MOST_BANDS = 60


@dataclass(frozen=True, slots=True, eq=False)
class RunLine:
    """One run: time, boost and flow (n,) in the units shown, NaN at gaps; role is only, most, least or other."""

    label: str
    time: Array
    boost: Array
    flow: Array
    role: str


@dataclass(frozen=True, slots=True)
class Bands:
    """Time at boost: the middle of each band, its width, seconds per run (or lap, minute), and flow at its middle.

    curve_boost, curve_flow: the car's flow against boost; seconds_below is the time below the first band.
    """

    middle: list[float]
    width: float
    seconds: list[float]
    flow: list[float]
    curve_boost: list[float]
    curve_flow: list[float]
    seconds_below: float


@dataclass(frozen=True, slots=True)
class CoursePicture:
    """Everything that is drawn of a course, in the units shown; left_out counts the runs that are not drawn."""

    lines: tuple[RunLine, ...]
    bands: Bands
    time_unit: str
    boost_unit: str
    flow_unit: str
    per: str
    left_out: int = 0


def places_kept(values: Array, covered: Array, bins: int) -> Array:
    """Places, rising, of the samples (n,) to draw: lowest and highest of each of so many stretches, ends, gap ends."""
    if values.size <= 2 * bins + 2:
        return np.arange(values.size)
    length = -(-values.size // bins)
    whole = values.size // length
    body = values[: whole * length].reshape(whole, length)
    starts = np.arange(whole) * length
    tail = np.arange(whole * length, values.size)
    rest = tail[[np.argmin(values[tail]), np.argmax(values[tail])]] if tail.size else tail
    gaps = np.flatnonzero(~covered)[:MOST_GAPS]
    found = (starts + body.argmin(axis=1), starts + body.argmax(axis=1), rest, gaps, gaps + 1, [0, values.size - 1])
    return np.unique(np.concatenate(found))


def _with_breaks(values: Array, kept: Array, covered: Array) -> Array:
    """Kept samples in single precision, which is plenty for drawing, with NaN where a gap follows."""
    gaps = np.flatnonzero(~covered)
    return np.insert(values.astype(np.float32), np.searchsorted(kept, gaps[np.isin(gaps, kept)]) + 1, np.nan)


def run_line(
    trace: Trace, curve: FlowCurve | None, display: Display, *, label: str, role: str, bins: int, minutes: bool
) -> RunLine:
    """A run thinned to so many stretches, its time from its own start."""
    kept = places_kept(trace.boost, trace.covered, bins)
    time, boost = (trace.time[kept] - trace.time[0]) / (60.0 if minutes else 1.0), trace.boost[kept]
    flow = np.zeros_like(boost) if curve is None else curve.flow(boost) * ML_MIN
    shown = (time, _arrays(boost / 1e3, display, "pressure"), _arrays(flow, display, "flow"))
    at, boosts, flows = (_with_breaks(values, kept, trace.covered) for values in shown)
    return RunLine(label, at, boosts, flows, role)


def _arrays(values: Array, display: Display, dimension: Dimension) -> Array:
    """Values (n,) of the data in the unit shown: the same straight line as for one value."""
    zero, one = display.number(0.0, dimension), display.number(1.0, dimension)
    return zero + values * (one - zero)


def roles(view: CourseView) -> list[str]:
    """What each run is among all: only, most, least or other."""
    if len(view.traces) < 2 or view.use is None:
        return ["only" if len(view.traces) == 1 else "other"] * len(view.traces)
    each = drawn_each(view)
    most, least = int(np.argmax(each)), int(np.argmin(each))
    return ["most" if i == most else "least" if i == least else "other" for i in range(len(each))]


def course_picture(view: CourseView, display: Display) -> CoursePicture | None:
    """What is drawn of a course; None where it has no traces. Raises OutsideModel for boost beyond the flow curve."""
    if not view.traces:
        return None
    curve = flow_curve(view.car) if view.car else None
    named = list(zip(view.labels, view.traces, roles(view), strict=True))
    drawn = sorted(named, key=lambda one: one[2] == "other")[:MOST_RUNS]
    drawn = sorted(drawn, key=lambda one: one[2] != "other")
    longest = max(trace.duration for _, trace, _ in drawn)
    minutes, recorded = longest >= _MINUTES_FROM, sum(trace.recorded for _, trace, _ in drawn) or 1.0
    shares = [trace.recorded / recorded for _, trace, _ in drawn]
    lines = tuple(
        run_line(trace, curve, display, label=label, role=role, bins=_bins(share), minutes=minutes)
        for (label, trace, role), share in zip(drawn, shares, strict=True)
    )
    return CoursePicture(
        lines,
        bands_of(view, curve, display),
        "min" if minutes else "s",
        display.unit("pressure"),
        display.unit("flow"),
        view.per,
        len(named) - len(drawn),
    )


def _bins(share: float) -> int:
    """Stretches to which a run is thinned that is this share of all that is drawn."""
    return int(np.clip(0.5 * MOST_POINTS * share, 20, 700))


def band_edges(traces: Sequence[Trace], display: Display) -> Array:
    """Edges [Pa gauge], rising, of bands of a round width in the unit shown, from the air outside up."""
    unit = 1e3 / display.number(1.0, "pressure")
    width = _BAND.get(display.system, 0.1) * unit
    top = max(float(trace.boost.max()) for trace in traces)
    low = 0.0 if top > 0 else min(float(trace.boost.min()) for trace in traces)
    width *= max(1, int(np.ceil((top - low) / width / _MOST_BANDS)))
    first = np.floor(low / width + 1e-9)
    return width * np.arange(first, max(np.ceil(top / width - 1e-9), first + 1) + 1)


def bands_of(view: CourseView, curve: FlowCurve | None, display: Display) -> Bands:
    """Time at each boost beside the flow there."""
    edges = band_edges(view.traces, display)
    share = sum(trace.recorded / 60 if view.per == "minute" else 1.0 for trace in view.traces) or 1.0
    times = time_at_boost(view.traces, np.append(edges, np.inf))[:-1] / share
    below = sum(trace.recorded for trace in view.traces) / share - float(times.sum())
    middle = (edges[:-1] + edges[1:]) / 2
    fine = np.linspace(edges[0], edges[-1], 121)
    flows = [np.zeros_like(at) if curve is None else curve.flow(at) * ML_MIN for at in (middle, fine)]
    return Bands(
        middle=_shown(middle / 1e3, display, "pressure", 4),
        width=round(display.number((edges[1] - edges[0]) / 1e3, "pressure"), 4),
        seconds=[round(float(time), 3) for time in times],
        flow=_shown(flows[0], display, "flow", 2),
        curve_boost=_shown(fine / 1e3, display, "pressure", 4),
        curve_flow=_shown(flows[1], display, "flow", 2),
        seconds_below=max(below, 0.0),
    )


def _shown(values: Array, display: Display, dimension: Dimension, digits: int) -> list[float]:
    return [float(value) for value in np.round(_arrays(values, display, dimension), digits)]


def time_table(view: CourseView, display: Display) -> TableData:
    """Boost and flow of the run that takes most, at moments evenly apart."""
    named = zip(view.labels, view.traces, roles(view), strict=True)
    label, trace, _ = max(named, key=lambda one: one[2] in ("most", "only"))
    moments = np.linspace(trace.time[0], trace.time[-1], MOMENTS)
    boosts = np.interp(moments, trace.time, trace.boost)
    flows = flow_curve(view.car).flow(boosts) * ML_MIN if view.car else np.zeros_like(boosts)
    rows = tuple(
        Row(seconds(float(at - trace.time[0])), (display.pressure(float(boost) / 1e3), display.flow(float(flow))))
        for at, boost, flow in zip(moments, boosts, flows, strict=True)
    )
    caption = f"Boost and flow of {label} at {MOMENTS} moments" + (", the run that takes most" * (len(view.traces) > 1))
    return TableData(caption, "Time", (Column("Boost"), Column("Flow")), rows)


def bands_table(picture: CoursePicture, display: Display) -> TableData:
    """Time at boost as a table, the time below the bands first."""
    bands, digits = picture.bands, 2 if display.system == "metric" else 1
    rows = [Row("below", (seconds(bands.seconds_below), ""))] if bands.seconds_below >= 0.05 else []
    for middle, time, flow in zip(bands.middle, bands.seconds, bands.flow, strict=True):
        low, high = middle - bands.width / 2, middle + bands.width / 2
        said = f"{low:.{digits}f} to {high:.{digits}f} {picture.boost_unit}".replace("-", "−")
        rows.append(Row(said, (seconds(time), f"{flow:.{0 if display.system != 'us' else 2}f} {picture.flow_unit}")))
    columns = (
        Column(f"Time per {picture.per}", about="Boost runs straight between samples; gaps carry no time."),
        Column("Flow at the middle", about="The car's flow curve; see the page Car."),
    )
    return TableData(f"Time at boost per {picture.per}", "Boost", columns, tuple(rows))


def below_said(picture: CoursePicture) -> str:
    """The time below the bands, in a sentence."""
    if picture.bands.seconds_below < 0.05:
        return ""
    return f"Below the air outside for {seconds(picture.bands.seconds_below)} of each {picture.per}; not drawn."
