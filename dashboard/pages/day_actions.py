"""What the page Day does at a click on the server: patterns over the session grid, saving, taking a save back."""

from __future__ import annotations

from typing import Any

from dash import Dash, Input, Output, State, ctx, no_update

from dashboard.components.day_settings import TOOLS
from dashboard.components.notice import notice
from dashboard.presenters.day_draft import day_base, save_day, take_back
from dashboard.presenters.form import reason_text
from dashboard.presenters.session_tools import tool_rows
from dashboard.presenters.view import chosen_event
from dashboard.presenters.workspace import Workspace


def register(app: Dash, workspace: Workspace) -> None:
    """Register the page's server-side actions."""
    _register_tools(app)

    @app.callback(
        Output("day-draft", "data", allow_duplicate=True),
        Output("day-base", "data"),
        Output("toast", "children", allow_duplicate=True),
        Input("day-save", "n_clicks"),
        Input("day-take-back", "n_clicks"),
        State("day-draft", "data"),
        State("day-base", "data"),
        State("url", "search"),
        prevent_initial_call=True,
    )
    def save(saved: int | None, back: int | None, draft: dict[str, Any], base: dict[str, Any], search: str) -> Any:
        if not (saved or back):
            return no_update, no_update, no_update
        path = workspace.path(chosen_event(workspace, search) or "")
        try:
            if ctx.triggered_id == "day-save":
                left, said = save_day(path, draft or {}, base)
            else:
                left, said = draft or {}, take_back(path, base["fingerprint"])
                left = {**left, "fingerprint": None} if left else {}
            return left, day_base(path), notice("done", said)
        except workspace.refusals as reason:
            return no_update, no_update, notice("warning", " ".join(reason_text(reason)))


def _register_tools(app: Dash) -> None:
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
