"""What the page Day does at a click on the server: patterns over the session grid."""

from __future__ import annotations

from typing import Any

from dash import Dash, Input, Output, State, ctx, no_update

from dashboard.components.day_settings import TOOLS
from dashboard.presenters.session_tools import tool_rows


def register(app: Dash) -> None:
    """Register the tools over the session grid."""

    @app.callback(
        Output("day-given", "data"),
        Output("day-tools-said", "children"),
        *[Input(f"day-tool-{tool.key}", "n_clicks") for tool in TOOLS],
        *[State(f"day-tool-{tool.key}-{field}", "value") for tool in TOOLS for field, _, _ in tool.fields],
        State({"page": "day", "kind": "grid", "key": "session"}, "rows"),
        State({"page": "day", "kind": "field", "key": "date"}, "value"),
        prevent_initial_call=True,
    )
    def apply(*arguments: Any) -> Any:
        *typed, rows, day = arguments[len(TOOLS) :]
        pressed = next((tool for tool in TOOLS if ctx.triggered_id == f"day-tool-{tool.key}"), None)
        if pressed is None or not any(arguments[: len(TOOLS)]):
            return no_update, no_update
        names = [(tool.key, field) for tool in TOOLS for field, _, _ in tool.fields]
        values = {field: str(text or "") for (key, field), text in zip(names, typed, strict=True) if key == pressed.key}
        made, said = tool_rows(pressed.key, rows, values, day or "")
        return ({"grids": {"session": made}} if made is not None else no_update), said
