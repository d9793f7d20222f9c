"""New day: three questions, and a first, rough plan. An empty workspace begins here."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any
from urllib.parse import quote

from dash import Dash, Input, Output, State, html, no_update
from dash.development.base_component import Component

from dashboard.components.answer import facts
from dashboard.components.failure import failure_card
from dashboard.components.native import Field
from dashboard.presenters.first_use import KINDS, assumptions, make_first_plan
from dashboard.presenters.view import View
from dashboard.presenters.workspace import Workspace

PATH = "/new"
TITLE = "New day"
KIND_OPTIONS = [{"value": key, "label": kind.name} for key, kind in KINDS.items()]
QUESTIONS: tuple[tuple[str, tuple[tuple[str, str, str, str], ...]], ...] = (
    (
        "1  The car",
        (
            ("name", "Name", "My car", ""),
            ("power", "Engine power at full boost", "300 hp", ""),
            ("boost", "Peak boost", "1.1 bar", "above outside air"),
            ("tank", "Tank, inside", "6 L", ""),
            ("nozzle", "Nozzle, if you know it", "", "such as 350 mL/min at 100 psi"),
        ),
    ),
    (
        "2  The day",
        (
            ("kind", "Kind of day", "track", ""),
            ("date", "Date", "", ""),
            ("timezone", "Time zone", "Europe/London", ""),
        ),
    ),
    ("3  At boost", (("at_boost", "Time at full boost", "20 s", "in each minute of driving, or in each run"),)),
)
KEYS = tuple(key for _, fields in QUESTIONS for key, *_ in fields)


def _field(key: str, label: str, value: str, hint: str) -> Component:
    if key == "date":
        value = (date.today() + timedelta(days=7)).isoformat()
    choice = {"kind": "choice", "options": KIND_OPTIONS} if key == "kind" else {}
    preset = {"preset": "timezone"} if key == "timezone" else {}
    return Field(id=f"new-{key}", label=label, value=value, hint=hint or None, keep=f"new:{key}", **choice, **preset)


def questions() -> list[Component]:
    """The three questions with their defaults."""
    return [
        html.Section(
            [html.H2(title), html.Div([_field(*one) for one in fields], className="fields")], className="sheet"
        )
        for title, fields in QUESTIONS
    ]


def layout(view: View) -> Component:
    """The questions, what is assumed, and the button."""
    lead = (
        "Three questions, and you have a first plan. It is rough: what you do not say is assumed, and shown as assumed."
    )
    return html.Div(
        [
            html.H1("A first plan", className="unseen"),
            html.P(lead, className="answer"),
            html.Div(id="new-said"),
            html.Div(questions(), className="columns new-questions"),
            html.Button("Make the first plan", id="new-make", type="button", className="do"),
            html.Section(
                [html.H2("Assumed"), html.Div(facts(assumptions({})), id="new-assumed")], className="sheet assumed-list"
            ),
        ],
        id="new",
        className="stack",
    )


def register(app: Dash, workspace: Workspace) -> None:
    """The page's callbacks."""

    @app.callback(
        Output("new-assumed", "children"),
        Input("new-kind", "value"),
        Input("new-nozzle", "value"),
        prevent_initial_call=True,
    )
    def assumed(kind: str, nozzle: str) -> Component:
        return facts(assumptions({"kind": kind, "nozzle": nozzle}))

    @app.callback(
        Output("reload", "href"),
        Output("new-said", "children"),
        Input("new-make", "n_clicks"),
        *[State(f"new-{key}", "value") for key in KEYS],
        prevent_initial_call=True,
    )
    def make(clicks: int | None, *typed: Any) -> Any:
        if not clicks:
            return no_update, no_update
        try:
            made = make_first_plan(workspace.folder, dict(zip(KEYS, map(_text, typed), strict=True)))
        except workspace.refusals as reason:
            return no_update, _refused(workspace.sentences(reason))
        return f"/day?event={quote(made.event, safe='')}", []


def _text(value: Any) -> str:
    return str(value or "")


def _refused(sentences: Sequence[str]) -> Component:
    return failure_card("One answer cannot be read", sentences)
