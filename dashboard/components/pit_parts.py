"""The pit board's pieces, from presenters' plain data. What a script fills or moves carries a `data-` attribute."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components.native import Drawing
from dashboard.components.notice import notice
from dashboard.components.table import table
from dashboard.components.tank_view import tank_view
from dashboard.figures.pit_drawing import forecast_drawing
from dashboard.figures.tank_drawing import TankSide
from dashboard.presenters.pit_board import Coming, Levels, Logged, Todo
from dashboard.presenters.pit_forecast import Forecast
from dashboard.presenters.pit_keys import KEYS, RARE_KEYS
from dashboard.presenters.table import TableData

PHONE_WIDTH, DESK_WIDTH = 348.0, 1040.0  # [drawing units], close to the pixels that are there


def alarm_list(alarms: Iterable[tuple[str, str]], label: str) -> Component | None:
    """Alarms as notices with shape and word; nothing where there is none."""
    found = [notice(level, text) for level, text in alarms]
    return html.Div(found, className="notices pit-alarms", role="group", **{"aria-label": label}) if found else None


def coming_part(coming: Coming) -> Component:
    """What is next, with its countdown, which assets/pit_clock.js moves on."""
    inside: list[Component] = [html.H2(coming.title, className="pit-next")]
    if coming.countdown:
        count = coming.countdown
        figure = html.Span(count.text, className="pit-count", **{"data-until": count.until})
        inside.append(html.P([figure, html.Span(f" {count.label}", className="pit-count-label")], role="timer"))
    inside.append(html.P(coming.detail, className="pit-detail"))
    return html.Section(inside, className="pit-coming")


def todo_part(todo: Todo) -> Component:
    """The one action."""
    if not todo.figures:
        return html.Section([html.P(todo.text, className="pit-quiet")], className="pit-todo quiet")
    volume, height = todo.figures
    marks = [html.Strong(volume), html.Span(", ", className="pit-comma"), html.Strong(height)]
    said = [html.Span(f"{todo.verb} ", className="pit-verb"), html.Span(marks, className="pit-marks")]
    parts = [html.P(said, className="pit-action"), html.P(f"{todo.rest}.", className="pit-detail")]
    if todo.begin:
        left = html.Span(todo.begin.text, className="pit-left", **{"data-until": todo.begin.until})
        parts.append(html.P([left, f" {todo.begin.label}"], className="pit-by"))
    return html.Section(parts, className="pit-todo")


def key_part(main: tuple[str, str], panels: Mapping[str, Any]) -> Component:
    """The keys: the big one of the moment, then one for each kind of entry. Their panels travel as data."""
    big = html.Button(main[1], type="button", className="do pit-key pit-main", **{"data-panel": main[0]})
    told = {"data-panels": json.dumps(panels, ensure_ascii=False)}
    rows = [html.Div([_key(*key) for key in keys], className="pit-keys") for keys in (KEYS, RARE_KEYS)]
    return html.Section([html.H2("Log", className="unseen"), big, *rows], className="pit-log no-print", **told)


def _key(panel: str, text: str) -> Component:
    return html.Button(text, type="button", className="plain pit-key", **{"data-panel": panel})


def level_part(levels: Levels, side: Mapping[str, Any], label: str) -> Component:
    """The level as expected and as read, beside the small tank."""
    expected = [
        html.Span("Expected now", className="pit-label"),
        html.Strong(levels.expected, className="pit-figure"),
        html.Span(f"{levels.expected_on_stick}, {levels.spread}", className="pit-line"),
    ]
    read = [
        html.Span("Last read", className="pit-label"),
        html.Strong(levels.read, className="pit-figure"),
        html.Span(levels.read_line, className="pit-line"),
    ]
    figures = html.Div([html.P(expected), html.P(read)], className="pit-levels")
    facts = [part for name, text in levels.facts for part in (html.Dt(name), html.Dd(text))]
    return html.Section(
        [
            html.H2("Level"),
            html.Div([tank_view(TankSide(**side), label), figures], className="pit-level-row"),
            html.Dl(facts, className="facts pit-facts"),
        ],
        className="sheet",
    )


def forecast_part(picture: Forecast | None, data: TableData, *, narrow: bool, more: int) -> Component:
    """The forecast: its sentence, picture and table; `more` sessions are not in the picture."""
    if picture is None:
        return html.Section([html.H2("Forecast"), html.P("No session is ahead.")], className="sheet")
    width = PHONE_WIDTH if narrow else DESK_WIDTH
    rest = f"The next {len(picture.slots)} sessions; {more} more in the table." if more else ""
    key_items = [
        html.Li([html.Span(className=f"swatch {look}"), text])
        for look, text in (("line", "expected"), ("band", "98 of 100 days"), ("floor", "floor"))
    ]
    drawing = Drawing(tree=forecast_drawing(picture, width), className="pit-forecast")
    return html.Section(
        [
            html.H2("Forecast"),
            html.P(picture.label),
            html.Figure([drawing, html.Ul(key_items, className="key")], className="picture"),
            html.P(rest, className="small") if rest else None,
            html.Details([html.Summary("The forecast as a table"), table(data, caption=False)]),
        ],
        className="sheet",
    )


def change_part(change: str) -> Component:
    """What the last entry changed, spoken when it comes."""
    return html.P(change, role="status", className="pit-change")


def entry_list(entries: Sequence[Logged], *, can_write: bool) -> Component:
    """Every entry with its undo."""
    rows = [_entry(entry, can_write) for entry in entries]
    listed = html.Ol(rows, className="pit-entries") if rows else html.P("Nothing is logged yet.")
    return html.Section([html.H2("Log"), listed], className="sheet")


def _entry(entry: Logged, can_write: bool) -> Component:
    text = html.Del(entry.text) if entry.undone else html.Span(entry.text)
    said = [html.Span(entry.time, className="pit-time"), text]
    if entry.undone:
        said.append(html.Span("taken back", className="pit-state"))
    elif can_write:
        undo = {"data-undo": entry.id, "data-text": entry.text, "aria-label": f"Undo: {entry.text}"}
        said.append(html.Button("Undo", type="button", className="plain pit-undo no-print", **undo))
    return html.Li(said, **{"data-entry": entry.id})
