"""Saving a page's draft to its file, taking a save back, and what to do when the file changes outside meanwhile.

One piece for every page that edits a file: give `register_saving` the page's FilePage and how to find its file.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from dash import Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component

from dashboard.components.notice import notice
from dashboard.components.table import table
from dashboard.presenters.file_page import Done, FilePage, Outside
from dashboard.presenters.view import View, view_of
from dashboard.presenters.workspace import Workspace

PathOf = Callable[[View], Path | None]


def save_bar(page: str, save: str = "Save to the file") -> Component:
    """The bar that shows while there is something to save or to undo: what changed, undo, drop, save."""
    buttons = [
        html.Button("Undo", id=f"{page}-undo", type="button", className="plain"),
        html.Button("Drop all", id=f"{page}-drop", type="button", className="plain to-save"),
        html.Button(save, id=f"{page}-save", type="button", className="do to-save"),
    ]
    return html.Div(
        [
            html.Div(id=f"{page}-outside", className="outside", role="alert"),
            html.Div(id=f"{page}-changes", className="changes", role="status"),
            html.Div(buttons, className="row"),
        ],
        id=f"{page}-bar",
        className="save-bar nothing",
    )


def take_back_button(page: str) -> Component:
    """The button that takes the file's last save back."""
    return html.Button("Take back the last save", id=f"{page}-take-back", type="button", className="plain")


def changes(said: Sequence[str]) -> list[Component]:
    """What stands unsaved, in words."""
    return [html.Strong("; ".join(said).capitalize() or "Nothing to save")]


def bar_look(said: Sequence[str], draft: Any) -> str:
    """The bar's class: with nothing to save and nothing to undo it is not shown."""
    if said:
        return "save-bar"
    return "save-bar idle" if (draft or {}).get("past") else "save-bar nothing"


def outside_part(page: str, found: Outside | None) -> list[Component]:
    """What differs, and the two ways on; nothing where the file is as the draft knows it."""
    if found is None:
        return []
    buttons = [
        html.Button("Keep mine on top", id=f"{page}-mine", type="button", className="do"),
        html.Button("Take the file's", id=f"{page}-theirs", type="button", className="plain"),
    ]
    shown = [table(found.table)] if found.table and found.table.rows else []
    return [notice("warning", found.says), *shown, *([html.Div(buttons, className="row")] if found.table else [])]


def register_saving(app: Dash, workspace: Workspace, file: FilePage, path_of: PathOf) -> None:
    """The page's buttons for saving, and its watch over the file."""
    _register_buttons(app, workspace, file, path_of)
    _register_watch(app, workspace, file, path_of)


def _path(workspace: Workspace, path_of: PathOf, search: str | None) -> Path:
    path = path_of(view_of(workspace, search, None))
    assert path is not None
    return path


def _register_buttons(app: Dash, workspace: Workspace, file: FilePage, path_of: PathOf) -> None:
    page = file.page

    @app.callback(
        Output(f"{page}-draft", "data", allow_duplicate=True),
        Output(f"{page}-base", "data", allow_duplicate=True),
        Output(f"{page}-outside", "children", allow_duplicate=True),
        Output("toast", "children", allow_duplicate=True),
        Input(f"{page}-save", "n_clicks"),
        Input(f"{page}-take-back", "n_clicks"),
        Input(f"{page}-mine", "n_clicks", allow_optional=True),
        Input(f"{page}-theirs", "n_clicks", allow_optional=True),
        State(f"{page}-draft", "data"),
        State(f"{page}-base", "data"),
        State("url", "search"),
        prevent_initial_call=True,
    )
    def act(*arguments: Any) -> Any:
        *clicks, draft, base, search = arguments
        if not any(clicks) or not ctx.triggered[0]["value"]:
            return (no_update,) * 4
        path, draft = _path(workspace, path_of, search), draft or {}
        try:
            done = _acted(file, ctx.triggered_id.removeprefix(f"{page}-"), path, draft, base)
        except workspace.refusals as reason:
            found = outside_part(page, file.outside(path, draft))
            return no_update, no_update, found, notice("warning", " ".join(workspace.sentences(reason)))
        return done.draft, done.form, [], notice("done", done.says)


def _acted(file: FilePage, action: str, path: Path, draft: Any, base: Any) -> Done:
    if action == "save":
        return file.save(path, draft, base)
    if action == "take-back":
        return file.take_back(path, draft, base)
    return file.keep_mine(path, draft) if action == "mine" else file.take_theirs(path, draft)


def _register_watch(app: Dash, workspace: Workspace, file: FilePage, path_of: PathOf) -> None:
    page = file.page

    @app.callback(
        Output(f"{page}-draft", "data", allow_duplicate=True),
        Output(f"{page}-base", "data", allow_duplicate=True),
        Output(f"{page}-outside", "children", allow_duplicate=True),
        Output("toast", "children", allow_duplicate=True),
        Input(f"{page}-pulse", "beat"),
        State(f"{page}-draft", "data"),
        State(f"{page}-base", "data"),
        State("url", "search"),
        prevent_initial_call=True,
    )
    def watch(beat: int | None, draft: Any, base: Any, search: str) -> Any:
        draft = draft or {}
        try:
            path = _path(workspace, path_of, search)
            done, found = file.fresh(path, draft, base), file.outside(path, draft)
        except workspace.refusals as reason:
            text = f"The file cannot be read just now. {' '.join(workspace.sentences(reason))}"
            return no_update, no_update, [notice("warning", text)], no_update
        if done is None:
            return no_update, no_update, outside_part(page, found), no_update
        return done.draft, done.form, [], notice("notice", done.says) if done.says else no_update
