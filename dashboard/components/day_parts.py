"""The parts of the page Day, from an outcome to layout."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components.answer import answer
from dashboard.components.notice import notice, notices
from dashboard.components.table import picture, table
from dashboard.components.tank_view import tank_view
from dashboard.figures.day_figure import day_figure
from dashboard.figures.tank_drawing import TankSide
from dashboard.presenters.day_answer import answer_note, answer_parts
from dashboard.presenters.day_picture import day_picture, picture_table
from dashboard.presenters.day_tables import bring_facts, floors_table, gaps_table, priorities_table, sessions_table
from dashboard.presenters.display import Display
from dashboard.presenters.outcome import Outcome
from dashboard.presenters.tank_side import level_mm, tank_side


def facts(pairs: list[tuple[str, str]]) -> Component:
    """Names and values, one a line."""
    return html.Dl([part for name, value in pairs for part in (html.Dt(name), html.Dd(value))], className="facts")


def opening_tank(outcome: Outcome, display: Display) -> Component:
    """The tank filled to the day's first mark."""
    plan, car = outcome.plan, outcome.car
    assert plan is not None
    assert car is not None
    first = plan["sessions"][0]
    fill = plan["refills"][0] if plan["refills"] else None
    litres = fill["mark_L"] if fill and fill["before_session"] == first["number"] else first["level_start_p50_L"]
    mark = display.mark_volume(litres, plan["fill_limit_L"])
    height = level_mm(car.tank, litres)
    floor = level_mm(car.tank, first["floor_L"])
    lines = (
        (height, (mark, display.mark_length(height)), "mark"),
        (floor, (f"floor {display.volume(first['floor_L'])}",), "floor"),
    )
    side = TankSide(level=height, lines=lines, **tank_side(car.tank, display))  # type: ignore[arg-type]
    return tank_view(side, f"Side view of the tank, filled to {mark}; floor at {display.volume(first['floor_L'])}")


KEY = (
    ("line", "level expected"),
    ("band", "worst to best of 100 days"),
    ("floor", "floor"),
    ("starving", "pickup may starve"),
    ("washing", "fluid washes hardest"),
    ("rise", "refill"),
)


def key() -> Component:
    """What the picture's lines and areas are."""
    return html.Ul([html.Li([html.Span(className=f"swatch {kind}"), text]) for kind, text in KEY], className="key")


def day_picture_part(plan: Mapping[str, Any], display: Display, theme: str) -> Component:
    """Level over the day, with its key and its table."""
    shown = day_picture(plan, display)
    label = "Level in the tank over the day, with sessions, refills and floors; the table below holds the same numbers"
    return html.Section(
        [
            html.H2("Level over the day"),
            key(),
            picture(day_figure(shown, theme), picture_table(plan, display), id="day-picture", label=label, height=420),
        ],
        className="sheet",
    )


def _hazards(plan: Mapping[str, Any]) -> tuple[list[Any], list[Any]]:
    """Warnings that come before the picture, and those that come after the tables."""
    first = [one for one in plan["warnings"] if one["level"] in ("danger", "warning") and one["code"] != "methanol"]
    return first, [one for one in plan["warnings"] if one not in first]


def day_body(outcome: Outcome, display: Display, theme: str) -> list[Component]:
    """Everything below the page's head for an outcome."""
    plan = outcome.plan
    if plan is None:
        return [notice("warning", fault.line()) for fault in outcome.faults] or [
            notice("warning", str(outcome.no_plan))
        ]
    first, later = _hazards(plan)
    bring = html.Section([html.H2("Bring"), facts(bring_facts(plan, display))], className="sheet")
    choices = html.Section(
        [html.H2("Priorities side by side"), table(priorities_table(plan, display))], className="sheet"
    )
    return [
        answer(answer_parts(outcome, display), note=answer_note(plan), aside=opening_tank(outcome, display)),
        notices(first),
        day_picture_part(plan, display, theme),
        html.Section([html.H2("Sessions and refills"), table(sessions_table(plan, display))], className="sheet"),
        html.Div([bring, choices], className="columns"),
        html.Details(
            [html.Summary("Where each floor comes from"), table(floors_table(plan, display))], className="sheet"
        ),
        html.Details([html.Summary("Gaps"), table(gaps_table(plan))], className="sheet"),
        notices(later),
    ]
