"""Pit: the day itself, for a phone in the paddock. The board comes with the page; assets/pit.js keeps it fresh."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

from dash import Dash, Input, Output, State
from dash._utils import to_json
from dash.development.base_component import Component
from flask import Response, current_app, jsonify, request

from dashboard.components import pit_frame
from dashboard.components.failure import failure_card, guarded
from dashboard.components.pit_after_parts import after_parts
from dashboard.presenters.display import Display
from dashboard.presenters.pit_after import after_view
from dashboard.presenters.pit_board import zone_name
from dashboard.presenters.pit_page import can_write, pit_view, settings_from_cookie
from dashboard.presenters.view import View, view_of
from dashboard.presenters.workspace import Workspace

PATH = "/pit"
TITLE = "Pit"
FRESH = {"Cache-Control": "no-store"}


def layout(view: View) -> Component:
    """The page with the board as it stands now."""
    if view.event is None:
        return failure_card("No event yet", ["This folder holds no event. Start one on the page New day."])
    try:
        version, board = _board(view.event)
        parts = _parts(view.event, board, view.display, view.narrow, can_write())
    except view.workspace.refusals as reason:
        return failure_card("The day cannot be followed", view.workspace.sentences(reason))
    head = pit_frame.Head(view.event, version, _server_time(), board["timezone"], zone_name(board), can_write())
    return pit_frame.frame(head, parts)


def _board(key: str) -> tuple[str, dict[str, Any]]:
    """Version and plain data of an event's board, the same as every other device gets."""
    version, text = current_app.extensions["pit-boards"].board(key)
    return version, json.loads(text)


def _parts(key: str, board: dict[str, Any], display: Display, narrow: bool, can_write: bool) -> list[Component]:
    day = current_app.extensions["pit-boards"].day(key)
    return pit_frame.board(
        pit_view(board, day.event, day.car, display, narrow=narrow), narrow=narrow, can_write=can_write
    )


def shown_answer(workspace: Workspace) -> Any:
    """What the page's script asks for: nothing while the board stands, else its parts as they now are."""
    boards, key = current_app.extensions["pit-boards"], request.args.get("event", "")
    try:
        workspace.path(key)
        if request.args.get("since") == boards.version(key):
            return Response(status=204, headers=FRESH)
        view = View(workspace, key, settings_from_cookie(request.cookies.get("fillmark-settings", "")))
        version, board = _board(key)
        parts = _parts(key, board, view.display, view.narrow, can_write())
    except workspace.refusals as reason:
        return jsonify(error=" ".join(workspace.sentences(reason))), 422
    body = {"version": version, "server_time": _server_time(), "children": parts}
    return Response(to_json(body), mimetype="application/json", headers=FRESH)


def after_answer(workspace: Workspace) -> Any:
    """The part "After the day", from what the routes of the log answer about this event and its car."""
    settings = settings_from_cookie(request.cookies.get("fillmark-settings", ""))
    view = View(workspace, request.args.get("event", ""), settings)
    after = _answer_of("/pit/after")
    if after.status_code != 200:
        return after
    history = _answer_of("/pit/history")
    told = history.get_json() if history.status_code == 200 else None
    shown = after_view(after.get_json(), told, view.event or "", view.display)
    parts = after_parts(shown, narrow=view.narrow, can_write=can_write())
    return Response(to_json({"children": parts}), mimetype="application/json", headers=FRESH)


def _answer_of(path: str) -> Response:
    """What another route answers to the same question."""
    route: Any = current_app.view_functions[f"GET {path}"]
    return current_app.make_response(route(boards=current_app.extensions["pit-boards"]))


def _server_time() -> str:
    return datetime.now(UTC).isoformat()


def register(app: Dash, workspace: Workspace) -> None:
    """The board's parts for its script, and anew when the units or the screen change."""

    @app.server.get("/pit/shown")
    def shown() -> Any:
        return shown_answer(workspace)

    @app.server.get("/pit/shown/after")
    def shown_after() -> Any:
        return after_answer(workspace)

    @app.callback(
        Output("pit-board", "children"), Input("settings", "data"), State("url", "search"), prevent_initial_call=True
    )
    @guarded
    def redrawn(settings: dict[str, Any], search: str | None) -> list[Component]:
        view = view_of(workspace, search, settings)
        key = view.event or ""
        return _parts(key, _board(key)[1], view.display, view.narrow, can_write())
