"""What can be changed on the page Day: the what-if sliders, the session grid with its tools, the event's fields."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dash import html, no_update
from dash.development.base_component import Component

from dashboard.components.draft import fields, grid, slider
from dashboard.components.native import Field
from dashboard.components.saving import take_back_button
from dashboard.presenters.event_form import (
    DAY_FIELDS,
    REFILL_FIELDS,
    RESERVE_FIELDS,
    STOCK_FIELDS,
    course_names,
    session_columns,
)


@dataclass(frozen=True, slots=True)
class Tool:
    """A pattern over the session grid: its key, its button, and its fields (key, label, first value)."""

    key: str
    button: str
    fields: tuple[tuple[str, str, str], ...]


TOOLS = (
    Tool("shift", "Shift all", (("minutes", "Minutes later", "10"),)),
    Tool("repeat", "Repeat the last", (("every", "Every, min", "60"), ("times", "Times", "3"))),
    Tool("two", "Two drivers", (("first", "First", "A"), ("second", "Second", "B"), ("later", "Minutes later", "6"))),
    Tool(
        "heats",
        "Heats",
        (
            ("starts", "Heats begin at", "09:30, 11:45, 14:00"),
            ("runs", "Runs each", "3"),
            ("every", "Every, min", "14"),
        ),
    ),
)


def slider_list(found: Sequence[Mapping[str, Any]]) -> list[Component]:
    """The what-if sliders."""
    return [slider("day", one) for one in found]


def changed_sliders(found: list[Any], stops: Any, homes: Any) -> Any:
    """The sliders where they differ from those that are there; else they stay, with a hand on one of them."""
    known = [one.stops for one in found], [one.home for one in found]
    return no_update if not found or known == (stops, homes) else found


def what_if(brief: str, found: Any) -> Component:
    """The what-if panel: a short answer that follows the sliders, and the sliders."""
    inside = [
        html.H2("What if"),
        html.P(brief, id="day-brief", className="brief", role="status"),
        html.Div(found if isinstance(found, list) else [], id="day-sliders", className="sliders"),
        html.P("Tried here only; no file changes until you save.", className="small"),
    ]
    return html.Section(inside, className="sheet side no-print")


def _tool(tool: Tool) -> Component:
    inputs = [
        Field(id=f"day-tool-{tool.key}-{name}", label=label, value=value, className="narrow" if len(value) < 6 else "")
        for name, label, value in tool.fields
    ]
    button = html.Button(tool.button, id=f"day-tool-{tool.key}", type="button", className="plain")
    return html.Div([*inputs, button], className="row tool")


def editing(base: Mapping[str, Any], path: Path, *, narrow: bool) -> list[Component]:
    """The session grid with its tools, and the event's fields."""
    columns = session_columns(base["grids"]["session"], course_names(dict(base), path))
    fresh = {"name": "New session", "start": "", "length": "20 min", "runs": "1", "course": columns_course(columns)}
    sessions = grid(
        "day", "session", columns, base, label="The event's sessions", thing="session", least=1, fresh=fresh
    )
    tools = [*[_tool(tool) for tool in TOOLS], html.P(id="day-tools-said", className="small", role="status")]
    back = take_back_button("day")
    groups = (("Day", DAY_FIELDS), ("Reserve", RESERVE_FIELDS), ("Refill", REFILL_FIELDS), ("Stock", STOCK_FIELDS))
    forms = [part for name, specs in groups for part in (html.H3(name), fields("day", specs, base))]
    return [
        html.Details(
            [html.Summary("Edit the sessions"), sessions, html.Details([html.Summary("Change many at once"), *tools])],
            className="sheet no-print",
            open=not narrow,
        ),
        html.Details(
            [html.Summary("Edit day, reserve, refill and stock"), html.Div([*forms, back], className="stack")],
            className="sheet no-print",
        ),
    ]


def columns_course(columns: Sequence[Mapping[str, Any]]) -> str:
    """The first course that the grid offers."""
    options = next(column["options"] for column in columns if column["key"] == "course")
    return options[0]["value"] if options else ""
