"""The part of the page Tank that compares tanks to buy over the workspace's days."""

from __future__ import annotations

from typing import Any

from dash import ALL, ClientsideFunction, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard.components import tank_choice_parts as parts
from dashboard.components.failure import guarded
from dashboard.presenters.tank_choice_form import asked, form_of
from dashboard.presenters.tank_choice_job import job_of, start_job
from dashboard.presenters.view import View, view_of
from dashboard.presenters.workspace import Workspace

FIELDS = ("sizes", "space", "gap", "turn", "changes")


def layout(view: View) -> Component:
    """The part as it first shows: the last comparison of this workspace, and what to compare."""
    job = job_of(view.workspace.folder)
    running = bool(job and job.running)
    return html.Div(
        [
            dcc.Store(id="tank-choice-job", data={"running": running}),
            dcc.Store(id="tank-choice-ended"),
            html.Div(parts.outcome(job, view), id="tank-choice-outcome"),
            html.Div(parts.progress(job), id="tank-choice-progress"),
            parts.settings(form_of(view, job.values if job else None)),
        ],
        id="tank-choice",
    )


section = layout


def register(app: Dash, workspace: Workspace) -> None:
    """The part's callbacks."""
    _register_start(app, workspace)
    _register_outcome(app, workspace)
    app.clientside_callback(
        ClientsideFunction("tankChoice", "follow"),
        Output("tank-choice-ended", "data"),
        Input("tank-choice-job", "data"),
    )
    app.clientside_callback(
        ClientsideFunction("tankChoice", "stop"),
        Output("tank-choice-stop", "disabled"),
        Input("tank-choice-stop", "n_clicks"),
        prevent_initial_call=True,
    )


def _ticked(values: list[Any], ids: list[dict[str, Any]]) -> list[str]:
    return [one["key"] for one, value in zip(ids, values, strict=True) if value]


def _register_start(app: Dash, workspace: Workspace) -> None:
    @app.callback(
        Output("tank-choice-job", "data"),
        Output("tank-choice-progress", "children"),
        Output("tank-choice-sizes", "fault"),
        Output("tank-choice-space", "fault"),
        Output("tank-choice-gap", "fault"),
        Output("tank-choice-days-fault", "children"),
        Input("tank-choice-start", "n_clicks"),
        State(parts.tick_id("day", ALL), "value"),
        State(parts.tick_id("day", ALL), "id"),
        State(parts.tick_id("tank", ALL), "value"),
        State(parts.tick_id("tank", ALL), "id"),
        *[State(f"tank-choice-{name}", "value") for name in FIELDS],
        State("url", "search"),
        prevent_initial_call=True,
    )
    def start(clicks: Any, days: Any, day_ids: Any, tanks: Any, tank_ids: Any, *given: Any) -> Any:
        *typed, search = given
        values = dict(zip(FIELDS, typed, strict=True))
        values |= {"days": _ticked(days, day_ids), "tanks": _ticked(tanks, tank_ids)}
        question = asked(workspace, values, view_of(workspace, search, None).event)
        faults = [question.faults.get(name) for name in ("sizes", "space", "gap")]
        job, refused = start_job(workspace.folder, question)
        if job is None:
            said = question.faults.get("days") or question.faults.get("tanks") or refused
            return no_update, [], *faults, said
        return {"running": True, "click": clicks}, parts.progress(job), *faults, ""


def _register_outcome(app: Dash, workspace: Workspace) -> None:
    @app.callback(
        Output("tank-choice-outcome", "children"),
        Input("tank-choice-ended", "data"),
        Input("settings", "data"),
        State("url", "search"),
        prevent_initial_call=True,
    )
    @guarded
    def ended(end: Any, settings: Any, search: str) -> Any:
        return parts.outcome(job_of(workspace.folder), view_of(workspace, search, settings))

    @app.callback(
        Output("tank-choice-progress", "children", allow_duplicate=True),
        Input("tank-choice-ended", "data"),
        prevent_initial_call=True,
    )
    def cleared(end: Any) -> Any:
        return parts.progress(job_of(workspace.folder))
