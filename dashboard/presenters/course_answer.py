"""The answer of the page Courses, the list of the event's courses, and the use of each run."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dashboard.presenters.course_use import CourseView
from dashboard.presenters.display import THIN, Display, share
from dashboard.presenters.table import Cell, Column, Row, TableData
from dashboard.presenters.whence import Whence
from planner.day import car_factor
from planner.errors import BadInput
from planner.use.consumption import TraceUse

LITRES, ML_MIN = 1e3, 6e7
SOURCE = "The flow curve of this car (page Car), integrated exactly over boost that runs straight between samples."
NO_FLUID = 0.5e-6  # [m3] that no one would pour


def seconds(value: float) -> str:
    """A time [s] as "8.4 s", "62 s" or "12 min"."""
    if value >= 600:
        return f"{value / 60:.0f}{THIN}min"
    return f"{value:.1f}{THIN}s" if value < 10 else f"{value:.0f}{THIN}s"


def where_from(view: CourseView) -> str:
    """What a course comes from: "4 recordings", "3 recordings, 12 runs", "a sketch" or "time at boost"."""
    course = view.course
    if course is None:
        return "not readable yet"
    if course.logs:
        files = f"{len(course.logs)} recording{'s' * (len(course.logs) > 1)}"
        cut = view.use is not None and len(view.traces) != len(course.logs)
        return f"{files}, {len(view.traces)} runs" if cut else files
    return "a sketch" if course.pieces else "time at boost"


def use_whence(view: CourseView, display: Display) -> Whence:
    """Use per run, lap or minute, with what it comes from."""
    use, car = view.use, view.car
    assert use is not None
    assert car is not None
    inputs = [("Course from", where_from(view)), ("Car", car.name), ("Injected", litres(use.injected, display))]
    if use.siphoned > NO_FLUID:
        inputs.append(("Siphoned by vacuum", litres(use.siphoned, display)))
    kind = "recorded minute" if view.per == "minute" else view.per
    many = f"Mean over {len(use.traces)} {view.per}s" if len(use.traces) > 1 else f"Over one {kind}"
    formula = f"{many}: flow at each moment's boost, added up over time; gaps carry none."
    return Whence(litres(use.drawn, display), f"Use per {view.per}", tuple(inputs), formula, SOURCE)


def spread_whence(view: CourseView) -> Whence:
    """How much use differs from run to run, with what it comes from."""
    use, car = view.use, view.car
    assert use is not None
    assert car is not None
    own = own_variation(view)
    inputs = [("Usual, in the car's file", share(car.spread.run)), ("These runs alone", share(own) if own else "–")]
    formula = "The runs' own spread, drawn toward the usual one as if that were four runs more."
    if own is None:
        formula = "The usual spread, as there are not two runs to compare."
    return Whence(share(use.variation), f"Spread from {view.per} to {view.per}", tuple(inputs), formula,
                  "A relative standard deviation; the weight of four runs is a design choice.")  # fmt: skip


def drawn_each(view: CourseView) -> list[float]:
    """What each run takes [m3], per recorded minute where the course counts minutes."""
    assert view.use is not None
    return [_drawn(one, view.per) for one in view.use.traces]


def _drawn(one: TraceUse, per: str) -> float:
    taken = one.injected + one.siphoned
    if per != "minute":
        return taken
    return taken / (one.recorded / 60) if one.recorded > 0 else 0.0


def own_variation(view: CourseView) -> float | None:
    """Relative standard deviation [1] of the runs themselves; None for fewer than two or without use."""
    each = np.array(drawn_each(view))
    return float(each.std(ddof=1) / each.mean()) if each.size > 1 and each.mean() > 0 else None


def litres(volume: float, display: Display) -> str:
    """A volume [m3] as text; small ones with a digit more."""
    return display.volume(volume * LITRES, more=2 if volume * LITRES < 0.995 else 1)


def answer_parts(view: CourseView, display: Display) -> list[str | Whence]:
    """The answer: "A lap of Teapot Ring takes 0.66 L, give or take 6 %."."""
    if view.use is None:
        return [f"What a {view.per} of {view.name} takes cannot be said yet."]
    if view.use.drawn <= NO_FLUID:
        return [f"A {view.per} of {view.name} takes no fluid: boost never reaches the point where injection starts."]
    start = f"A {view.per} of {view.name} takes "
    return [start, use_whence(view, display), ", give or take ", spread_whence(view), "."]


def answer_note(view: CourseView, display: Display) -> str:
    """What the use comes from, and how much of it the day asks for."""
    if view.use is None:
        return ""
    count = sum(_runs(session["runs"]) for session in view.sessions)
    if not count:
        return f"From {where_from(view)}. No session drives it yet; give it to one on the page Day."
    names = f"{len(view.sessions)} session{'s' * (len(view.sessions) > 1)}"
    total = display.volume(view.use.drawn * count * _factor(view) * LITRES)
    return f"From {where_from(view)}. {names} drive {count:g} {view.per}s of it: about {total} in all."


def _factor(view: CourseView) -> float:
    """The car's own factor [1], by which a flow test corrects the day's use; 1 where the test cannot be used."""
    try:
        return car_factor(view.car).mean if view.car else 1.0
    except BadInput:
        return 1.0


def _runs(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 0.0


def courses_table(views: Sequence[CourseView], chosen: str, display: Display) -> TableData:
    """The event's courses side by side."""
    columns = (
        Column("From", figure=False),
        Column("Takes"),
        Column("Spread"),
        Column("Peak boost", about="The highest boost of its recordings or its sketch."),
        Column("Largest flow", about="The car's flow curve at the boosts that were met; see the page Car."),
        Column("Driven in", figure=False),
    )
    rows = tuple(
        Row(view.name, _course_cells(view, display), "chosen" if view.slot == chosen else "") for view in views
    )
    return TableData("The event's courses", "Course", columns, rows)


def _course_cells(view: CourseView, display: Display) -> tuple[Cell, ...]:
    count = len(view.sessions)
    driven = f"{count} session{'s' * (count != 1)}" if count else "no session"
    if view.use is None:
        return where_from(view), "not yet", "", "", "", driven
    peak = max(one.largest_boost for one in view.use.traces)
    flow = max(one.largest_flow for one in view.use.traces)
    return (
        where_from(view),
        (use_whence(view, display), f" a {view.per}"),
        spread_whence(view),
        display.pressure(peak / 1e3),
        display.flow(flow * ML_MIN),
        driven,
    )


def runs_title(view: CourseView) -> str:
    """The heading of the runs' table."""
    return "Use of each recording, per minute" if view.per == "minute" else f"Use of each {view.per}"


def runs_table(view: CourseView, display: Display) -> TableData:
    """The use of each run of a course."""
    assert view.use is not None
    per = " a minute" if view.per == "minute" else ""
    siphons = any(one.siphoned > NO_FLUID for one in view.use.traces)
    columns = [Column(f"Takes{per}", about="Injected and siphoned; gaps carry none.")]
    columns += [Column("Siphoned", about="Drawn by manifold vacuum with the controller off.")] if siphons else []
    columns += [Column("Flowing"), Column("Recorded"), Column("Peak boost"), Column("Largest flow")]
    rows = []
    for label, one, drawn in zip(view.labels, view.use.traces, drawn_each(view), strict=True):
        cells = [litres(drawn, display)]
        cells += [litres(one.siphoned, display)] if siphons else []
        cells += [seconds(one.flowing), seconds(one.recorded), display.pressure(one.largest_boost / 1e3)]
        rows.append(Row(label, (*cells, display.flow(one.largest_flow * ML_MIN))))
    return TableData(
        f"Use of each {view.per}",
        "Run" if len(view.traces) > len(view.logs) else "Recording",
        tuple(columns),
        tuple(rows),
    )
