"""Day: the answer first, then level over the day, sessions and refills, what to bring, what if, and the editing."""

from __future__ import annotations

from typing import Any

from dash import ALL, Dash, Input, Output, State, html, no_update
from dash.development.base_component import Component

from dashboard.components import day_parts, day_settings
from dashboard.components.draft import draft_stores, fault_answers, fault_outputs, fault_states, register_draft
from dashboard.components.failure import failure_card, logged_card
from dashboard.components.saving import bar_look, changes, register_saving, save_bar
from dashboard.pages import day_actions, new
from dashboard.presenters.day_answer import brief
from dashboard.presenters.day_draft import DAY_FILE, Drafted, day_base, drafted_day, said_changes, short_faults
from dashboard.presenters.form import reason_text
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
        return failure_card(f"{view.event} cannot be opened", reason_text(reason))
    parts = _parts(drafted_day(path, None), {}, view, 0)
    return html.Div(
        [
            *draft_stores("day", view.event, base),
            html.H1("Day", className="unseen"),
            html.Div(parts["answer"], id="day-answer"),
            html.Div(
                [
                    day_parts.picture_sheet(parts["picture"], view),
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


def _parts(made: Drafted, draft: dict[str, Any], view: View, stretch: int) -> dict[str, Any]:
    """Everything on the page that follows from a draft."""
    outcome, display = made.outcome, view.display
    parts: dict[str, Any] = {"tables": [], "sliders": [], "brief": ""}
    parts["picture"] = day_parts.picture_state(outcome.plan, view, stretch)
    if outcome.event and outcome.car:
        found = sliders(outcome.event, outcome.car, trial_of(draft.get("trial")), display)
        parts["sliders"] = day_settings.slider_list(found)
    if outcome.plan:
        parts["answer"] = day_parts.day_answer(outcome, display)
        parts["tables"] = day_parts.day_tables(outcome, display)
        parts["brief"] = brief(outcome.plan, display)
    elif outcome.no_plan:
        parts["answer"] = day_parts.no_plan_part(outcome, display)
        parts["brief"] = "No plan holds."
    else:
        parts["answer"] = day_parts.faults_part(short_faults(outcome, view.workspace.path(view.event or "")))
        parts["brief"] = "Nothing to plan yet."
    return parts


def register(app: Dash, workspace: Workspace) -> None:
    """The page's callbacks."""
    register_draft(app, "day")
    register_saving(app, workspace, DAY_FILE, lambda view: view.workspace.path(view.event or ""))
    day_actions.register(app)

    @app.callback(
        Output("day-answer", "children"),
        Output("day-picture-part", "hidden"),
        Output("day-picture", "figure"),
        Output("day-picture-table", "rows"),
        Output("day-stretches", "children"),
        Output("day-paper", "tree"),
        Output("day-tables", "children"),
        Output("day-sliders", "children"),
        Output("day-brief", "children"),
        Output("day-changes", "children"),
        Output("day-bar", "className"),
        *fault_outputs("day"),
        Input("day-draft", "data"),
        Input("settings", "data"),
        Input("day-stretch", "value", allow_optional=True),
        Input("day-pulse", "back"),
        State("url", "search"),
        *fault_states("day"),
        State({"page": "day", "kind": "slider", "key": ALL}, "stops"),
        State({"page": "day", "kind": "slider", "key": ALL}, "home"),
        prevent_initial_call=True,
    )
    def answer(
        draft: dict[str, Any] | None,
        settings: dict[str, Any],
        stretch: str | None,
        back: int | None,
        search: str,
        *stand: Any,
    ) -> tuple[Any, ...]:
        *faults_now, stops, homes = stand
        draft, view = draft or {}, view_of(workspace, search, settings)
        try:
            made = drafted_day(workspace.path(view.event or ""), draft)
            parts = _parts(made, draft, view, int(stretch or 0))
            parts["sliders"] = day_settings.changed_sliders(parts["sliders"], stops, homes)
        except Exception as reason:
            kept = fault_answers(None, *faults_now)
            return (logged_card(reason), *[no_update] * 10, *kept)
        said = said_changes(draft)
        return (
            parts["answer"],
            parts["picture"]["hidden"],
            parts["picture"]["figure"],
            parts["picture"]["rows"],
            parts["picture"]["choice"],
            parts["picture"]["paper"] or no_update,
            *(parts[name] for name in ("tables", "sliders", "brief")),
            changes(said),
            bar_look(said, draft),
            *fault_answers(made, *faults_now),
        )
