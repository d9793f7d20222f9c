"""Car: flow against boost with what limits it, the petrol it is compared with, and every table of the car's file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from dash import Dash, Input, Output, State, html, no_update
from dash.development.base_component import Component

from dashboard.components import car_parts
from dashboard.components.draft import draft_stores, fault_answers, fault_outputs, fault_states, register_draft
from dashboard.components.failure import failure_card, logged_card
from dashboard.components.navigation import Chooser
from dashboard.components.saving import bar_look, changes, register_saving, save_bar
from dashboard.presenters.car_draft import CAR_FILE, DraftedCar, car_of_event, drafted_car
from dashboard.presenters.car_form import car_form
from dashboard.presenters.view import View, view_of
from dashboard.presenters.workspace import Workspace

PATH = "/car"
TITLE = "Car"


def car_path(view: View) -> Path | None:
    """The file of the car that the address names, else of the chosen event's car, else the workspace's first."""
    cars = view.workspace.cars()
    if view.search.get("car"):
        return view.workspace.path(view.search["car"])
    own = car_of_event(view.workspace.path(view.event)) if view.event else None
    inside = own is not None and own.is_relative_to(view.workspace.folder)
    return own if inside else view.workspace.path(cars[0].key) if cars else None


def layout(view: View) -> Component:
    """The page for the chosen car, as its file has it."""
    try:
        path = car_path(view)
        if path is None:
            return failure_card("No car yet", ["This folder holds no car. Put a car.toml into it."])
        base = car_form(path)
    except view.workspace.refusals as reason:
        return failure_card("The car cannot be opened", view.workspace.sentences(reason))
    key = path.relative_to(view.workspace.folder).as_posix()
    choices = [{"value": entry.key, "label": entry.name} for entry in view.workspace.cars()]
    parts = _parts(drafted_car(path, None, base), view, None)
    return html.Div(
        [
            *draft_stores("car", key, base),
            html.H1("Car", className="unseen"),
            html.Div(parts["answer"], id="car-answer"),
            car_parts.picture_sheet(parts["picture"]),
            html.Section(
                [Chooser(id="car-choice", name="car", items=choices, home=key), car_parts.power_field(key)],
                className="sheet row no-print",
            ),
            *car_parts.editing(base, parts["test"]),
            save_bar("car"),
        ],
        id="car",
    )  # fmt: skip


def _parts(made: DraftedCar, view: View, power: str | None) -> dict[str, Any]:
    picture = car_parts.picture_state(made.car, view, power)
    if made.car is None:
        lines = [fault.line() for fault in made.faults]
        card = failure_card(
            f"{len(lines)} thing{'s' * (len(lines) > 1)} to mend before the flow can be worked out", lines
        )
        return {"answer": card, "picture": picture, "test": ""}
    return {
        "answer": car_parts.car_answer(made.car, view),
        "picture": picture,
        "test": car_parts.test_said(made.car, view),
    }


def register(app: Dash, workspace: Workspace) -> None:
    """The page's callbacks."""
    register_draft(app, "car")
    _register_answer(app, workspace)
    register_saving(app, workspace, CAR_FILE, car_path)


def _register_answer(app: Dash, workspace: Workspace) -> None:
    @app.callback(
        Output("car-answer", "children"),
        Output("car-picture-part", "hidden"),
        Output("car-picture", "figure"),
        Output("car-picture-table", "rows"),
        Output("car-key", "children"),
        Output("car-petrol", "children"),
        Output("car-test-said", "children"),
        Output("car-changes", "children"),
        Output("car-bar", "className"),
        Output("car-tank", "className"),
        Output("car-controller", "className"),
        *fault_outputs("car"),
        Input("car-draft", "data"),
        Input("settings", "data"),
        Input("car-power", "value"),
        Input("car-pulse", "back"),
        State("url", "search"),
        State("car-base", "data"),
        *fault_states("car"),
        prevent_initial_call=True,
    )
    def answer(
        draft: dict[str, Any] | None,
        settings: Any,
        power: str,
        back: Any,
        search: str,
        base: Any,
        *faults_now: Any,
    ) -> Any:
        draft, view = draft or {}, view_of(workspace, search, settings)
        chosen = {**base["values"], **draft.get("values", {})}
        looks = car_parts.tank_look(chosen["tank.shape"]), car_parts.kind_look(chosen["controller.kind"])
        try:
            path = car_path(view)
            assert path is not None
            made = drafted_car(path, draft, base)
            parts = _parts(made, view, power)
        except Exception as reason:
            kept = fault_answers(None, *faults_now)
            return (logged_card(reason), *[no_update] * 8, *looks, *kept)
        said = ["edited, not saved"] if draft.get("values") or draft.get("grids") else []
        return (
            parts["answer"],
            *(parts["picture"][name] for name in ("hidden", "figure", "rows", "key", "petrol")),
            parts["test"],
            changes(said),
            bar_look(said, draft),
            *looks,
            *fault_answers(made, *faults_now),
        )
