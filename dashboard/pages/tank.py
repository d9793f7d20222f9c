"""Tank: from which level it starves and washes on a course and why, the tilted surface, what a change would gain."""

from __future__ import annotations

from typing import Any

from dash import Dash, Input, Output, Patch, State, ctx, html, no_update
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboard.components import tank_risk_parts as parts
from dashboard.components.failure import failure_card, guarded, logged_card
from dashboard.components.navigation import Chooser
from dashboard.figures.tank_risk_time import MOMENT, window
from dashboard.pages import tank_choice
from dashboard.presenters.tank_risk import TankRisk, course_choices, tank_risk
from dashboard.presenters.tank_risk_choice import Choice, choice_of
from dashboard.presenters.tank_risk_moment import (
    Rows,
    moment_seconds,
    nearest_place,
    opening_choice,
    time_rows,
    time_stops,
    worst_place,
)
from dashboard.presenters.view import View, view_of
from dashboard.presenters.workspace import Workspace

PATH = "/tank"
TITLE = "Tank"
CHOSEN = ("recording", "level", "surface", "view", "mode", "time", "lateral", "longitudinal")


def risk_of(view: View) -> TankRisk:
    """The tank on the course that the address names. Raises what the workspace refuses with."""
    assert view.event is not None
    return tank_risk(view.workspace.path(view.event), view.search.get("course"))


def layout(view: View) -> Component:
    """The page for the chosen event and course."""
    return html.Div(
        [html.H1("Tank", className="unseen"), html.Div(_body(view), id="tank-body"), *_buying(view)], id="tank"
    )


def _body(view: View, choice: Choice | None = None) -> list[Component]:
    if view.event is None:
        return [failure_card("No event yet", ["The risk belongs to a course. Make an event on the page New."])]
    try:
        risk = risk_of(view)
    except view.workspace.refusals as reason:
        return [failure_card("The tank cannot be judged", view.workspace.sentences(reason)), *_course_row(view)]
    choice = choice or opening_choice(risk)
    return [
        parts.risk_answer(risk, view),
        *_course_row(view),
        parts.moment_sheet(risk, choice, view),
        parts.levels_sheet(risk, view),
        parts.washing_sheet(risk, view),
        html.Section(
            [html.H2("What a change would gain"), html.Div("Working it out …", id="tank-changes")], className="sheet"
        ),
        parts.limits_sheet(risk),
    ]


def _course_row(view: View) -> list[Component]:
    """The choice of a course, where there is one; also where the one chosen cannot be judged."""
    try:
        choices = course_choices(view.workspace.path(view.event or ""))
    except view.workspace.refusals:
        return []
    if len(choices) < 2:
        return []
    chooser = Chooser(id="tank-course", name="course", items=choices, home=choices[0]["value"])
    return [html.Section(chooser, className="sheet row no-print")]


def _buying(view: View) -> list[Component]:
    """The second half, which compares tanks to buy."""
    return [html.H2("Which tank to buy", className="part"), tank_choice.section(view)]


def _chosen(kind: Any) -> list[Any]:
    """What is chosen, all as Input or all as State, in the order of CHOSEN."""
    return [kind(f"tank-{name}", "value") for name in CHOSEN]


def register(app: Dash, workspace: Workspace) -> None:
    """The page's callbacks."""
    _register_body(app, workspace)
    _register_moment(app, workspace)
    _register_time(app, workspace)
    tank_choice.register(app, workspace)


def _register_body(app: Dash, workspace: Workspace) -> None:
    @app.callback(
        Output("tank-body", "children"),
        Input("settings", "data"),
        State("url", "search"),
        *_chosen(State),
        prevent_initial_call=True,
    )
    @guarded
    def redrawn(settings: Any, search: str, *chosen: Any) -> Any:
        view = view_of(workspace, search, settings)
        try:
            return _body(view, choice_of(dict(zip(CHOSEN, chosen, strict=True))))
        except workspace.refusals:
            return _body(view)

    @app.callback(Output("tank-changes", "children"), Input("settings", "data"), State("url", "search"))
    @guarded
    def changes(settings: Any, search: str) -> Any:
        view = view_of(workspace, search, settings)
        return parts.changes_part(risk_of(view), view)


def _register_moment(app: Dash, workspace: Workspace) -> None:
    @app.callback(
        Output("tank-drawing", "tree"),
        Output("tank-said", "children"),
        Output("tank-moment", "className"),
        *_chosen(Input),
        State("url", "search"),
        State("settings", "data"),
        prevent_initial_call=True,
    )
    def drawn(*given: Any) -> Any:
        *chosen, search, settings = given
        view = view_of(workspace, search, settings)
        try:
            choice = choice_of(dict(zip(CHOSEN, chosen, strict=True)))
            return *parts.moment_parts(risk_of(view), choice, view), parts.mode_look(choice.mode)
        except workspace.refusals as reason:
            return no_update, failure_card("This cannot be drawn", workspace.sentences(reason)), no_update
        except Exception as reason:
            return no_update, logged_card(reason), no_update


def _rows(view: View, chosen: list[Any]) -> tuple[Choice, Rows]:
    """Depth in time; where the files cannot be read any more, the card beside the drawing says so, and this stays."""
    try:
        choice = choice_of(dict(zip(CHOSEN, chosen, strict=True)))
        return choice, time_rows(risk_of(view), choice)
    except view.workspace.refusals as reason:
        raise PreventUpdate from reason


def _register_time(app: Dash, workspace: Workspace) -> None:
    @app.callback(
        Output("tank-time", "stops"),
        Output("tank-time", "value"),
        Input("tank-recording", "value"),
        Input("tank-worst", "n_clicks"),
        Input("tank-depth", "clickData"),
        *_chosen(State),
        State("url", "search"),
        prevent_initial_call=True,
    )
    def moved(recording: Any, worst: Any, click: Any, *given: Any) -> Any:
        *chosen, search = given
        choice, rows = _rows(view_of(workspace, search, None), chosen)
        if ctx.triggered_id == "tank-recording":
            return time_stops(rows), worst_place(rows, choice.surface)
        if ctx.triggered_id == "tank-depth":
            return no_update, nearest_place(rows, click["points"][0]["x"]) if click else no_update
        return no_update, worst_place(rows, choice.surface) if worst else no_update

    @app.callback(
        Output("tank-depth", "figure"),
        Output("tank-depth-rows", "children"),
        Input("tank-recording", "value"),
        Input("tank-level", "value"),
        Input("tank-surface", "value"),
        *_chosen(State),
        State("url", "search"),
        State("settings", "data"),
        prevent_initial_call=True,
    )
    def over_time(recording: Any, level: Any, surface: Any, *given: Any) -> Any:
        *chosen, search, settings = given
        view = view_of(workspace, search, settings)
        choice, _ = _rows(view, chosen)
        return parts.time_parts(risk_of(view), choice, view)

    @app.callback(
        Output("tank-depth", "figure", allow_duplicate=True),
        Input("tank-time", "value"),
        *_chosen(State),
        State("url", "search"),
        State("settings", "data"),
        prevent_initial_call=True,
    )
    def line(time: Any, *given: Any) -> Any:
        *chosen, search, settings = given
        view = view_of(workspace, search, settings)
        choice, rows = _rows(view, chosen)
        seconds = moment_seconds(rows, choice)
        figure = Patch()
        figure["layout"]["shapes"][MOMENT]["x0"] = seconds
        figure["layout"]["shapes"][MOMENT]["x1"] = seconds
        if view.narrow:
            figure["layout"]["xaxis"]["range"] = window(seconds)
        return figure
