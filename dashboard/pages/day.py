"""Day: the answer first, then level over the day, sessions and refills, what to bring, and what if."""

from __future__ import annotations

from dash import Dash, html
from dash.development.base_component import Component

from dashboard.components.day_parts import day_body
from dashboard.presenters.outcome import outcome_of_file
from dashboard.presenters.view import View
from dashboard.presenters.workspace import Workspace

PATH = "/day"
TITLE = "Day"


def layout(view: View) -> Component:
    """The page for the chosen event."""
    if view.event is None:
        return html.Div("no event")
    return html.Div(day_body(outcome_of_file(view.workspace.path(view.event)), view.display, view.theme))


def register(app: Dash, workspace: Workspace) -> None:
    """The page's callbacks."""
