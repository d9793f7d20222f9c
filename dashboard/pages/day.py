"""Day: the answer first, then level over the day, sessions and refills, what to bring, what if, and the editing."""

from __future__ import annotations

from dataclasses import replace
from time import time_ns
from typing import Any

from dash import ALL, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard.components import day_parts, day_settings
from dashboard.components.draft import draft_stores, fault_answers, fault_outputs, fault_states, register_draft
from dashboard.components.failure import failure_card, logged_card
from dashboard.components.saving import bar_look, changes, register_saving, save_bar
from dashboard.pages import day_actions, new
from dashboard.presenters.day_answer import brief
from dashboard.presenters.day_draft import DAY_FILE, Drafted, day_base, drafted_day, said_changes, short_faults
from dashboard.presenters.view import View, view_of
from dashboard.presenters.what_if import sliders, trial_of
from dashboard.presenters.workspace import Workspace

PATH = "/day"
TITLE = "Day"


def layout(view: View) -> Component:
    """The page for the chosen event, as its file has it."""
    if view.event is None:
        return new.layout(view)
    try:
        path = view.workspace.path(view.event)
        base = day_base(path)
    except view.workspace.refusals as reason:
        return failure_card(f"{view.event} cannot be opened", view.workspace.sentences(reason))
    made = drafted_day(path, None)
    parts = _first(made, view, 0) | _behind(made, {}, view)
    return html.Div(
        [
            *draft_stores("day", view.event, base),
            dcc.Store(id="day-shown"),
            html.H1("Day", className="unseen"),
            html.Div(parts["answer"], id="day-answer"),
            html.Div(
                [
                    day_parts.picture_sheet({**parts["picture"], **parts}, view),
                    html.Div(parts["tables"], id="day-tables"),
                    day_settings.what_if(parts["brief"], parts["sliders"]),
                ],
                className="with-side",
            ),
            *day_settings.editing(base, path, narrow=view.narrow),
            save_bar("day"),
        ],
        id="day",
    )


def drafted(view: View, draft: dict[str, Any] | None) -> Drafted:
    """What becomes of the chosen event with a draft."""
    return drafted_day(view.workspace.path(view.event or ""), draft, view.workspace.folder)


def _first(made: Drafted, view: View, stretch: int) -> dict[str, Any]:
    """What follows from a draft and is looked at first: the answer, in short too, and the picture."""
    outcome, display = made.outcome, view.display
    picture = day_parts.picture_state(outcome.plan, view, stretch)
    if outcome.plan:
        return {
            "answer": day_parts.day_answer(outcome, display),
            "brief": brief(outcome.plan, display),
            "picture": picture,
        }
    if outcome.no_plan:
        return {"answer": day_parts.no_plan_part(outcome, display), "brief": "No plan holds.", "picture": picture}
    faults = day_parts.faults_part(short_faults(outcome, view.workspace.path(view.event or "")))
    return {"answer": faults, "brief": "Nothing to plan yet.", "picture": picture}


def _behind(made: Drafted, draft: dict[str, Any], view: View) -> dict[str, Any]:
    """What follows from a draft and stands behind that: the tables, the sliders' stops, the picture's table."""
    outcome, display = made.outcome, view.display
    parts: dict[str, Any] = {"tables": [], "sliders": [], **day_parts.behind_picture(outcome.plan, view)}
    if outcome.event and outcome.car:
        found = sliders(outcome.event, outcome.car, trial_of(draft.get("trial")), display)
        parts["sliders"] = day_settings.slider_list(found)
    if outcome.plan:
        parts["tables"] = day_parts.day_tables(outcome, display)
    return parts


def register(app: Dash, workspace: Workspace) -> None:
    """The page's callbacks."""
    register_draft(app, "day")
    register_saving(
        app, workspace, replace(DAY_FILE, inside=workspace.folder), lambda view: view.workspace.path(view.event or "")
    )
    day_actions.register(app)

    @app.callback(
        Output("day-answer", "children"),
        Output("day-brief", "children"),
        Output("day-picture-part", "hidden"),
        Output("day-picture", "figure"),
        Output("day-stretches", "children"),
        Output("day-shown", "data"),
        Input("day-draft", "data"),
        Input("settings", "data"),
        Input("day-stretch", "value", allow_optional=True),
        Input("day-pulse", "back"),
        State("url", "search"),
        prevent_initial_call=True,
    )
    def answer(
        draft: dict[str, Any] | None, settings: dict[str, Any], stretch: str | None, back: int | None, search: str
    ) -> tuple[Any, ...]:
        view = view_of(workspace, search, settings)
        try:
            parts = _first(drafted(view, draft), view, int(stretch or 0))
        except Exception as reason:
            return (logged_card(reason), *[no_update] * 5)
        picture = parts["picture"]
        return parts["answer"], parts["brief"], picture["hidden"], picture["figure"], picture["choice"], time_ns()

    # In a second answer, so that the picture need not wait for the browser to take all this in.
    @app.callback(
        Output("day-picture-table", "rows"),
        Output("day-paper", "tree"),
        Output("day-tables", "children"),
        Output("day-sliders", "children"),
        Output("day-changes", "children"),
        Output("day-bar", "className"),
        *fault_outputs("day"),
        Input("day-shown", "data"),
        State("day-draft", "data"),
        State("settings", "data"),
        State("url", "search"),
        *fault_states("day"),
        State({"page": "day", "kind": "slider", "key": ALL}, "stops"),
        State({"page": "day", "kind": "slider", "key": ALL}, "home"),
        prevent_initial_call=True,
    )
    def behind(
        shown: int, draft: dict[str, Any] | None, settings: dict[str, Any], search: str, *stand: Any
    ) -> tuple[Any, ...]:
        *faults_now, stops, homes = stand
        draft, view = draft or {}, view_of(workspace, search, settings)
        try:
            made = drafted(view, draft)
            parts, said = _behind(made, draft, view), said_changes(draft)
        except Exception as reason:
            return (no_update, no_update, logged_card(reason), *[no_update] * 3, *fault_answers(None, *faults_now))
        return (
            parts["rows"],
            parts["paper"] or no_update,
            parts["tables"],
            day_settings.changed_sliders(parts["sliders"], stops, homes),
            changes(said),
            bar_look(said, draft),
            *fault_answers(made, *faults_now),
        )
