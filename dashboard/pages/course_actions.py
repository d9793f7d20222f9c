"""What the page Courses does at a click on the server: choose, add and delete a course, attach recordings, answer."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from dash import ALL, Dash, Input, Output, State, ctx, no_update

from dashboard.presenters import course_draft as drafting
from dashboard.presenters.course_draft import said_attached
from dashboard.presenters.course_form import slots_of
from dashboard.presenters.view import chosen_event
from dashboard.presenters.workspace import Workspace

Values = Mapping[str, Any]


def register(app: Dash, workspace: Workspace) -> None:
    """Register the page's server-side actions."""
    _register_clicks(app, workspace)
    _register_upload(app, workspace)


def _register_clicks(app: Dash, workspace: Workspace) -> None:
    @app.callback(
        Output("courses-given", "data"),
        Output("courses-choice", "data"),
        Input({"page": "courses", "kind": "act", "do": ALL, "arg": ALL}, "n_clicks"),
        State("courses-draft", "data"),
        State("courses-base", "data"),
        State("courses-choice", "data"),
        State("courses-pick", "value", allow_optional=True),
        prevent_initial_call=True,
    )
    def act(clicks: Any, draft: Any, base: Any, choice: str | None, picked: str | None) -> Any:
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            return no_update, no_update
        name = ctx.triggered_id
        slot, given = _acted(name["do"], name["arg"], draft or {}, base, picked or "")
        return given or no_update, slot or no_update


def _acted(do: str, arg: str, draft: Values, base: Values, picked: str) -> tuple[str, dict[str, Any] | None]:
    """The slot to show, or nothing, and the change of the draft, or none."""
    if do == "show":
        return arg, None
    if do == "add":
        return drafting.course_added(draft, base)
    if do == "drop":
        return drafting.course_dropped(draft, base, arg)
    if do == "attach":
        return "", drafting.logs_attached(draft, base, arg, [picked]) if picked else None
    if do == "detach":
        slot, _, place = arg.partition("|")
        return "", drafting.log_detached(draft, base, slot, int(place))
    if do == "forget":
        return "", drafting.unmapped(arg)
    return "", drafting.settled(*arg.split("|"))


def _register_upload(app: Dash, workspace: Workspace) -> None:
    @app.callback(
        Output("courses-given", "data", allow_duplicate=True),
        Output("courses-choice", "data", allow_duplicate=True),
        Output("courses-upload-said", "children"),
        Input("courses-upload", "taken"),
        State("courses-into", "value"),
        State("courses-draft", "data"),
        State("courses-base", "data"),
        State("courses-choice", "data"),
        State("url", "search"),
        prevent_initial_call=True,
    )
    def taken(sent: Any, into: str, draft: Any, base: Any, choice: str | None, search: str) -> Any:
        files = (sent or {}).get("files") or []
        if not files or into == "none":
            return no_update, no_update, ""
        path = workspace.path(chosen_event(workspace, search) or "")
        slot, given = _placed(path, workspace, files, into=into, choice=choice, draft=draft or {}, base=base)
        return given, slot, said_attached(given, slot, draft or {}, base, len(files))


def _placed(
    path: Path, workspace: Workspace, files: list[str], *, into: str, choice: str | None, draft: Values, base: Values
) -> tuple[str, dict[str, Any]]:
    """The slot that the recordings go to, and the change that puts them there."""
    named = [drafting.from_event(path, workspace.folder, file) for file in files]
    slots = slots_of(draft, base)
    slot = into if into in slots else drafting.shown_slot(choice, slots)
    if into == "new" or not slot:
        return drafting.course_added(draft, base, named)
    return slot, drafting.logs_attached(draft, base, slot, named)
