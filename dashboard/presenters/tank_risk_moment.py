"""A chosen moment of a course, or chosen accelerations: depth over the pickup in time, the tilted surface, words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from dashboard.presenters.display import Display, share
from dashboard.presenters.table import Column, Row, TableData
from dashboard.presenters.tank_risk import TankRisk
from dashboard.presenters.tank_risk_choice import VIEWS, Choice, refuse_gone
from planner.car import Car
from planner.day.slosh_picture import depth_over_time, surface_picture
from planner.driving.trace import Trace
from planner.physics.surface import STANDARD_GRAVITY
from planner.use.starving import BORDERLINE, driving_words, starving_floor

Rows = Mapping[str, Sequence[Any]]
MOST_STOPS = 700
TABLE_ROWS = 24


@lru_cache(maxsize=32)
def _depths(car: Car, trace: Trace, litres: float) -> dict[str, list[Any]]:
    return depth_over_time(car, trace, litres / 1e3)


def time_rows(risk: TankRisk, choice: Choice) -> Rows:
    """Depth over the pickup in time at the chosen level, in the chosen recording. Raises BadInput for none such."""
    refuse_gone(risk, choice)
    return _depths(risk.car, risk.shown[choice.recording], risk.rows[choice.level]["level_L"])


def recording_choices(risk: TankRisk) -> list[dict[str, str]]:
    """The recordings by name; runs of one file are numbered."""
    names = [Path(trace.name).name or risk.course.name for trace in risk.shown]
    return [
        {"value": str(k), "label": name if names.count(name) == 1 else f"{name}, {names[: k + 1].count(name)}"}
        for k, name in enumerate(names)
    ]


def hardest_recording(risk: TankRisk) -> int:
    """The recording that asks for most fluid."""
    floors = [starving_floor(risk.car, [trace], risk.course.per).volume for trace in risk.shown]
    return floors.index(max(floors))


def level_stops(risk: TankRisk, display: Display) -> list[dict[str, Any]]:
    """The fill levels as stops of a slider."""
    return [
        {"value": k, "text": f"{display.volume(row['level_L'], more=1)} · {share(row['fill_share'])}"}
        for k, row in enumerate(risk.rows)
    ]


def opening_level(risk: TankRisk) -> int:
    """A level at which starving clearly shows: the highest at or below nine tenths of where it begins, or half full."""
    below = [k for k, row in enumerate(risk.rows) if row["level_L"] <= 0.9 * risk.slosh["unusable_slosh_L"]]
    return max(below, default=len(risk.rows) // 2)


def stop_places(rows: Rows) -> list[int]:
    """The rows of a recording that a slider can stop at; gaps have none."""
    held = [k for k, depth in enumerate(rows["moving_mm"]) if depth is not None]
    return held[:: max(1, -(-len(held) // MOST_STOPS))]


def time_stops(rows: Rows) -> list[dict[str, Any]]:
    """The moments of a recording as stops of a slider."""
    return [{"value": k, "text": f"{rows['time_s'][k]:.1f} s"} for k in stop_places(rows)]


def worst_place(rows: Rows, surface: str) -> int:
    """The stop with least fluid over the pickup while fluid flows, or at all where none flows."""
    depths, flow = rows[f"{surface}_mm"], rows["flow_mL_min"]
    places = stop_places(rows)
    flowing = [k for k in places if flow[k]]
    return min(flowing or places, key=lambda k: depths[k])


def nearest_place(rows: Rows, seconds: float) -> int:
    """The stop next to a time [s]."""
    return min(stop_places(rows), key=lambda k: abs(rows["time_s"][k] - seconds))


def moment_seconds(rows: Rows, choice: Choice) -> float:
    """Time [s] of the chosen moment; another recording's moment may lie past the end of these rows."""
    seconds: float = rows["time_s"][at_stop(rows, choice.time)]
    return seconds


def at_stop(rows: Rows, place: int) -> int:
    """The row itself where a slider can stop at it, else the last one that it can."""
    places = stop_places(rows)
    return place if place in places else places[-1]


def opening_choice(risk: TankRisk) -> Choice:
    """What the page shows first: the hardest recording's worst moment, seen from where the tilt shows."""
    first = Choice(recording=hardest_recording(risk), level=opening_level(risk))
    rows = time_rows(risk, first)
    worst = worst_place(rows, first.surface)
    aside = abs(rows["moving_lateral_g"][worst]) > abs(rows["moving_longitudinal_g"][worst])
    return replace(first, time=worst, view=VIEWS[1] if aside else VIEWS[0])


@dataclass(frozen=True, slots=True)
class MomentView:
    """The tilted surface (`picture`), the same volume at rest, what is happening, and a verdict (level, sentence)."""

    picture: Mapping[str, Any]
    rest: Mapping[str, Any]
    happening: str
    verdict: tuple[str, str]


def _verdict(picture: Mapping[str, Any], flowing: bool | None, display: Display) -> tuple[str, str]:
    depth, asked = picture["depth_mm"], picture["asked_mm"]
    size = display.length(abs(depth))
    if flowing is False and depth < asked:
        where = "over" if depth > 0 else "below"
        return "notice", f"The surface passes {size} {where} the pickup, but nothing flows: no harm."
    while_ = "while fluid flows" if flowing else "if fluid flows then"
    if depth < 0:
        close = " Borderline: the model is no better than that." if depth > -BORDERLINE * 1e3 else ""
        return "warning", f"Starving: the surface passes {size} below the pickup {while_}.{close}"
    if depth < asked:
        return "caution", f"Borderline: {size} over the pickup {while_}, where {display.length(asked)} are wanted."
    return "done", f"Covered: {size} of fluid over the pickup."


def _own(risk: TankRisk, choice: Choice, display: Display) -> tuple[float, float, str, bool | None]:
    ax, ay = choice.longitudinal * STANDARD_GRAVITY, choice.lateral * STANDARD_GRAVITY
    words = driving_words(ax, ay)
    return ax, ay, f"Held steady: {words}. Still and moving surface are then the same.", None


def _recorded(risk: TankRisk, choice: Choice, display: Display) -> tuple[float, float, str, bool | None]:
    rows = time_rows(risk, choice)
    k = at_stop(rows, choice.time)
    ax, ay = (rows[f"{axis}_g"][k] * STANDARD_GRAVITY for axis in ("longitudinal", "lateral"))
    flow = rows["flow_mL_min"][k]
    flows = f"{display.flow(flow)} flowing" if flow else "nothing flows"
    words = f"At {rows['time_s'][k]:.1f} s: {driving_words(ax, ay)}, {flows}."
    if choice.surface == "moving":
        ax, ay = (rows[f"moving_{axis}_g"][k] * STANDARD_GRAVITY for axis in ("longitudinal", "lateral"))
        words += f" The moving surface, still swinging, is tilted as by {driving_words(ax, ay)} held for long."
    return ax, ay, words, bool(flow)


def moment_view(risk: TankRisk, choice: Choice, display: Display) -> MomentView:
    """The tank at the chosen moment or accelerations. Raises BadInput for what the course does not have."""
    refuse_gone(risk, choice)
    ax, ay, happening, flowing = (_own if choice.mode == "own" else _recorded)(risk, choice, display)
    tank, volume = risk.car.tank, risk.rows[choice.level]["level_L"] / 1e3
    view = VIEWS[1] if choice.view == VIEWS[1] else VIEWS[0]
    picture = surface_picture(tank, volume, ax, ay, view)
    rest = surface_picture(tank, volume, 0.0, 0.0, view)
    return MomentView(picture, rest, happening, _verdict(picture, flowing, display))


@dataclass(frozen=True, slots=True)
class TimeView:
    """Depth over the pickup of both surfaces and flow in time, (n,) in the units shown; None where there is a gap.

    starving: stretches (start, end) [s] in which the pickup is bare while fluid flows; wanted: the margin.
    """

    time: list[float]
    moving: list[float | None]
    still: list[float | None]
    flow: list[float | None]
    starving: list[tuple[float, float]]
    wanted: float
    depth_unit: str
    flow_unit: str


def _starving(risk: TankRisk, rows: Rows, surface: str) -> list[tuple[float, float]]:
    """Stretches of time in which the pickup is bare, or short of its margin, while fluid flows."""
    margin, found = risk.slosh["pickup_margin_mm"], []
    start: float | None = None
    times = rows["time_s"]
    for k, (depth, flow) in enumerate(zip(rows[f"{surface}_mm"], rows["flow_mL_min"], strict=True)):
        bare = depth is not None and bool(flow) and depth < margin
        if bare and start is None:
            start = times[k]
        if start is not None and not bare:
            found.append((start, times[k]))
            start = None
    return found if start is None else [*found, (start, times[-1])]


def time_view(risk: TankRisk, choice: Choice, display: Display) -> TimeView:
    """The picture over time."""
    rows = time_rows(risk, choice)

    def shown(name: str, dimension: Any) -> list[float | None]:
        return [None if value is None else round(display.number(value, dimension), 3) for value in rows[name]]

    return TimeView(
        list(rows["time_s"]),
        shown("moving_mm", "length"),
        shown("still_mm", "length"),
        shown("flow_mL_min", "flow"),
        _starving(risk, rows, choice.surface),
        display.number(risk.slosh["pickup_margin_mm"], "length"),
        display.unit("length"),
        display.unit("flow"),
    )


def time_table(risk: TankRisk, choice: Choice, display: Display) -> TableData:
    """The picture over time as a table of even steps."""
    rows = time_rows(risk, choice)
    places = stop_places(rows)
    kept = places[:: max(1, len(places) // TABLE_ROWS)]
    lines = [
        Row(
            f"{rows['time_s'][k]:.1f} s",
            (
                display.length(rows["moving_mm"][k]),
                display.length(rows["still_mm"][k]),
                display.flow(rows["flow_mL_min"][k]),
                f"{rows['lateral_g'][k]:.2f} g".replace("-", "−"),
                f"{rows['longitudinal_g'][k]:.2f} g".replace("-", "−"),
            ),
            "broken" if rows["flow_mL_min"][k] and rows["moving_mm"][k] < 0 else "",
        )
        for k in kept
    ]
    labels = ("Over the pickup, moving", "still", "Flow", "Cornering, left plus", "Speeding up")
    return TableData("Depth over the pickup in time", "Time", tuple(Column(label) for label in labels), tuple(lines))


def _pull_text(view: str, pull: float) -> str:
    """Which way the fluid is thrown along the cut, in words."""
    if abs(pull) < 0.02:
        return "nothing throws the fluid this way"
    ways = ("back", "forward") if view == VIEWS[0] else ("to the right", "to the left")
    return f"fluid thrown {ways[0 if pull > 0 else 1]}, {abs(pull):.2f} g"


def side_words(shown: MomentView, display: Display) -> dict[str, Any]:
    """What the large drawing says, as keywords of figures.tank_risk_side.SideWords."""
    picture = shown.picture
    from_left = picture["view"] == VIEWS[0]
    pull = picture["longitudinal_g" if from_left else "lateral_g"]
    depth = picture["depth_mm"]
    scale = (100.0, "100 mm") if display.system == "metric" else (101.6, "4 in")
    return {
        "label": f"Side view of the tank {picture['view']}: {shown.happening} {shown.verdict[1]}",
        "left_end": "front of car" if from_left else "left of car",
        "pull": pull,
        "pull_text": _pull_text(picture["view"], pull),
        "depth_text": f"{display.length(abs(depth))} {'over' if depth >= 0 else 'below'}",
        "scale": scale,
    }
